using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Plants;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Plants;

/// <summary>Trees of a steep alpine plot, their heights on a canopy model against the tape: docs/decisions/0041 is the rule.</summary>
public sealed class FieldTreeFigures : FigureSource
{
    public override string Area => "plants";

    public override int Order => 6;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        if (RepositoryFiles.OpenData("alpine-chm-field-trees") is not { } data)
        {
            run.Say("skipped: ../shared/opendata/alpine-chm-field-trees is not here");
            yield break;
        }

        string path = Path.Combine(data, "chm_chablais3.tif");
        ReferenceSystem system;
        using (RasterFile file = RasterFile.Open(path))
        {
            system = RasterReferenceSystem.Of(file);
        }

        Raster<float> canopy = BroughtHeights.Read(path, system, null);
        IReadOnlyList<ScatteredTop> tops = ScatteredTops.FindByHeight(canopy, new ScatteredSettings());
        (GridPoint Place, double Height)[] seen = [.. tops.Select(top => (top.Place, TopOf(canopy, top)))];
        (GridPoint Stem, double Height)[] trees = [.. TapedTrees.Of(data)];
        double[] off = [.. TapedTrees.HeightsOff(trees, seen)];
        string how = FormattableString.Invariant(
            $"{off.Length} of {trees.Length} living trees matched with one of {tops.Count} tops of the canopy model by the rule of decision 41; dominated trees are not seen from above"
        );
        yield return new Figure("real.fieldTrees.matchedShare", (double)off.Length / trees.Length, how);
        yield return new Figure("real.fieldTrees.heightBiasMetres", off.Average(), how);
        yield return new Figure(
            "real.fieldTrees.heightRmseMetres",
            Math.Sqrt(off.Average(value => value * value)),
            how
        );
    }

    /// <summary>Highest cell within half the crown's radius: a round spot's middle is not its highest needle.</summary>
    private static double TopOf(Raster<float> canopy, ScatteredTop top)
    {
        double reach = Math.Max(1, top.RadiusMetres / 2 / canopy.Grid.CellSizeMetres);
        double row = canopy.Grid.RowOf(top.Place.NorthingMetres);
        double column = canopy.Grid.ColumnOf(top.Place.EastingMetres);
        double highest = 0;
        for (int r = Math.Max(0, (int)(row - reach)); r <= Math.Min(canopy.Rows - 1, (int)(row + reach)); r++)
        {
            for (
                int c = Math.Max(0, (int)(column - reach));
                c <= Math.Min(canopy.Columns - 1, (int)(column + reach));
                c++
            )
            {
                highest = float.IsFinite(canopy[0, r, c]) ? Math.Max(highest, canopy[0, r, c]) : highest;
            }
        }

        return highest;
    }
}
