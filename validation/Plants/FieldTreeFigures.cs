using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Plants;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Plants;

/// <summary>Trees of a steep alpine plot, their heights on a canopy model against the tape: docs/decisions/0041 is the rule.</summary>
public sealed class FieldTreeFigures : FigureSource
{
    private const double LeanShare = 0.10;
    private const double LeastMetres = 1;
    private const double HeightShare = 0.30;

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
        (GridPoint Stem, double Height)[] trees = [.. Trees(Path.Combine(data, "tree_inventory_chablais3.csv"))];
        bool[] taken = new bool[seen.Length];
        List<double> off = [];
        foreach ((GridPoint stem, double height) in trees.OrderByDescending(tree => tree.Height))
        {
            int best = -1;
            double nearest = (LeanShare * height) + LeastMetres;
            for (int at = 0; at < seen.Length; at++)
            {
                double x = seen[at].Place.EastingMetres - stem.EastingMetres;
                double y = seen[at].Place.NorthingMetres - stem.NorthingMetres;
                double distance = Math.Sqrt((x * x) + (y * y));
                if (!taken[at] && distance <= nearest && Math.Abs(seen[at].Height - height) <= HeightShare * height)
                {
                    (best, nearest) = (at, distance);
                }
            }

            if (best >= 0)
            {
                taken[best] = true;
                off.Add(seen[best].Height - height);
            }
        }

        string how = FormattableString.Invariant(
            $"{off.Count} of {trees.Length} living trees matched with one of {tops.Count} tops of the canopy model by the rule of decision 41; dominated trees are not seen from above"
        );
        yield return new Figure("real.fieldTrees.matchedShare", (double)off.Count / trees.Length, how);
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

    private static IEnumerable<(GridPoint Stem, double Height)> Trees(string path)
    {
        // x, y, diameter, height, number, species, "e" 1 for living, "t" 1 for leaning.
        foreach (string line in File.ReadLines(path).Skip(1).Where(line => line.Length > 0))
        {
            string[] field = line.Split(',');
            if (
                field[6] == "1"
                && double.TryParse(field[3], CultureInfo.InvariantCulture, out double height)
                && height > 0
            )
            {
                yield return (
                    new GridPoint(
                        double.Parse(field[0], CultureInfo.InvariantCulture),
                        double.Parse(field[1], CultureInfo.InvariantCulture)
                    ),
                    height
                );
            }
        }
    }
}
