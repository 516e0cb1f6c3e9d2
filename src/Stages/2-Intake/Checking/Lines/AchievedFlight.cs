namespace Hillrow.Intake;

/// <summary>One straight pass as flown.</summary>
/// <param name="Sortie">Name.</param>
/// <param name="Number">From 1, in the order of flying within the sortie.</param>
/// <param name="Captures">That count for the map.</param>
/// <param name="LengthMetres">From its first to its last capture.</param>
/// <param name="AzimuthDegrees">Clockwise from north.</param>
/// <param name="ForwardOverlap">Middle of its captures, 0 … 1.</param>
/// <param name="LeastForwardOverlap">Of any two captures in a row.</param>
/// <param name="SideOverlap">With the line beside it, the worse side; null when no line lies beside.</param>
public sealed record FlownLine(
    string Sortie,
    int Number,
    int Captures,
    double LengthMetres,
    double AzimuthDegrees,
    double ForwardOverlap,
    double LeastForwardOverlap,
    double? SideOverlap
);

/// <summary>A planned trigger in the check's local frame.</summary>
/// <param name="Sortie">Number in the plan.</param>
/// <param name="Line">Number within the sortie.</param>
/// <param name="Place">East, north, metres.</param>
public readonly record struct WantedCapture(int Sortie, int Line, LocalPlace Place);

/// <summary>What a plan asked of the flight.</summary>
/// <param name="Name">Of the plan.</param>
/// <param name="ForwardOverlap">0 … 1.</param>
/// <param name="SideOverlap">0 … 1.</param>
/// <param name="PixelMetres">On the ground.</param>
/// <param name="Captures">All triggers.</param>
public sealed record WantedFlight(
    string Name,
    double ForwardOverlap,
    double SideOverlap,
    double PixelMetres,
    IReadOnlyList<WantedCapture> Captures
);

/// <summary>A planned line and how much of it was flown.</summary>
/// <param name="Sortie">Number in the plan.</param>
/// <param name="Line">Number within the sortie.</param>
/// <param name="Planned">Triggers.</param>
/// <param name="Achieved">Of them, those with a counted capture near.</param>
public sealed record PlannedLine(int Sortie, int Line, int Planned, int Achieved)
{
    /// <summary>At least nine tenths of its triggers.</summary>
    public bool Flown => Achieved >= 0.9 * Planned;
}

/// <summary>The flight against its plan.</summary>
/// <param name="Plan">Name.</param>
/// <param name="PlannedCaptures">Triggers of the plan.</param>
/// <param name="AchievedCaptures">Of them, those with a counted capture near.</param>
/// <param name="Lines">Of the plan.</param>
/// <param name="WantedForwardOverlap">0 … 1.</param>
/// <param name="WantedSideOverlap">0 … 1.</param>
/// <param name="WantedPixelMetres">On the ground.</param>
public sealed record AchievedPlan(
    string Plan,
    int PlannedCaptures,
    int AchievedCaptures,
    IReadOnlyList<PlannedLine> Lines,
    double WantedForwardOverlap,
    double WantedSideOverlap,
    double WantedPixelMetres
)
{
    public int LinesFlown => Lines.Count(line => line.Flown);
}

/// <summary>Pixel sizes in the middle of the counted frames, on the ground below.</summary>
/// <param name="FinestMetres">One in twenty is finer.</param>
/// <param name="MiddleMetres">Half are finer.</param>
/// <param name="CoarsestMetres">One in twenty is coarser.</param>
public readonly record struct PixelSpread(double FinestMetres, double MiddleMetres, double CoarsestMetres);

/// <summary>How the flight came out: lines, overlap, pixels, and the plan if there is one.</summary>
public sealed record AchievedFlight
{
    public IReadOnlyList<FlownLine> Lines { get; init; } = [];

    /// <summary>Middle over all lines; null without lines.</summary>
    public double? ForwardOverlap { get; init; }

    /// <summary>Middle over lines that have one beside them; null without such.</summary>
    public double? SideOverlap { get; init; }

    public PixelSpread? Pixels { get; init; }

    public AchievedPlan? Plan { get; init; }
}
