using Hillrow.Imaging.Checks;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground;

/// <summary>Metadata as read here against exiftool, field by field and both ways.</summary>
public sealed class MetadataFigures : FigureSource
{
    public override string Area => "ground";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        if (!ExiftoolChecks.IsThere)
        {
            yield return new Figure("metadata.fieldsUnlikeExiftool", double.NaN, "exiftool is not installed");
            yield break;
        }

        int unlike = 0;
        int compared = 0;
        int[] seeds = [1, 2, 3, 4, unchecked((int)run.DrawnSeed) & int.MaxValue];
        foreach (int seed in run.Quick ? seeds[^1..] : seeds)
        {
            string folder = Directory.CreateDirectory(Path.Combine(run.ScratchFolder, $"seed{seed}")).FullName;
            CheckTally tally = ExiftoolChecks.Compare(seed, folder);
            unlike += tally.Failures.Count;
            compared += tally.Comparisons;
            if (tally.Failures.Count > 0)
            {
                run.Say(tally.Report());
            }
        }

        yield return new Figure(
            "metadata.fieldsUnlikeExiftool",
            unlike,
            FormattableString.Invariant(
                $"{compared} comparisons of fields of TIFF, BigTIFF and JPEG files, both byte orders, four ways of XMP, {seeds.Length} seeds, one drawn"
            )
        );
    }
}
