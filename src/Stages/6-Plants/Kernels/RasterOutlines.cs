using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>A ring along cell edges in cell corners: x right, y down, not closed; straight runs have no inner points.</summary>
public sealed record CellRing(IReadOnlyList<(int X, int Y)> Corners)
{
    /// <summary>Signed area in cells: above 0 for outer rings, below 0 for holes.</summary>
    public double SignedArea
    {
        get
        {
            long twice = 0;
            for (int at = 0; at < Corners.Count; at++)
            {
                (int x0, int y0) = Corners[at];
                (int x1, int y1) = Corners[(at + 1) % Corners.Count];
                twice += ((long)x0 * y1) - ((long)x1 * y0);
            }

            return twice / 2.0;
        }
    }

    public double Length
    {
        get
        {
            long length = 0;
            for (int at = 0; at < Corners.Count; at++)
            {
                (int x0, int y0) = Corners[at];
                (int x1, int y1) = Corners[(at + 1) % Corners.Count];
                length += Math.Abs(x1 - x0) + Math.Abs(y1 - y0);
            }

            return length;
        }
    }
}

/// <summary>A connected region of one class: its outer rings (one, or several that touch at corners) and holes.</summary>
public sealed record ClassRegion(int Value, IReadOnlyList<CellRing> Outer, IReadOnlyList<CellRing> Holes)
{
    /// <summary>Cells.</summary>
    public double Area => Outer.Sum(ring => ring.SignedArea) + Holes.Sum(ring => ring.SignedArea);

    /// <summary>Cell edges, holes included.</summary>
    public double Perimeter => Outer.Sum(ring => ring.Length) + Holes.Sum(ring => ring.Length);
}

/// <summary>Regions of equal numbers as polygons along cell edges; areas are exact.</summary>
public static class RasterOutlines
{
    // Right, down, left, up; interior lies on the right-hand side of travel on screen (y down), which is area above 0.
    private static readonly int[] StepX = [1, 0, -1, 0];
    private static readonly int[] StepY = [0, 1, 0, -1];

    /// <summary>Every region, in order of first cells row by row.</summary>
    /// <param name="classes">Rows × columns, row-major.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="connectivity">Whether cells that meet at a corner are one region.</param>
    public static IReadOnlyList<ClassRegion> Of(
        ReadOnlySpan<int> classes,
        int rows,
        int columns,
        Connectivity connectivity
    )
    {
        if (rows < 1 || columns < 1 || classes.Length != (long)rows * columns)
        {
            throw new ArgumentException($"{classes.Length} cells do not fill {rows} × {columns}.", nameof(classes));
        }

        int[] region = new int[classes.Length];
        List<int> values = [];
        Stack<int> open = new();
        for (int start = 0; start < classes.Length; start++)
        {
            if (region[start] != 0)
            {
                continue;
            }

            values.Add(classes[start]);
            int number = values.Count;
            region[start] = number;
            open.Push(start);
            while (open.TryPop(out int at))
            {
                int row = at / columns;
                int column = at % columns;
                for (int r = Math.Max(0, row - 1); r <= Math.Min(rows - 1, row + 1); r++)
                {
                    for (int c = Math.Max(0, column - 1); c <= Math.Min(columns - 1, column + 1); c++)
                    {
                        int next = (r * columns) + c;
                        bool corner = r != row && c != column;
                        if (
                            region[next] == 0
                            && classes[next] == classes[at]
                            && (!corner || connectivity == Connectivity.Eight)
                        )
                        {
                            region[next] = number;
                            open.Push(next);
                        }
                    }
                }
            }
        }

        List<CellRing>[] outer = [.. values.Select(_ => new List<CellRing>())];
        List<CellRing>[] holes = [.. values.Select(_ => new List<CellRing>())];
        HashSet<(int X, int Y, int Way)> done = [];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                // Every ring has an edge along the top of a cell or along its bottom.
                int number = region[(row * columns) + column];
                if (Number(region, rows, columns, row - 1, column) != number && done.Add((column, row, 0)))
                {
                    Keep(Follow(region, rows, columns, number, column, row, 0, done), number);
                }

                if (Number(region, rows, columns, row + 1, column) != number && done.Add((column + 1, row + 1, 2)))
                {
                    Keep(Follow(region, rows, columns, number, column + 1, row + 1, 2, done), number);
                }
            }
        }

        return [.. values.Select((value, at) => new ClassRegion(value, outer[at], holes[at]))];

        void Keep(CellRing ring, int number)
        {
            (ring.SignedArea > 0 ? outer : holes)[number - 1].Add(ring);
        }
    }

    private static int Number(int[] region, int rows, int columns, int row, int column) =>
        row < 0 || column < 0 || row >= rows || column >= columns ? 0 : region[(row * columns) + column];

    private static CellRing Follow(
        int[] region,
        int rows,
        int columns,
        int number,
        int x,
        int y,
        int way,
        HashSet<(int X, int Y, int Way)> done
    )
    {
        List<(int X, int Y)> corners = [];
        (int startX, int startY, int startWay) = (x, y, way);
        do
        {
            x += StepX[way];
            y += StepY[way];

            // Cells ahead on either hand, seen along the way of travel.
            bool right = Ahead(region, rows, columns, x, y, way, rightHand: true) == number;
            bool left = Ahead(region, rows, columns, x, y, way, rightHand: false) == number;

            // Where only corners meet, the ring goes on along the other cell: what lies between stays a hole of its own.
            int turn =
                left ? 3
                : right ? 0
                : 1;
            if (turn != 0)
            {
                corners.Add((x, y));
                way = (way + turn) & 3;
            }

            done.Add((x, y, way));
        } while (x != startX || y != startY || way != startWay);

        return new CellRing(corners);
    }

    private static int Ahead(int[] region, int rows, int columns, int x, int y, int way, bool rightHand)
    {
        (int row, int column) = way switch
        {
            0 => rightHand ? (y, x) : (y - 1, x),
            1 => rightHand ? (y, x - 1) : (y, x),
            2 => rightHand ? (y - 1, x - 1) : (y, x - 1),
            _ => rightHand ? (y - 1, x) : (y - 1, x - 1),
        };
        return Number(region, rows, columns, row, column);
    }
}
