using Hillrow.Imaging;
using Hillrow.Mapping.Checks;
using Xunit;

namespace Hillrow.Mapping.Tests;

/// <summary>The measures of decision 0032 must move when a map is shifted, blurred, or a capture is brighter.</summary>
public sealed class MapMeasureTests : IDisposable
{
    private const int Patches = 300;

    // Cells about as large as the frame's pixels on the ground, as in a survey.
    private static readonly Lazy<SyntheticSurvey> Survey = new(() =>
        new SyntheticSurvey((east, north) => 0.25 * north, side: 220, lines: 3)
    );

    // Smaller cells, so that a strip beside a seam holds enough of them.
    private static readonly Lazy<SyntheticSurvey> Fine = new(() =>
        new SyntheticSurvey((east, north) => 0.25 * north, cellMetres: 0.05, side: 400, lines: 3, spacingMetres: 6)
    );

    private readonly string folder = Directory.CreateTempSubdirectory("measures-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Levels_FaithfulMap_FindNothing()
    {
        PatchLevels levels = LevelsOf(Laid(Survey.Value), Survey.Value);
        Assert.True(levels.Patches > Patches / 2, $"{levels.Patches} patches");
        Assert.True(levels.MedianErrorShare < 0.002, $"{levels.MedianErrorShare:G3}");
        Assert.InRange(levels.DetailKept, 0.9, 1.1);
    }

    [Fact]
    public void Levels_MapShiftedByOneCell_Move()
    {
        MapReading map = Laid(Survey.Value);
        double before = LevelsOf(map, Survey.Value).MedianErrorShare;
        foreach (float[] band in map.Reflectance)
        {
            band.AsSpan(0, band.Length - 1).ToArray().CopyTo(band.AsSpan(1));
        }

        double after = LevelsOf(map, Survey.Value).MedianErrorShare;
        Assert.True(after > 10 * before, $"{before:G3} → {after:G3}");
    }

    [Fact]
    public void Detail_MapBlurredOverThreeCells_IsLost()
    {
        Leafy frames = new(Survey.Value);
        MapReading map = Laid(Survey.Value, frames);
        double before = LevelsOf(map, frames).DetailKept;
        int columns = Survey.Value.Grid.Columns;
        foreach (float[] band in map.Reflectance)
        {
            float[] sharp = [.. band];
            for (int at = columns + 1; at < band.Length - columns - 1; at++)
            {
                float sum = 0;
                for (int near = 0; near < 9; near++)
                {
                    sum += sharp[at + (((near / 3) - 1) * columns) + (near % 3) - 1];
                }

                band[at] = sum / 9;
            }
        }

        double after = LevelsOf(map, frames).DetailKept;
        Assert.InRange(before, 0.7, 1.1);
        Assert.True(after < 0.7 * before, $"{before:G3} → {after:G3}");
    }

    [Fact]
    public void Steps_FaithfulMap_FindNone()
    {
        SeamSteps steps = StepsOf(Laid(Fine.Value), Fine.Value);
        Assert.True(steps.Lengths > 10, $"{steps.Lengths} lengths");
        Assert.True(steps.Shares.Max() < 0.002, $"{steps.Shares.Max():G3}");
    }

    [Fact]
    public void Steps_OneCaptureTwoPercentBrighter_TellIt()
    {
        SyntheticSurvey survey = Fine.Value;
        string middle = survey.Geometry.Captures[survey.Geometry.Captures.Count / 2].CaptureId;
        Brighter frames = new(survey, middle, 1.02f);
        SeamSteps steps = StepsOf(Laid(survey, frames), frames);
        // The middle one of nine captures: many seams are its own, not all.
        Assert.InRange(steps.Shares.Max(), 0.008, 0.021);
    }

    private static PatchLevels LevelsOf(MapReading map, IReflectanceFrames frames) =>
        new(
            map,
            Survey.Value.Grid,
            Survey.Value.Geometry,
            frames,
            new CellSights(Survey.Value.Geometry, Survey.Value.Grid, Survey.Value.Surface),
            Patches,
            7
        );

    private static SeamSteps StepsOf(MapReading map, IReflectanceFrames frames) =>
        new(
            map,
            map.Reflectance,
            Fine.Value.Grid,
            Fine.Value.Geometry,
            frames,
            new CellSights(Fine.Value.Geometry, Fine.Value.Grid, Fine.Value.Surface)
        );

    private MapReading Laid(SyntheticSurvey survey, IReflectanceFrames? frames = null)
    {
        MappingStage.Run(survey.InputTo(folder) with { Frames = frames ?? survey });
        return new MapReading(MapFiles.In(folder));
    }

    private sealed class Brighter(SyntheticSurvey survey, string captureId, float factor) : IReflectanceFrames
    {
        public IReadOnlyList<string> Bands => survey.Bands;

        public bool Has(string capture, string band) => survey.Has(capture, band);

        public void Load(string capture, string band, Span<float> reflectance, Span<float> sigma)
        {
            survey.FrameOf(capture, band).CopyTo(reflectance);
            sigma.Fill(0.01f);
            if (capture == captureId)
            {
                foreach (ref float value in reflectance)
                {
                    value *= factor;
                }
            }
        }
    }

    /// <summary>The smooth ground with leaves of three pixels on it, bright and dark.</summary>
    private sealed class Leafy(SyntheticSurvey survey) : IReflectanceFrames
    {
        private const int Leaf = 3;

        public IReadOnlyList<string> Bands => survey.Bands;

        public bool Has(string capture, string band) => survey.Has(capture, band);

        public void Load(string capture, string band, Span<float> reflectance, Span<float> sigma)
        {
            survey.FrameOf(capture, band).CopyTo(reflectance);
            sigma.Fill(0.01f);
            int columns = survey.Geometry.BandOf(band).Lens.Columns;
            for (int at = 0; at < reflectance.Length; at++)
            {
                reflectance[at] *= ((at / columns / Leaf) + (at % columns / Leaf)) % 2 == 0 ? 1.3f : 0.7f;
            }
        }
    }
}
