using Hillrow.Imaging;
using Hillrow.TestSupport;
using Xunit;
using static Hillrow.App.Tests.CommandAnswer;

namespace Hillrow.App.Tests;

/// <summary>A lens by command: into a profile, or refused in one line.</summary>
public sealed class CameraLensCommandTests : IDisposable
{
    private static readonly BoardSpecimen Truth = new();
    private readonly TestFolder folder = new();

    public CameraLensCommandTests()
    {
        Directory.CreateDirectory(folder.At("boards"));
        for (int view = 0; view < BoardSpecimen.Round.Count; view++)
        {
            File.WriteAllBytes(folder.At("boards", $"{view}.tif"), Truth.Tiff(BoardSpecimen.Round[view]));
        }

        File.WriteAllText(
            folder.At("camera.toml"),
            $"""
            name = "Invented"
            referenceBand = "red"
            shortestTriggerIntervalSeconds = 1.0

            [[bands]]
            name = "red"
            centreNanometres = 668.0
            widthNanometres = 14.0

            [bands.sensor]
            columns = {Truth.Columns}
            rows = {Truth.Rows}
            pixelPitchMicrometres = 3.0
            bitDepth = 8

            [bands.lens]
            focalPixels = [400.0]
            principalPointPixels = [240.0, 180.0]
            """
        );
    }

    public void Dispose() => folder.Dispose();

    [Fact]
    public void Lens_IntoAProfile_ChangesThatBandOnly()
    {
        string made = folder.At("made.toml");
        CommandAnswer answer = Lens("--profile", folder.At("camera.toml"), "--band", "red", "--output", made, "--json");
        Assert.True(answer.Code == 0, answer.Error);
        CameraProfile before = CameraProfile.Load(folder.At("camera.toml"));
        CameraProfile after = CameraProfile.Load(made);
        BrownConradyValues lens = ((BrownConradyLens)after.Band("red").Lens).Values;
        Assert.Equal(Truth.Focal, lens.FocalColumnsPixels, 1.0);
        Assert.Equal(lens.K1, answer.Result.GetProperty("values").GetProperty("k1").GetDouble(), 1e-12);
        Assert.Equal(
            before.ToToml(),
            (after with { Bands = [after.Bands[0] with { Lens = before.Bands[0].Lens }] }).ToToml()
        );
    }

    [Theory]
    [InlineData(false, "red", "needs a profile")]
    [InlineData(true, "green", "no band of")]
    [InlineData(true, null, "is needed")]
    public void Lens_WrongBand_IsRefusedInOneLine(bool profile, string? band, string expected)
    {
        string[] options =
        [
            .. profile ? ["--profile", folder.At("camera.toml")] : Array.Empty<string>(),
            .. band is null ? [] : new[] { "--band", band },
        ];
        Refused(Lens([.. options, "--output", folder.At("none.toml")]), expected);
        Assert.False(File.Exists(folder.At("none.toml")));
    }

    [Theory]
    [InlineData("9")]
    [InlineData("2x6")]
    [InlineData("nine x six")]
    public void Lens_NoBoard_IsRefusedInOneLine(string corners) =>
        Refused(Run("camera", "lens", folder.At("boards"), "--corners", corners), "9x6");

    [Fact]
    public void Lens_PicturesOfAnotherSensor_AreRefusedInOneLine()
    {
        File.WriteAllText(
            folder.At("camera.toml"),
            File.ReadAllText(folder.At("camera.toml"))
                .Replace($"rows = {Truth.Rows}", "rows = 400", StringComparison.Ordinal)
        );
        Refused(
            Lens("--profile", folder.At("camera.toml"), "--band", "red", "--output", folder.At("none.toml")),
            "480 × 400"
        );
    }

    private CommandAnswer Lens(params string[] options) =>
        Run(["camera", "lens", folder.At("boards"), "--corners", "7x5", .. options]);

    private static void Refused(CommandAnswer answer, string expected)
    {
        Assert.Equal(2, answer.Code);
        Assert.Contains(expected, answer.Error, StringComparison.Ordinal);
        Assert.Single(
            answer.Error.TrimEnd().Split('\n'),
            line => !line.StartsWith("looking for", StringComparison.Ordinal)
        );
    }
}
