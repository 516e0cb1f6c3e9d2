using Hillrow.Numerics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Imaging.Tests;

public sealed class CameraProfileTests
{
    private static string Example { get; } = ExampleOfTheDocs();

    [Fact]
    public void Parse_ExampleOfTheDocs_GivesItsValues()
    {
        CameraProfile profile = CameraProfile.Parse(Example, "docs");
        Assert.Equal(["red", "blue", "thermal"], profile.Bands.Select(band => band.Name));
        Assert.Equal(["red", "blue"], profile.ReflectiveBands.Select(band => band.Name));
        Assert.Equal("thermal", profile.ThermalBand?.Name);
        CameraBand red = profile.ReferenceBand;
        Assert.Equal(4095, red.Sensor.LargestCount);
        Assert.Equal(4095, red.Sensor.CountOf(65_520));
        Assert.Equal(CameraMount.Reference, red.Mount);
        Assert.IsType<ResidualGridLens>(red.Lens);
        Assert.Equal(240, red.BlackLevel.Counts);
        Assert.Equal(2004, red.Response!.LinearOf(2000));
        Assert.Equal(1.002, red.RowCorrection!.FactorAt(272), 12);
        Assert.Equal(1, ((VignettingFormula)red.Vignetting).FalloffAt(new PixelPoint(729, 545), 1088, 1456), 12);
        CameraBand blue = profile.Band("blue");
        Assert.Equal(5500 / 3.45, blue.Lens.Parameters[0], 9);
        Assert.Equal(new Vector3D(-0.028, 0.015, 0), blue.Mount.LensInReferenceMetres);
        Assert.Equal(1.5, profile.IrradianceSensor!.MountOffset.Pitch.Degrees, 12);
        Assert.Equal(0.9825, profile.IrradianceSensor.Cosine!.ResponseAt(45), 12);
        Assert.Equal(0.493, profile.Panel!.Levels[0].ReflectanceByBand["blue"]);
        Assert.Equal(new PanelPoint(0.21, 0.075), profile.Panel.Levels[0].CornersMetres[2]);
    }

    [Fact]
    public void ToToml_ReadBack_IsTheSameTextAndTheSameValues()
    {
        CameraProfile first = CameraProfile.Parse(Example, "docs");
        string text = first.ToToml();
        CameraProfile second = CameraProfile.Parse(text, "written");
        Assert.Equal(text, second.ToToml());
        foreach (CameraBand band in first.Bands)
        {
            CameraBand again = second.Band(band.Name);
            Assert.Equal(band.Lens.Parameters, again.Lens.Parameters);
            Assert.Equal(band.Sensor, again.Sensor);
            Assert.Equal(0, (band.Mount.ReferenceToBand.Row1 - again.Mount.ReferenceToBand.Row1).Length, 11);
            Assert.Equal(band.BlackLevel, again.BlackLevel);
            Assert.Equal(band.Noise, again.Noise);
            Assert.Equal(band.Thermal, again.Thermal);
        }

        Assert.Equal(first.IrradianceSensor!.MountOffset, second.IrradianceSensor!.MountOffset);
        Assert.Equal(first.AntennaFromLensMetres, second.AntennaFromLensMetres);
        Assert.Empty(first.Problems());
    }

    [Fact]
    public void TryParse_ManyFaults_TellsThemAllWithSettingValueAndRule()
    {
        string broken = Example
            .Replace("referenceBand = \"red\"", "referenceBand = \"teal\"", StringComparison.Ordinal)
            .Replace("bitPlacement = \"high\"            #", "bitPlacement = \"middle\" #", StringComparison.Ordinal)
            .Replace(
                "shortestTriggerIntervalSeconds = 1.0",
                "shortestTriggerIntervalSeconds = -1.0",
                StringComparison.Ordinal
            )
            .Replace("factors = [1.004, 1.0, 0.997]", "factors = [1.004, 1.0]", StringComparison.Ordinal)
            .Replace("electronsPerCount = 2.6 ", "electronPerCount = 2.6 ", StringComparison.Ordinal)
            .Replace("blue = 0.493", "", StringComparison.Ordinal);
        Assert.False(
            CameraProfile.TryParse(broken, out CameraProfile? profile, out IReadOnlyList<ProfileProblem> problems)
        );
        Assert.Null(profile);
        string[] told = [.. problems.Select(problem => problem.Setting)];
        Assert.Equal(
            [
                "bands[1].noise.electronPerCount",
                "bands[1].noise.electronsPerCount",
                "bands[1].rowCorrection.factors",
                "bands[1].sensor.bitPlacement",
                "panel.levels[1].reflectance.blue",
                "referenceBand",
                "shortestTriggerIntervalSeconds",
            ],
            told.Order(StringComparer.Ordinal)
        );
        Assert.Contains(
            problems,
            problem =>
                problem.Setting == "bands[1].sensor.bitPlacement"
                && problem.Value == "\"middle\""
                && problem.Rule.Contains("low, high", StringComparison.Ordinal)
        );
        InputProblemException thrown = Assert.Throws<InputProblemException>(() =>
            CameraProfile.Parse(broken, "camera.toml")
        );
        Assert.StartsWith("camera.toml: 7 problems", thrown.Message, StringComparison.Ordinal);
        Assert.DoesNotContain('\n', thrown.Message);
    }

