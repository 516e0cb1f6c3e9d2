using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>Which block each cell's centre lies in; −1 for none, the first block on overlap.</summary>
internal static class BlockCells
{
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
}
