namespace Hillrow.Earth;

/// <summary>
/// Walks a straight line over the bilinear surface through posts, cell by cell; in each cell the height along the line is
/// the exact parabola a + b·t + c·t², t in metres from the start.
/// </summary>
internal ref struct TerrainRay
{
    private readonly ReadOnlySpan<float> posts;
    private readonly int rows;
    private readonly int columns;
    private readonly double startRow;
    private readonly double startColumn;
    private readonly double rowsPerMetre;
    private readonly double columnsPerMetre;
    private int row;
    private int column;

    /// <param name="posts">Rows × Columns, metres, row-major.</param>
    /// <param name="rows">At least 2.</param>
    /// <param name="columns">At least 2.</param>
    /// <param name="startRow">Fractional row of posts, inside the hull.</param>
    /// <param name="startColumn">Fractional column of posts, inside the hull.</param>
    /// <param name="rowsPerMetre">Rows (southward) passed in a metre.</param>
    /// <param name="columnsPerMetre">Columns (eastward) passed in a metre.</param>
    public TerrainRay(
        ReadOnlySpan<float> posts,
        int rows,
        int columns,
        double startRow,
        double startColumn,
        double rowsPerMetre,
        double columnsPerMetre
    )
    {
        this.posts = posts;
        this.rows = rows;
        this.columns = columns;
        this.startRow = startRow;
        this.startColumn = startColumn;
        // sin 180° is 1e-16, not 0: a line that near to a row or column of posts follows it.
        double fastest = Math.Max(Math.Abs(rowsPerMetre), Math.Abs(columnsPerMetre));
        this.rowsPerMetre = Math.Abs(rowsPerMetre) < 1e-12 * fastest ? 0 : rowsPerMetre;
        this.columnsPerMetre = Math.Abs(columnsPerMetre) < 1e-12 * fastest ? 0 : columnsPerMetre;
        row = FirstCell(startRow, this.rowsPerMetre);
        column = FirstCell(startColumn, this.columnsPerMetre);
        To = 0;
    }

    /// <summary>Where this cell begins along the line, metres.</summary>
    public double From { get; private set; }

    /// <summary>Where this cell ends along the line, metres.</summary>
    public double To { get; private set; }

    public double A { get; private set; }

    public double B { get; private set; }

    public double C { get; private set; }

    /// <summary>Goes to the next cell; false when the line has left the posts. Void cells have NaN parabolas.</summary>
    public bool MoveNext()
    {
        while (true)
        {
            if (!Inside(row, rows, startRow, rowsPerMetre) || !Inside(column, columns, startColumn, columnsPerMetre))
            {
                return false;
            }

            double nextRow = Crossing(row, startRow, rowsPerMetre);
            double nextColumn = Crossing(column, startColumn, columnsPerMetre);
            double next = Math.Min(nextRow, nextColumn);
            int cellRow = row;
            int cellColumn = column;
            if (nextRow <= next)
            {
                row += Math.Sign(rowsPerMetre);
            }

            if (nextColumn <= next)
            {
                column += Math.Sign(columnsPerMetre);
            }

            if (next > To || double.IsPositiveInfinity(next))
            {
                From = To;
                To = next;
                Fit(cellRow, cellColumn);
                return true;
            }
        }
    }

    private static int FirstCell(double start, double perMetre)
    {
        int cell = (int)Math.Floor(start);
        return perMetre < 0 && start.Equals(cell) ? cell - 1 : cell;
    }

    /// <summary>A line along the last row or column of posts has no cell beyond it and needs none.</summary>
    private static bool Inside(int cell, int posts, double start, double perMetre) =>
        cell >= 0 && (cell < posts - 1 || (perMetre == 0 && cell == posts - 1 && start.Equals(cell)));

    private static double Crossing(int cell, double start, double perMetre) =>
        perMetre switch
        {
            > 0 => (cell + 1 - start) / perMetre,
            < 0 => (cell - start) / perMetre,
            _ => double.PositiveInfinity,
        };

    private void Fit(int cellRow, int cellColumn)
    {
        double u = startColumn - cellColumn;
        double v = startRow - cellRow;
        // Along a row or column of posts the far corners have weight 0 and may be void or missing.
        bool alongColumn = columnsPerMetre == 0 && u == 0;
        bool alongRow = rowsPerMetre == 0 && v == 0;
        int at = (cellRow * columns) + cellColumn;
        int right = alongColumn ? 0 : 1;
        int below = alongRow ? 0 : columns;
        double northWest = posts[at];
        double east = posts[at + right] - northWest;
        double south = posts[at + below] - northWest;
        double twist = posts[at + below + right] - northWest - east - south;
        A = northWest + (east * u) + (south * v) + (twist * u * v);
        B = (east * columnsPerMetre) + (south * rowsPerMetre) + (twist * ((u * rowsPerMetre) + (v * columnsPerMetre)));
        C = twist * columnsPerMetre * rowsPerMetre;
    }
}
