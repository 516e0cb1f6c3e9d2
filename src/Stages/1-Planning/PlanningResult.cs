using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Planning;

/// <summary>What the aircraft does at a place of its route.</summary>
public enum RouteKind
{
    /// <summary>Straight, taking pictures.</summary>
    Line,

    /// <summary>From the end of a line to the beginning of the next.</summary>
    Turn,

    /// <summary>A longer way, to or from home or around a no-fly area.</summary>
    Transit,
}

/// <summary>A place of a route, at equal steps along it.</summary>
/// <param name="Seconds">Since take-off.</param>
/// <param name="Place">In plan.</param>
/// <param name="UpMetres">Local up coordinate.</param>
/// <param name="AzimuthRadians">Of the nose, clockwise from local north.</param>
/// <param name="SpeedMetresPerSecond">Over ground, of the step that begins here.</param>
/// <param name="Kind">What it is part of.</param>
/// <param name="Line">Number of the line within the sortie, from 1; 0 off the lines.</param>
public readonly record struct RouteSample(
    double Seconds,
    PlanPoint Place,
    double UpMetres,
    double AzimuthRadians,
    double SpeedMetresPerSecond,
    RouteKind Kind,
    int Line
);

/// <summary>One planned trigger of the camera, which looks straight down with the top of the picture towards the nose.</summary>
/// <param name="Number">From 1, through the whole plan.</param>
/// <param name="Seconds">Since take-off.</param>
/// <param name="PositionLocalMetres">Of the camera, in the plan's local frame.</param>
/// <param name="YawDegrees">Clockwise from local north.</param>
/// <param name="Line">Number of the line within the sortie, from 1.</param>
public readonly record struct PlannedTrigger(
    int Number,
    double Seconds,
    Vector3D PositionLocalMetres,
    double YawDegrees,
    int Line
);

/// <summary>A straight line of a sortie with its timing.</summary>
public readonly record struct SortieLine(
    int Number,
    PlanPoint From,
    PlanPoint To,
    double SpeedMetresPerSecond,
    double BaseMetres,
    int Captures
)
{
    public double IntervalSeconds => BaseMetres / SpeedMetresPerSecond;
}

/// <summary>One take-off to one landing, on one battery.</summary>
public sealed record Sortie
{
    public required int Number { get; init; }

    public required HomePoint Home { get; init; }

    /// <summary>Ground at home, local up.</summary>
    public required double HomeUpMetres { get; init; }

    /// <summary>From above home to above home; before it the aircraft climbs straight up, after it it sinks straight down.</summary>
    public required IReadOnlyList<RouteSample> Route { get; init; }

    public required IReadOnlyList<PlannedTrigger> Captures { get; init; }

    public required IReadOnlyList<SortieLine> Lines { get; init; }

    /// <summary>In the air, take-off and landing included.</summary>
    public required double Seconds { get; init; }

    public required double EnergyWattHours { get; init; }

    public required double BudgetWattHours { get; init; }

    public required double LineMetres { get; init; }

    public required double TurnMetres { get; init; }

    public required double TransitMetres { get; init; }

    /// <summary>Sum of all climbs, take-off included.</summary>
    public required double ClimbMetres { get; init; }

    /// <summary>Highest place of the route above the ground at home.</summary>
    public required double HighestAboveHomeMetres { get; init; }

    /// <summary>Least distance, straight down, to known ground, canopy and obstacles, errors not taken off.</summary>
    public required double LeastClearanceMetres { get; init; }

    public required double HighestAboveGroundMetres { get; init; }

    /// <summary>Farthest from the pilot.</summary>
    public required double FarthestMetres { get; init; }

    /// <summary>Length of turns and transits that the pilot cannot see (lines are always seen).</summary>
    public required double HiddenMetres { get; init; }

    public double LengthMetres => LineMetres + TurnMetres + TransitMetres;
}

