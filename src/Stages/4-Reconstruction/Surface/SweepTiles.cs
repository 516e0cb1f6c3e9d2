namespace Hillrow.Reconstruction;

/// <summary>
/// Which heights are tried where: a picture in tiles, each with its own first level and number of levels, and the place
/// of each pixel's costs in one array.
/// </summary>
/// <remarks>A level is a whole number of steps over the capture's plane, so neighbours of other range still compare.</remarks>
internal sealed class SweepTiles
{
    /// <summary>Columns of a tile: one vector of bytes.</summary>
    public const int Width = 16;

    /// <summary>Rows of a tile.</summary>
    public const int Height = 8;

    /// <summary>Levels come in vectors of 16.</summary>
    public const int LevelUnit = 16;

    private readonly int[] offsets;

    /// <param name="rows">Of the picture.</param>
    /// <param name="columns">Of the picture.</param>
    /// <param name="firstLevels">Of each tile, row by row.</param>
    /// <param name="levels">Of each tile, multiples of <see cref="LevelUnit"/>.</param>
    public SweepTiles(int rows, int columns, int[] firstLevels, int[] levels)
    {
        (Rows, Columns) = (rows, columns);
        Across = (columns + Width - 1) / Width;
        Down = (rows + Height - 1) / Height;
        ArgumentOutOfRangeException.ThrowIfNotEqual(firstLevels.Length, Across * Down);
        ArgumentOutOfRangeException.ThrowIfNotEqual(levels.Length, Across * Down);
        FirstLevels = firstLevels;
        Levels = levels;
        offsets = new int[levels.Length];
        int total = 0;
        for (int tile = 0; tile < levels.Length; tile++)
        {
            ArgumentOutOfRangeException.ThrowIfNotEqual(levels[tile] % LevelUnit, 0);
            offsets[tile] = total;
            total += Width * Height * levels[tile];
            MostLevels = Math.Max(MostLevels, levels[tile]);
        }

        VolumeLength = total;
    }

    public int Rows { get; }

    public int Columns { get; }

    /// <summary>Tiles across.</summary>
    public int Across { get; }

    /// <summary>Tiles down.</summary>
    public int Down { get; }

    public int[] FirstLevels { get; }

    public int[] Levels { get; }

    public int MostLevels { get; }

    /// <summary>Costs in all.</summary>
    public int VolumeLength { get; }

    public int TileOf(int row, int column) => (row / Height * Across) + (column / Width);

    /// <summary>First cost of a pixel; one for each level follows.</summary>
    public int OffsetOf(int tile, int row, int column) =>
        offsets[tile] + ((((row % Height) * Width) + (column % Width)) * Levels[tile]);
}
