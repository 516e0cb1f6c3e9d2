using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping.Checks;

namespace Hillrow.Validation.Mapping;

/// <summary>
/// Whether the map says what Radiometry says, and how far captures differ where the map passes from one to the other:
/// rehearsed flights through the public commands, poses and surface as found (docs/decisions/0032).
/// </summary>
public sealed class ReflectanceFigures : FigureSource
{
    private const int Captures = 20;
    private const string Hectares = "0.6";
    private const int Patches = 2000;

    public override string Area => "mapping";

    public override int Order => 20;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ulong[] seeds = run.Quick ? [run.DrawnSeed % 1_000_000] : [301, 302, run.DrawnSeed % 1_000_000];
        List<Judged> clear = [];
        List<Judged> broken = [];
        foreach (ulong seed in seeds)
        {
            clear.Add(Judge(run, seed, "0"));
            if (!run.Quick)
            {
                broken.Add(Judge(run, seed, "0.5"));
            }
        }

        string how = FormattableString.Invariant(
            $"rehearsed flights of {Captures} captures over {Hectares} ha through the public commands, clear sky, seeds {string.Join(", ", seeds)} (last one drawn), worst"
        );
        yield return new Figure(
            "reflectance.medianErrorShare",
            clear.Max(one => one.Level),
            $"{how}; at least {clear.Min(one => one.Patches)} patches of 6 × 6 cells a flight against the frame's own pixels"
        );
        yield return new Figure(
            "reflectance.detailKept",
            clear.Min(one => one.Detail),
            $"{how}; scatter within those patches, map over frame"
        );
        string lengths = $"at least {clear.Min(one => one.Lengths)} lengths of 2 m a flight";
        yield return new Figure(
            "reflectance.seamStepShare",
            clear.Max(one => one.Step),
            $"{how}; normalised product, {lengths}, rms"
        );
        yield return new Figure(
            "reflectance.seamStepMeanShare",
            clear.Max(one => one.PairStep),
            $"{how}; the same lengths, mean over each pair of captures first: what is left is the captures' level"
        );
        if (broken.Count > 0)
        {
            yield return new Figure(
                "reflectance.seamStepShareUnderCloud",
                broken.Max(one => one.Step),
                "the same seeds under broken cloud (cover 0.5)"
            );
        }
    }

    private static Judged Judge(ValidationRun run, ulong seed, string clouds)
    {
        LaidMap laid = LaidMap.Of(run, seed, Hectares, Captures, clouds);
        GridGeometry grid = laid.Map.Capture.Grid;
        CellSights sights = new(laid.Geometry, grid, laid.Surface);
        PatchLevels levels = new(laid.Map, grid, laid.Geometry, laid.Frames, sights, Patches, seed);
        SeamSteps steps = new(laid.Map, laid.NormalisedMap(), grid, laid.Geometry, laid.Normalised, sights);
        SeamSteps asSeen = new(laid.Map, laid.Map.Reflectance, grid, laid.Geometry, laid.Frames, sights);
        run.Say(
            FormattableString.Invariant(
                $"seed {seed}, clouds {clouds}: level {levels.MedianErrorShare:P2} of {levels.Patches} patches, detail {levels.DetailKept:F2}, steps {string.Join(" ", steps.Shares.Select(step => step.ToString("P1", System.Globalization.CultureInfo.InvariantCulture)))} of {steps.Lengths} lengths, before normalisation {asSeen.Shares.Max():P1}, by pair {string.Join(" ", steps.PairShares.Select(step => step.ToString("P1", System.Globalization.CultureInfo.InvariantCulture)))}"
            )
        );
        return new Judged(
            levels.MedianErrorShare,
            levels.DetailKept,
            levels.Patches,
            steps.Shares.Max(),
            steps.PairShares.Max(),
            steps.Lengths
        );
    }

    private sealed record Judged(double Level, double Detail, int Patches, double Step, double PairStep, int Lengths);
}
