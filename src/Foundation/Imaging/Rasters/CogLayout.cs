namespace Hillrow.Imaging;

/// <summary>How tiles are compressed.</summary>
public enum RasterCodec
{
    None,
    Deflate,
}

/// <summary>How the coarser levels are made of the finer ones.</summary>
public enum OverviewMethod
{
    /// <summary>Mean of the up to four cells that hold data: for measured quantities.</summary>
    Average,

    /// <summary>The north-western of the four cells: for classes, numbers of plants, masks.</summary>
    Nearest,
}

/// <summary>When the 64-bit form of TIFF is used.</summary>
public enum BigTiffUse
{
    WhenNeeded,
    Always,
}

/// <summary>Choices for the cloud-optimized GeoTIFF that is written; docs/reference/rasters.md gives the reasons.</summary>
public sealed record CogLayout
{
    /// <summary>Edge of a tile in cells, a multiple of 16; 512 balances request count against waste.</summary>
    public int TileSize { get; init; } = 512;

    /// <summary>Deflate, because every reader has it.</summary>
    public RasterCodec Codec { get; init; } = RasterCodec.Deflate;

    /// <summary>1 fastest … 9 smallest; 6 as most tools.</summary>
    public int Level { get; init; } = 6;

    /// <summary>Differences of neighbours before compressing: helps measured quantities, harms class maps.</summary>
    public bool Predict { get; init; } = true;

    /// <summary>True stores the bands of a cell side by side; false (default) band after band, so that one band can be read alone.</summary>
    public bool PixelInterleaved { get; init; }

    public OverviewMethod Overviews { get; init; } = OverviewMethod.Average;

    public BigTiffUse BigTiff { get; init; } = BigTiffUse.WhenNeeded;

    /// <summary>Waits until the disk holds the file before it gets its name; false only for scratch files.</summary>
    public bool Durable { get; init; } = true;

    /// <summary>For class maps, plant numbers and masks: nearest overviews, no differences.</summary>
    public static CogLayout ForClasses { get; } = new() { Predict = false, Overviews = OverviewMethod.Nearest };

    /// <summary>Checks what the type system cannot.</summary>
    /// <exception cref="InvalidOperationException">All broken rules, together.</exception>
    public CogLayout Checked()
    {
        List<string> broken = [];
        if (TileSize is < 16 or > 8192 || TileSize % 16 != 0)
        {
            broken.Add($"TileSize {TileSize} (a multiple of 16, 16 … 8192)");
        }

        if (Level is < 1 or > 9)
        {
            broken.Add($"Level {Level} (1 … 9)");
        }

        return broken.Count == 0
            ? this
            : throw new InvalidOperationException("Layout: " + string.Join("; ", broken) + ".");
    }
}