/// <summary>How the lines of a field were laid.</summary>
/// <param name="Blocks">Names.</param>
/// <param name="Chosen">The direction flown, as estimated.</param>
/// <param name="Contour">The direction along the contour, for comparison.</param>
public sealed record FieldDirection(IReadOnlyList<string> Blocks, DirectionCost Chosen, DirectionCost Contour);

/// <summary>What the plan sees, cell by cell.</summary>
/// <param name="Map">On the nominal ground with the crop's height.</param>
/// <param name="InBlock">One per cell of the map: 1 inside a block.</param>
/// <param name="LeastViews">On the nominal ground.</param>
/// <param name="MedianViews">On the nominal ground.</param>
/// <param name="RaisedShare">Share of block cells with the asked views if all ground lay higher by its error at the asked probability.</param>
/// <param name="FinestPixelMetres">Smallest pixel on any block cell.</param>
/// <param name="MedianPixelMetres">Median over block cells of each cell's finest pixel.</param>
/// <param name="CoarsestPixelMetres">95 % of block cells are seen at least this finely at best.</param>
public sealed record PlannedCoverage(
    CoverageMap Map,
    byte[] InBlock,
    int LeastViews,
    double MedianViews,
    double RaisedShare,
    double FinestPixelMetres,
    double MedianPixelMetres,
    double CoarsestPixelMetres
)
{
    /// <summary>
    /// Mean probability that a place of the blocks keeps the asked overlap although heights are uncertain, in the field
    /// where it is least; before parts were left out for being unseen from home.
    /// </summary>
    public double PromisedShare { get; init; } = 1;

    /// <summary>Share of block cells with the asked views on the nominal ground.</summary>
    public double NominalShare { get; init; } = 1;
}

/// <summary>A finished plan.</summary>
public sealed record PlanningResult
{
    private const double SquareMetresPerHectare = 10_000;

    public required PlanningInput Input { get; init; }

    public required PlanningSettings Settings { get; init; }

    public required IReadOnlyList<Sortie> Sorties { get; init; }

    public required IReadOnlyList<FieldDirection> Fields { get; init; }

    public required PlannedCoverage Coverage { get; init; }

    public required IReadOnlyList<LightMoment> Light { get; init; }

    public required IReadOnlyList<ProposedMark> Marks { get; init; }

    /// <summary>Wanted height above the nominal ground.</summary>
    public required double HeightMetres { get; init; }

    /// <summary>Least height of the route above known tops: clearance and what the errors need.</summary>
    public required double MarginMetres { get; init; }

    /// <summary>What the pilot must know; with no-fly areas and what was left out.</summary>
    public required IReadOnlyList<string> Cautions { get; init; }

    public int CaptureCount => Sorties.Sum(sortie => sortie.Captures.Count);

    /// <summary>Over the whole area of the blocks, edges and runs beyond them included.</summary>
    public double CapturesPerHectare =>
        CaptureCount / (Input.Blocks.Sum(block => block.AreaSquareMetres) / SquareMetresPerHectare);

    /// <summary>
    /// What flat-ground formulas ask inside a wide level field, without crop or errors: one over capture distance times
    /// line spacing.
    /// </summary>
    public double LevelCapturesPerHectare
    {
        get
        {
            (double width, double length) = Input.Camera.LevelFootprint(HeightMetres);
            return SquareMetresPerHectare
                / ((1 - Settings.ForwardOverlap) * length * (1 - Settings.SideOverlap) * width);
        }
    }

    public long StorageBytes => CaptureCount * Input.Camera.BytesPerCapture;

    public double LargestBlurPixels =>
        Sorties
            .SelectMany(sortie => sortie.Lines)
            .Select(line =>
                MotionBlur.OfTravel(line.SpeedMetresPerSecond, Settings.LongestExposureSeconds, Settings.PixelMetres)
            )
            .DefaultIfEmpty(0)
            .Max();
}
