namespace Hillrow.Sight;

/// <summary>Lowest and highest height of each cell of a grid of posts, and of ever larger squares of cells.</summary>
/// <remarks>A cell that touches a void (NaN post) has no surface: lowest +∞, highest −∞.</remarks>
internal sealed class HeightPyramid
{
    private HeightPyramid(Level[] levels) => Levels = levels;

    /// <summary>Finest first; the last holds one cell.</summary>
    public Level[] Levels { get; }

    public static HeightPyramid Over(ReadOnlySpan<float> posts, int rows, int columns)
    {
        List<Level> levels = [Finest(posts, rows, columns)];
        while (levels[^1].Rows > 1 || levels[^1].Columns > 1)
        {
            levels.Add(Above(levels[^1]));
        }

        return new HeightPyramid([.. levels]);
    }

    /// <summary>Bounds over the cells that a rectangle touches, read at a level where it spans few cells.</summary>
    public (double Lowest, double Highest) RangeOf(double fromColumn, double toColumn, double fromRow, double toRow)
    {
        const double FewCells = 16;
        int level = 0;
        double span = Math.Max(toColumn - fromColumn, toRow - fromRow);
        while (span > FewCells * (1 << level) && level < Levels.Length - 1)
        {
            level++;
        }

        Level cells = Levels[level];
        double size = 1 << level;
        int firstColumn = Math.Clamp((int)Math.Floor(fromColumn / size), 0, cells.Columns);
        int lastColumn = Math.Clamp((int)Math.Floor(toColumn / size), -1, cells.Columns - 1);
        int firstRow = Math.Clamp((int)Math.Floor(fromRow / size), 0, cells.Rows);
        int lastRow = Math.Clamp((int)Math.Floor(toRow / size), -1, cells.Rows - 1);
        double lowest = double.PositiveInfinity;
        double highest = double.NegativeInfinity;
        for (int row = firstRow; row <= lastRow; row++)
        {
            for (int column = firstColumn; column <= lastColumn; column++)
            {
                lowest = Math.Min(lowest, cells.Lowest[(row * cells.Columns) + column]);
                highest = Math.Max(highest, cells.Highest[(row * cells.Columns) + column]);
            }
        }

        return (lowest, highest);
    }

    private static Level Finest(ReadOnlySpan<float> posts, int rows, int columns)
    {
        Level level = new(rows - 1, columns - 1);
        for (int row = 0; row < level.Rows; row++)
        {
            for (int column = 0; column < level.Columns; column++)
            {
                int at = (row * columns) + column;
                (float a, float b, float c, float d) = (
                    posts[at],
                    posts[at + 1],
                    posts[at + columns],
                    posts[at + columns + 1]
                );
                // MathF.Max and Min give NaN when either side is NaN, so one void post voids the cell.
                float high = MathF.Max(MathF.Max(a, b), MathF.Max(c, d));
                if (!float.IsNaN(high))
                {
                    level.Highest[(row * level.Columns) + column] = high;
                    level.Lowest[(row * level.Columns) + column] = MathF.Min(MathF.Min(a, b), MathF.Min(c, d));
                }
            }
        }

        return level;
    }

    private static Level Above(Level below)
    {
        Level level = new((below.Rows + 1) / 2, (below.Columns + 1) / 2);
        for (int row = 0; row < below.Rows; row++)
        {
            for (int column = 0; column < below.Columns; column++)
            {
                int from = (row * below.Columns) + column;
                int to = (row / 2 * level.Columns) + (column / 2);
                level.Highest[to] = MathF.Max(level.Highest[to], below.Highest[from]);
                level.Lowest[to] = MathF.Min(level.Lowest[to], below.Lowest[from]);
            }
        }

        return level;
    }

    internal sealed class Level
    {
        public Level(int rows, int columns)
        {
            Rows = rows;
            Columns = columns;
            Highest = new float[rows * columns];
            Lowest = new float[rows * columns];
            Array.Fill(Highest, float.NegativeInfinity);
            Array.Fill(Lowest, float.PositiveInfinity);
        }

        public int Rows { get; }

        public int Columns { get; }

        public float[] Highest { get; }

        public float[] Lowest { get; }
    }
}
