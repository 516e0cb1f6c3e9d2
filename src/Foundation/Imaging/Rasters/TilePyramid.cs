namespace Hillrow.Imaging;

/// <summary>One level of a tiled raster: 0 is full resolution, each next one half as fine.</summary>
/// <param name="Rows">Rows of cells.</param>
/// <param name="Columns">Columns of cells.</param>
/// <param name="TileSize">Edge of a tile in cells.</param>
/// <param name="Planes">Bands stored apart: the number of bands, or 1 when they lie side by side.</param>
internal sealed record PyramidLevel(int Rows, int Columns, int TileSize, int Planes)
{
    public int TileRows => ((Rows - 1) / TileSize) + 1;

    public int TileColumns => ((Columns - 1) / TileSize) + 1;

    public int TileCount => checked(TileRows * TileColumns * Planes);

    public int RowsOf(int tileRow) => Math.Min(TileSize, Rows - (tileRow * TileSize));

    public int ColumnsOf(int tileColumn) => Math.Min(TileSize, Columns - (tileColumn * TileSize));

    /// <summary>Place of a tile in the file's tile tables: plane by plane, row-major.</summary>
    public int IndexOf(int plane, int tileRow, int tileColumn) =>
        (((plane * TileRows) + tileRow) * TileColumns) + tileColumn;

    /// <summary>How many tiles of the next finer level a tile of this level is made of (1, 2 or 4).</summary>
    public static int ChildrenOf(PyramidLevel finer, int tileRow, int tileColumn) =>
        Math.Min(2, finer.TileRows - (2 * tileRow)) * Math.Min(2, finer.TileColumns - (2 * tileColumn));

    /// <summary>Levels from full resolution to the one that a single tile covers.</summary>
    public static IReadOnlyList<PyramidLevel> Pyramid(int rows, int columns, int tileSize, int planes)
    {
        List<PyramidLevel> levels = [new(rows, columns, tileSize, planes)];
        while (rows > tileSize || columns > tileSize)
        {
            rows = rows - (rows / 2);
            columns = columns - (columns / 2);
            levels.Add(new(rows, columns, tileSize, planes));
        }

        return levels;
    }
}
