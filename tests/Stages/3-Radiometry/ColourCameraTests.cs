using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Radiometry.Tests;

/// <summary>Colours are no reflectance; a map of them can be made all the same.</summary>
public sealed class ColourCameraTests : IDisposable
{
    private readonly TestFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void Run_ColourCamera_DegradedAndFramesEvenedByExposure()
    {
        CameraProfile profile = CameraProfile.Parse(
            "name = \"Colour\"\nreferenceBand = \"green\"\nshortestTriggerIntervalSeconds = 1.0\n"
                + string.Concat(new[] { "red", "green", "blue" }.Select(Band)),
            "test"
        );
        File.WriteAllBytes(folder.At("a.jpg"), JpegSpecimen.ProgressiveColours());
        double[] seconds = [0.001, 0.002, 0.002];
        Capture[] captures =
        [
            .. seconds.Select(
                (exposure, at) =>
                    new Capture
                    {
                        Id = $"{at}",
                        Frames =
                        [
                            .. profile.Bands.Select(band => new BandFrame
                            {
                                Band = band.Name,
                                File = "a.jpg",
                                Plane = band.Plane ?? -1,
                                ExposureSeconds = exposure,
                            }),
                        ],
                    }
            ),
        ];
        RadiometryResult result = RadiometryStage.Run(
            new RadiometryInput(profile, folder.Path, captures, [], folder.Path),
            RadiometrySettings.Default
        );
        Assert.Equal(StageVerdict.Degraded, result.Outcome.Verdict);
        Assert.Contains("not reflectance", Assert.Single(result.Outcome.Reasons), StringComparison.Ordinal);
        Assert.All(result.Calibration.Bands, band => Assert.Equal(CalibrationMethod.Colours, band.Method));
        ReflectanceFrames frames = new(result.Calibration, profile, folder.Path, captures);
        float[] value = new float[JpegSpecimen.Rows * JpegSpecimen.Columns];
        float[] sigma = new float[value.Length];
        const int middle = (8 * JpegSpecimen.Columns) + 12;
        frames.Load("1", "red", value, sigma);
        double red = value[middle];
        Assert.InRange(red, (40 + (6 * 12) - 8) / 255.0, (40 + (6 * 12) + 8) / 255.0);
        Assert.True(sigma[middle] > 0.2 * red);
        frames.Load("1", "blue", value, sigma);
        Assert.InRange(value[middle], (200 - (4 * 12) - 8) / 255.0, (200 - (4 * 12) + 8) / 255.0);
        // Half the exposure with the same counts: twice the light.
        frames.Load("0", "red", value, sigma);
        Assert.Equal(2 * red, value[middle], 1e-5);
    }

    [Fact]
    public void Parse_PlanesTwiceOrNotForAll_IsRefused()
    {
        string head = "name = \"Colour\"\nreferenceBand = \"red\"\nshortestTriggerIntervalSeconds = 1.0\n";
        string twice = head + Band("red", 0) + Band("green", 0);
        string some = head + Band("red", 0) + Band("green", 1).Replace("plane = 1", "", StringComparison.Ordinal);
        Assert.Contains(
            "plane of an earlier band",
            Assert.Throws<InputProblemException>(() => CameraProfile.Parse(twice, "test")).Message,
            StringComparison.Ordinal
        );
        Assert.Contains(
            "to every band or to none",
            Assert.Throws<InputProblemException>(() => CameraProfile.Parse(some, "test")).Message,
            StringComparison.Ordinal
        );
    }

    private static string Band(string name, int plane) =>
        $"""

            [[bands]]
            name = "{name}"
            plane = {plane}
            centreNanometres = {600 - (50 * plane)}.0
            widthNanometres = 80.0
            [bands.sensor]
            columns = {JpegSpecimen.Columns}
            rows = {JpegSpecimen.Rows}
            pixelPitchMicrometres = 3.45
            bitDepth = 8
            [bands.lens]
            focalMillimetres = 5.5
            principalPointPixels = [12.0, 8.0]

            """;
}
