using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>Which block each cell's centre lies in; −1 for none, the first block on overlap.</summary>
internal static class BlockCells
{
    private const double MostCells = 160_000;

    /// <summary>Over all blocks; cells are larger than asked when there would be too many.</summary>
    public static LocalGrid GridOver(IReadOnlyList<CheckBlock> blocks, double cell)
    {
        (double East, double North)[] corners =
        [
            .. blocks.SelectMany(block => block.RingsLocalMetres).SelectMany(ring => ring),
        ];
        double west = corners.Min(at => at.East);
        double east = corners.Max(at => at.East);
        double south = corners.Min(at => at.North);
        double north = corners.Max(at => at.North);
        double size = Math.Max(cell, Math.Sqrt((east - west) * (north - south) / MostCells));
        return new LocalGrid(
            west,
            north,
            size,
            (int)Math.Ceiling((north - south) / size) + 1,
            (int)Math.Ceiling((east - west) / size) + 1
        );
    }

    /// <summary>The first block on overlap.</summary>
    public static int[] Of(IReadOnlyList<CheckBlock> blocks, LocalGrid grid)
    {
        int[] of = new int[checked((int)grid.CellCount)];
        Array.Fill(of, -1);
        List<double> crossings = [];
        for (int block = 0; block < blocks.Count; block++)
        {
            for (int row = 0; row < grid.Rows; row++)
            {
                double north = grid.NorthOf(row);
                crossings.Clear();
                foreach (IReadOnlyList<(double East, double North)> ring in blocks[block].RingsLocalMetres)
                {
                    for (int at = 0; at < ring.Count; at++)
                    {
                        (double East, double North) one = ring[at];
                        (double East, double North) next = ring[(at + 1) % ring.Count];
                        if (one.North > north != next.North > north)
                        {
                            crossings.Add(
                                one.East + ((north - one.North) / (next.North - one.North) * (next.East - one.East))
                            );
                        }
                    }
                }

                crossings.Sort();
                for (int pair = 0; pair + 1 < crossings.Count; pair += 2)
                {
                    int first = Math.Max(
                        0,
                        (int)Math.Ceiling(((crossings[pair] - grid.WestMetres) / grid.CellMetres) - 0.5)
                    );
                    int last = Math.Min(
                        grid.Columns - 1,
                        (int)Math.Floor(((crossings[pair + 1] - grid.WestMetres) / grid.CellMetres) - 0.5)
                    );
                    for (int column = first; column <= last; column++)
                    {
                        int cell = (row * grid.Columns) + column;
                        of[cell] = of[cell] < 0 ? block : of[cell];
                    }
                }
            }
        }

        return of;
    }

    /// <summary>How the cells of one block are seen.</summary>
    public static BlockCoverage Covered(
        string name,
        int block,
        int[] blockOf,
        CoverageMap map,
        FieldCheckSettings settings
    )
    {
        int[] cells = [.. Enumerable.Range(0, blockOf.Length).Where(cell => blockOf[cell] == block)];
        int[] views = [.. cells.Select(cell => (int)map.Counts[cell]).Order()];
        float[] finest = [.. cells.Select(cell => map.FinestPixelMetres[cell]).Where(float.IsFinite)];
        float[] coarsest = [.. cells.Select(cell => map.CoarsestPixelMetres[cell]).Where(float.IsFinite)];
        return new BlockCoverage(
            name,
            cells.Length * map.Grid.CellMetres * map.Grid.CellMetres,
            views.Length == 0 ? 0 : views[0],
            views.Length == 0 ? 0 : views[views.Length / 2],
            views.Length == 0 ? 0 : views.Count(count => count >= settings.LeastViews) / (double)views.Length,
            finest.Length == 0 ? 0 : finest.Min(),
            coarsest.Length == 0 ? 0 : coarsest.Max()
        );
    }
}
