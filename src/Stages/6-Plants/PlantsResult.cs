using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Plants;

/// <summary>What makes a plant's measures less trustworthy.</summary>
[Flags]
public enum PlantQuality
{
    Good = 0,

    /// <summary>More than a third of the crown's outline touches another crown: area and position lean on the planting distance.</summary>
    Touching = 1,

    /// <summary>More than half of the crown lies in shadow.</summary>
    Shadowed = 2,

    /// <summary>The crown reaches the edge of the map or a hole in it.</summary>
    Cut = 4,

    /// <summary>Stands away from the planting pattern.</summary>
    OffPattern = 8,

    /// <summary>Much smaller than its peers: young, dying, or a tall weed.</summary>
    Small = 16,

    /// <summary>No canopy height: told by reflectance alone.</summary>
    NoHeight = 32,

    /// <summary>Fewer than ten sunlit pixels behind the band statistics.</summary>
    FewPixels = 64,

    /// <summary>Two tops in one crown: perhaps two stems.</summary>
    Double = 128,

    /// <summary>Known from an earlier survey and covered by canopy in which no crown of its own shows: its crown is a share of that canopy.</summary>
    Inseparable = 256,
}

/// <summary>A value and its standard uncertainty, same unit.</summary>
public readonly record struct Measured(double Value, double Sigma)
{
    public static Measured None { get; } = new(double.NaN, double.NaN);
}

/// <summary>A band or index over a crown's sunlit pixels.</summary>
/// <param name="Name">Band name, NDVI, NDRE, or "NDVI lit leaves" (<see cref="LitLeaves"/>).</param>
/// <param name="Mean">With the standard uncertainty of the mean.</param>
/// <param name="Median">Of the same pixels.</param>
/// <param name="Deviation">Standard deviation between pixels.</param>
public sealed record CrownValue(string Name, Measured Mean, double Median, double Deviation);

/// <summary>One plant of one survey.</summary>
/// <param name="Index">From 1 within the block and survey; the label in the crown raster.</param>
/// <param name="Row">Row number in the block, from 1.</param>
/// <param name="PositionInRow">Slot number in the row, gaps counted, from 1.</param>
/// <param name="Place">Of the stem as far as a crown tells it.</param>
public sealed record PlantRecord(int Index, int Row, int PositionInRow, GridPoint Place)
{
    /// <summary>Standard uncertainty of each coordinate.</summary>
    public double PlaceSigmaMetres { get; init; }

    public Measured TopHeightMetres { get; init; } = Measured.None;

    /// <summary>90th percentile of canopy height over the crown.</summary>
    public Measured UpperHeightMetres { get; init; } = Measured.None;

    public Measured CrownAreaSquareMetres { get; init; } = Measured.None;

    /// <summary>Longest axis of the ellipse of equal second moments.</summary>
    public Measured LongDiameterMetres { get; init; } = Measured.None;

    public Measured ShortDiameterMetres { get; init; } = Measured.None;

    /// <summary>Between ground and canopy top over the crown.</summary>
    public Measured VolumeCubicMetres { get; init; } = Measured.None;

    /// <summary>Share of the crown's closed outline that is foliage, 0 … 1; the rest is see-through.</summary>
    public Measured FoliageDensity { get; init; } = Measured.None;

    /// <summary>Top height over mean crown diameter: large for spindly plants.</summary>
    public Measured Stretch { get; init; } = Measured.None;

    public IReadOnlyList<CrownValue> Values { get; init; } = [];

    /// <summary>Share of the crown in shadow, 0 … 1; NaN without a shadow map.</summary>
    public double ShadowShare { get; init; } = double.NaN;

    public int SunlitPixels { get; init; }

    public PlantQuality Quality { get; init; }
}

/// <summary>A position of a row without a plant: a gap, or hidden from view.</summary>
/// <param name="Row">Row number.</param>
/// <param name="PositionInRow">Slot number in the row.</param>
/// <param name="Place">Where a plant should stand.</param>
/// <param name="PlaceSigmaMetres">Standard uncertainty of each coordinate.</param>
/// <param name="Reason">Why it is hidden; empty for a gap.</param>
public sealed record EmptyPosition(int Row, int PositionInRow, GridPoint Place, double PlaceSigmaMetres, string Reason)
{
    /// <summary>An earlier survey saw a plant here, and this one cannot tell whether it still stands.</summary>
    public bool IsKnownPlant { get; init; }
}

/// <summary>A planted line: from the upper side of the block (north without a ground model) counted from 1; from west to east.</summary>
public sealed record PlantRow(int Number, IReadOnlyList<GridPoint> Line, double LengthMetres);

/// <summary>Everything found in one block.</summary>
public sealed record BlockPlants(string Block, StageOutcome Outcome)
{
    public double RowSpacingMetres { get; init; }

    public double PlantSpacingMetres { get; init; }

    /// <summary>What was learnt from a person's labels; null without any in the block.</summary>
    public LabelTrial? Learning { get; init; }

    public IReadOnlyList<PlantRow> Rows { get; init; } = [];

    public IReadOnlyList<PlantRecord> Plants { get; init; } = [];

    public IReadOnlyList<EmptyPosition> Gaps { get; init; } = [];

    public IReadOnlyList<EmptyPosition> Hidden { get; init; } = [];

    /// <summary>Plant index of every pixel of the block's window, 0 outside crowns; null when nothing was found. <see cref="CrownOutlines"/> draws them.</summary>
    public Raster<int>? Crowns { get; init; }
}

/// <summary>The plants of one survey.</summary>
public sealed record PlantsResult(StageOutcome Outcome, IReadOnlyList<BlockPlants> Blocks);
