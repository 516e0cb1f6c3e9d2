using System.Text.Json.Serialization;

namespace Hillrow.Intake;

/// <summary>What is wrong with a frame or a capture.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<FrameFault>))]
public enum FrameFault
{
    Unreadable,
    MissingBand,
    OtherCamera,

    /// <summary>Called another band than its metadata say.</summary>
    Misnamed,
    Duplicate,
    Saturated,
    Dark,
    Blurred,
    PositionOutlier,
    NoPosition,

    /// <summary>Of the whole survey: the camera's clock does not tell the time.</summary>
    Clock,

    /// <summary>Of the whole survey: two bands hold each other's pictures.</summary>
    BandsSwapped,

    /// <summary>Of the whole survey: two neighbouring lines lie much farther apart than the others.</summary>
    LineMissing,
}

/// <summary>One frame or capture that is not as it should be.</summary>
/// <param name="Fault">Kind.</param>
/// <param name="Capture">Id of the capture; empty for files that are in none.</param>
/// <param name="Where">File, or capture.</param>
/// <param name="Reason">One line, with the values found.</param>
/// <param name="Excluded">True when the frame does not count for the coverage.</param>
public sealed record FrameFinding(FrameFault Fault, string Capture, string Where, string Reason, bool Excluded)
{
    /// <summary>Files that it stands for: many when another camera's are told together.</summary>
    public int Count { get; init; } = 1;
}

/// <summary>A place in the check's local frame, metres.</summary>
public readonly record struct LocalPlace(double East, double North);

/// <summary>One reading of the light: seconds from the first, level against the middle.</summary>
public readonly record struct LightPoint(double Seconds, double Level);

/// <summary>Ground of a block that too few sharp captures see.</summary>
/// <param name="Block">Name.</param>
/// <param name="AreaSquareMetres">Of its cells.</param>
/// <param name="WidthMetres">Of the widest circle that fits in.</param>
/// <param name="RingLocalMetres">East, north in the check's local frame; closed, counter-clockwise, the outer edge.</param>
/// <param name="Minutes">To fly it again.</param>
public sealed record CoverageHole(
    string Block,
    double AreaSquareMetres,
    double WidthMetres,
    IReadOnlyList<LocalPlace> RingLocalMetres,
    double Minutes
);

/// <summary>How a block was covered.</summary>
/// <param name="Block">Name.</param>
/// <param name="AreaSquareMetres">Of its cells.</param>
/// <param name="LeastViews">Sharp captures that see the least seen cell.</param>
/// <param name="MedianViews">Half of the cells are seen by more.</param>
/// <param name="ShareWellSeen">Share of cells with enough views.</param>
/// <param name="FinestPixelMetres">Smallest pixel.</param>
/// <param name="CoarsestPixelMetres">Largest.</param>
public sealed record BlockCoverage(
    string Block,
    double AreaSquareMetres,
    int LeastViews,
    double MedianViews,
    double ShareWellSeen,
    double FinestPixelMetres,
    double CoarsestPixelMetres
);

/// <summary>Panel pictures before and after the flight.</summary>
/// <param name="Before">Usable panel captures before the first survey capture.</param>
/// <param name="After">Usable ones after the last.</param>
/// <param name="LargestDisagreement">Largest relative difference of a band between before and after; null without both.</param>
/// <param name="Told">One line.</param>
public sealed record PanelCheck(int Before, int After, double? LargestDisagreement, string Told)
{
    /// <summary>Panel captures in which a band is too dark to be used: shadow, or too short an exposure.</summary>
    public int TooDark { get; init; }
}

/// <summary>The irradiance series.</summary>
/// <param name="Steady">False when it broke.</param>
/// <param name="Spread">Robust relative spread about its trend; null without a series.</param>
/// <param name="Series">Seconds from the first capture, level against the middle.</param>
/// <param name="Told">One line.</param>
public sealed record LightCheck(bool Steady, double? Spread, IReadOnlyList<LightPoint> Series, string Told);

/// <summary>How well the check knows what captures see.</summary>
/// <param name="Captures">Sharp survey captures.</param>
/// <param name="Tied">Of them, found to share ground with a neighbour in the pictures.</param>
/// <param name="Ties">Patches of ground that two captures share; 0 when the recorded poses were used as they are.</param>
/// <param name="EdgeSigmaMetres">Standard error of one edge of a hole against the other; that all lies off together is not in it.</param>
public sealed record PlacingCheck(int Captures, int Tied, int Ties, double EdgeSigmaMetres)
{
    public bool ByPictures => Ties > 0;

    /// <summary>Standard error of a hole's width.</summary>
    public double WidthSigmaMetres => Math.Sqrt(2) * EdgeSigmaMetres;
}

/// <summary>The field check: go or re-fly, and why.</summary>
public sealed record FieldCheckResult
{
    public required bool Go { get; init; }

    public required IReadOnlyList<string> Reasons { get; init; }

    public required IReadOnlyList<string> Cautions { get; init; }

    /// <summary>To fly the holes again; 0 without any.</summary>
    public required double ReflyMinutes { get; init; }

    public required int Captures { get; init; }

    public required int SharpCaptures { get; init; }

    /// <summary>Lines, overlap, pixels, and what the plan asked.</summary>
    public AchievedFlight Achieved { get; init; } = new();

    /// <summary>Middle along the lines; without lines 1 − move between triggers / length of a frame; null when too few captures.</summary>
    public required double? ForwardOverlap { get; init; }

    /// <summary>Middle of line against line; without lines what the mean number of views leaves; null when too few captures.</summary>
    public required double? SideOverlap { get; init; }

    public required IReadOnlyList<FrameFinding> Findings { get; init; }

    /// <summary>Captures left out of the map or kept by hand, each with its reason; the run goes by the same list.</summary>
    public IReadOnlyList<CaptureExclusion> Exclusions { get; init; } = [];

    public required IReadOnlyList<BlockCoverage> Blocks { get; init; }

    public required IReadOnlyList<CoverageHole> Holes { get; init; }

    /// <summary>What the holes' outlines rest on.</summary>
    public PlacingCheck Placing { get; init; } = new(0, 0, 0, 0);

    public required PanelCheck Panel { get; init; }

    public required LightCheck Light { get; init; }

    /// <summary>For the map of the page; not written as JSON.</summary>
    [JsonIgnore]
    public CoverageGrid Map { get; init; } = new(new Sight.LocalGrid(0, 0, 1, 0, 0), []);
}

/// <summary>Views of every cell; −1 outside the blocks.</summary>
public sealed record CoverageGrid(Sight.LocalGrid Grid, IReadOnlyList<int> Views)
{
    public IReadOnlyList<CheckBlock> Outlines { get; init; } = [];
}
