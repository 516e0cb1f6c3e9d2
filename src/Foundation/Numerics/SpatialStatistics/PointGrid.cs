namespace Hillrow.Numerics.SpatialStatistics;

/// <summary>Points sorted into square cells, the occupied extent cut into at most a few cells a point.</summary>
internal sealed class PointGrid
{
    private readonly double[] x;
    private readonly double[] y;
    private readonly double left;
    private readonly double bottom;
    private readonly double cell;
    private readonly int columns;
    private readonly int rows;
    private readonly int[] starts;
    private readonly int[] members;

    public PointGrid(double[] x, double[] y, double wantedCell)
    {
        Regression.Finite.CheckSameLength(x.Length, y.Length, "x, y");
        Regression.Finite.Check(x, nameof(x));
        Regression.Finite.Check(y, nameof(y));
        (this.x, this.y) = (x, y);
        left = x.Length == 0 ? 0 : x.Min();
        bottom = y.Length == 0 ? 0 : y.Min();
        double width = x.Length == 0 ? 0 : x.Max() - left;
        double height = y.Length == 0 ? 0 : y.Max() - bottom;

        // The grid may not outgrow the points: far-flung ones get larger cells.
        cell = wantedCell;
        double limit = (4.0 * x.Length) + 64;
        while (((width / cell) + 1) * ((height / cell) + 1) > limit)
        {
            cell *= 1.5;
        }

        columns = (int)(width / cell) + 1;
        rows = (int)(height / cell) + 1;
        starts = new int[(columns * rows) + 1];
        int[] cells = new int[x.Length];
        for (int i = 0; i < x.Length; i++)
        {
            cells[i] = (Row(y[i]) * columns) + Column(x[i]);
            starts[cells[i] + 1]++;
        }

        for (int i = 1; i < starts.Length; i++)
        {
            starts[i] += starts[i - 1];
        }

        members = new int[x.Length];
        int[] next = (int[])starts.Clone();
        for (int i = 0; i < x.Length; i++)
        {
            members[next[cells[i]]++] = i;
        }
    }

    public int Count => x.Length;

    /// <summary>Cell side for about the given number of points a cell, by extent and count.</summary>
    public static double CellFor(ReadOnlySpan<double> x, ReadOnlySpan<double> y, double pointsPerCell)
    {
        double lowX = double.PositiveInfinity;
        double highX = double.NegativeInfinity;
        double lowY = double.PositiveInfinity;
        double highY = double.NegativeInfinity;
        for (int i = 0; i < Math.Min(x.Length, y.Length); i++)
        {
            lowX = Math.Min(lowX, x[i]);
            highX = Math.Max(highX, x[i]);
            lowY = Math.Min(lowY, y[i]);
            highY = Math.Max(highY, y[i]);
        }

        double width = highX - lowX;
        double height = highY - lowY;
        double side = Math.Sqrt(width * height * pointsPerCell / x.Length);
        side = Math.Max(side, Math.Max(width, height) * pointsPerCell / x.Length);
        return side > 0 && double.IsFinite(side) ? side : 1;
    }

    public void Within(int place, double distance, List<(double Square, int Place)> found)
    {
        double px = x[place];
        double py = y[place];
        double limit = distance * distance;
        int firstColumn = Column(px - distance);
        int lastColumn = Column(px + distance);
        int lastRow = Row(py + distance);
        for (int row = Row(py - distance); row <= lastRow; row++)
        {
            int end = starts[(row * columns) + lastColumn + 1];
            for (int k = starts[(row * columns) + firstColumn]; k < end; k++)
            {
                int other = members[k];
                double square = Square(other, px, py);
                if (square <= limit && other != place)
                {
                    found.Add((square, other));
                }
            }
        }
    }

    /// <summary>Rings of cells outwards until the k-th distance lies inside the searched square.</summary>
    public void Nearest(int place, int k, List<(double Square, int Place)> found)
    {
        double px = x[place];
        double py = y[place];
        int column = Column(px);
        int row = Row(py);
        int last = Math.Max(columns, rows);
        for (int ring = 0; ring <= last; ring++)
        {
            for (int r = Math.Max(0, row - ring); r <= Math.Min(rows - 1, row + ring); r++)
            {
                bool edge = Math.Abs(r - row) == ring;
                int step = edge || ring == 0 ? 1 : 2 * ring;
                for (int c = column - ring; c <= column + ring; c += step)
                {
                    if (c >= 0 && c < columns)
                    {
                        AddCell((r * columns) + c, place, px, py, k, found);
                    }
                }
            }

            double reach = Math.Min(
                Math.Min(px - (left + ((column - ring) * cell)), left + ((column + ring + 1) * cell) - px),
                Math.Min(py - (bottom + ((row - ring) * cell)), bottom + ((row + ring + 1) * cell) - py)
            );
            if (found.Count >= k && reach > 0 && found[k - 1].Square < reach * reach)
            {
                break;
            }
        }
    }

    private void AddCell(int at, int place, double px, double py, int k, List<(double Square, int Place)> found)
    {
        for (int m = starts[at]; m < starts[at + 1]; m++)
        {
            int other = members[m];
            if (other == place)
            {
                continue;
            }

            (double Square, int Place) entry = (Square(other, px, py), other);
            if (found.Count == k && entry.CompareTo(found[k - 1]) >= 0)
            {
                continue;
            }

            int position = found.Count;
            while (position > 0 && entry.CompareTo(found[position - 1]) < 0)
            {
                position--;
            }

            found.Insert(position, entry);
            if (found.Count > k)
            {
                found.RemoveAt(k);
            }
        }
    }

    private double Square(int other, double px, double py)
    {
        double dx = x[other] - px;
        double dy = y[other] - py;
        return (dx * dx) + (dy * dy);
    }

    private int Column(double at) => (int)Math.Clamp((at - left) / cell, 0, columns - 1);

    private int Row(double at) => (int)Math.Clamp((at - bottom) / cell, 0, rows - 1);
}
