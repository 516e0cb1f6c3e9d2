namespace Hillrow.Planning;

/// <summary>A piece of a route in plan: a line, a smooth turn, or a straight way.</summary>
internal sealed class RoutePiece
{
    private readonly SmoothTurn turn;
    private readonly bool isTurn;

    private RoutePiece(RouteKind kind, Heading start, double length, double speed, double stopSeconds)
    {
        Kind = kind;
        Start = start;
        LengthMetres = length;
        SpeedMetresPerSecond = speed;
        StopSeconds = stopSeconds;
    }

    private RoutePiece(RouteKind kind, Heading start, SmoothTurn turn, double speed)
        : this(kind, start, turn.LengthMetres, speed, 0)
    {
        this.turn = turn;
        isTurn = true;
    }

    public RouteKind Kind { get; }

    public Heading Start { get; }

    public double LengthMetres { get; }

    public double SpeedMetresPerSecond { get; set; }

    /// <summary>Hovering at its end, to turn the nose.</summary>
    public double StopSeconds { get; }

    public LineSegment? Line { get; private init; }

    /// <summary>Whether the line is flown from its end to its start.</summary>
    public bool Back { get; private init; }

    /// <summary>First and last capture flown, numbered along the line's own direction.</summary>
    public (int First, int Last) Captures { get; private init; }

    public static RoutePiece Straight(RouteKind kind, PlanPoint from, PlanPoint to, double speed, double stopSeconds) =>
        new(kind, new Heading(from, from.AzimuthTo(to)), from.DistanceTo(to), speed, stopSeconds);

    public static RoutePiece Smooth(RouteKind kind, Heading start, SmoothTurn turn, double speed) =>
        new(kind, start, turn, speed);

    public static RoutePiece OnLine(LineSegment line, bool back, int first, int last, double speed)
    {
        PlanPoint from = line.CaptureAt(back ? last : first);
        double azimuth = line.Axes.AzimuthRadians + (back ? Math.PI : 0);
        return new RoutePiece(RouteKind.Line, new Heading(from, azimuth), (last - first) * line.BaseMetres, speed, 0)
        {
            Line = line,
            Back = back,
            Captures = (first, last),
        };
    }

    public Heading At(double metres) =>
        isTurn ? turn.At(metres) : new Heading(Start.Place.Towards(Start.AzimuthRadians, metres), Start.AzimuthRadians);
}