    [Fact]
    public void Parse_VeryManyProblems_StaysOneBearableLineThatSaysHowManyAreLeft()
    {
        string odd = string.Concat(Enumerable.Range(0, 500).Select(n => $"\"strange\\n{n}\" = {n}\n"));
        InputProblemException thrown = Assert.Throws<InputProblemException>(() =>
            CameraProfile.Parse(odd + Example, "odd.toml")
        );
        Assert.True(thrown.Message.Length < 600, thrown.Message);
        Assert.Contains("500 problems", thrown.Message, StringComparison.Ordinal);
        Assert.Matches("and 49\\d more", thrown.Message);
        Assert.DoesNotContain('\n', thrown.Message);
    }

    [Fact]
    public void Parse_MetadataSection_IsReadAndItsProblemsAreToldWithTheOthers()
    {
        CameraProfile plain = CameraProfile.Parse(Example, "docs");
        Assert.Equal(MetadataMap.Standard.Values.Count, plain.Metadata.Values.Count);
        string broken =
            Example.Replace("columns = 1456", "columns = 0", StringComparison.Ordinal) + "\n[metadata]\nnonsense = 1\n";
        Assert.False(CameraProfile.TryParse(broken, out _, out IReadOnlyList<ProfileProblem> problems));
        Assert.Contains(problems, problem => problem.Setting.StartsWith("metadata.nonsense", StringComparison.Ordinal));
        Assert.Contains(problems, problem => problem.Setting == "bands[1].sensor.columns");
    }

    [Fact]
    public void TryParse_LensThatFoldsItsFrame_IsToldAsAProblemOfTheLens()
    {
        string broken = Example.Replace("k1 = -0.101", "k1 = -3.0", StringComparison.Ordinal);
        Assert.False(CameraProfile.TryParse(broken, out _, out IReadOnlyList<ProfileProblem> problems));
        Assert.Contains(
            problems,
            problem => problem.Setting == "bands[2].lens.k1" && problem.Rule.Contains("folds", StringComparison.Ordinal)
        );
    }

    [Theory]
    [InlineData("")]
    [InlineData("name = ")]
    [InlineData("bands = 3")]
    [InlineData("[[bands]]\nname = 3")]
    [InlineData("name = \"a\"\nname = \"b\"")]
    public void Parse_NotAProfile_ThrowsOneLineThatNamesTheFile(string text)
    {
        InputProblemException thrown = Assert.Throws<InputProblemException>(() =>
            CameraProfile.Parse(text, "odd.toml")
        );
        Assert.StartsWith("odd.toml:", thrown.Message, StringComparison.Ordinal);
        Assert.DoesNotContain('\n', thrown.Message);
    }

    [Fact]
    public void Parse_BracketsNestedWithoutEnd_AreRefusedNotFollowed() =>
        Assert.Throws<InputProblemException>(() => CameraProfile.Parse("a = " + new string('[', 200_000), "deep.toml"));

    [Fact]
    public void Load_NoSuchFile_SaysSo() =>
        Assert.Throws<InputProblemException>(() => CameraProfile.Load("/nowhere/camera.toml"));

    [Fact]
    public void SigmaCounts_KnownSensor_IsShotAndReadAndRoundingNoise() =>
        Assert.Equal(
            Math.Sqrt((((1000 * 2.6) + (2.5 * 2.5)) / (2.6 * 2.6)) + (1.0 / 12)),
            new NoiseModel(2.6, 2.5).SigmaCounts(1000, 1),
            12
        );

    [Fact]
    public void FalloffAt_RadialGivenAsCorrection_IsItsInverse()
    {
        RadialVignetting falloff = new(null, [0.0, -0.2], null);
        RadialVignetting correction = falloff with { GivesCorrection = true };
        PixelPoint corner = new(0, 0);
        Assert.Equal(0.8, falloff.FalloffAt(corner, 600, 800), 12);
        Assert.Equal(1.25, correction.FalloffAt(corner, 600, 800), 12);
    }

    [Fact]
    public void FalloffAt_PolynomialOfRadiusSquared_EqualsTheRadialOne()
    {
        RadialVignetting radial = new(new PixelPoint(390, 310), [0.0, -0.2], 500);
        PolynomialVignetting polynomial = new(
            new PixelPoint(390, 310),
            [new(0, 0, 1), new(2, 0, -0.2), new(0, 2, -0.2)],
            500
        );
        PixelPoint place = new(77, 501);
        Assert.Equal(radial.FalloffAt(place, 600, 800), polynomial.FalloffAt(place, 600, 800), 12);
    }

    private static string ExampleOfTheDocs()
    {
        string page = File.ReadAllText(Path.Combine(RepositoryFiles.Root, "docs", "camera-profiles.md"));
        int start = page.IndexOf("```toml\n", StringComparison.Ordinal) + 8;
        return page[start..page.IndexOf("```", start, StringComparison.Ordinal)];
    }
}
