using System.Globalization;
using Hillrow.Earth;

namespace Hillrow.Validation.Plants;

/// <summary>Living trees of the steep alpine plot, measured by tape, and which of them a top found belongs to: docs/decisions/0041.</summary>
internal static class TapedTrees
{
    /// <summary>A stem and a top belong together within a tenth of the height and a metre …</summary>
    private const double LeanShare = 0.10;
    private const double LeastMetres = 1;

    /// <summary>… and when their heights differ by no more than this share.</summary>
    private const double HeightShare = 0.30;

    /// <param name="data">Folder of the open data.</param>
    public static IEnumerable<(GridPoint Stem, double Height)> Of(string data)
    {
        // x, y, diameter, height, number, species, "e" 1 for living, "t" 1 for leaning.
        foreach (
            string[] field in File.ReadLines(Path.Combine(data, "tree_inventory_chablais3.csv"))
                .Skip(1)
                .Where(line => line.Length > 0)
                .Select(line => line.Split(','))
        )
        {
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

    /// <summary>Height found less height by tape, of every pair; tall trees choose first, each the nearest left.</summary>
    public static IEnumerable<double> HeightsOff(
        (GridPoint Stem, double Height)[] trees,
        (GridPoint Place, double Height)[] found
    )
    {
        bool[] taken = new bool[found.Length];
        foreach ((GridPoint stem, double height) in trees.OrderByDescending(tree => tree.Height))
        {
            int best = -1;
            double nearest = (LeanShare * height) + LeastMetres;
            for (int at = 0; at < found.Length; at++)
            {
                double x = found[at].Place.EastingMetres - stem.EastingMetres;
                double y = found[at].Place.NorthingMetres - stem.NorthingMetres;
                double distance = Math.Sqrt((x * x) + (y * y));
                if (!taken[at] && distance <= nearest && Math.Abs(found[at].Height - height) <= HeightShare * height)
                {
                    (best, nearest) = (at, distance);
                }
            }

            if (best >= 0)
            {
                taken[best] = true;
                yield return found[best].Height - height;
            }
        }
    }
}
