namespace Hillrow.Planning;

/// <summary>Width of a line's strip and length of a picture at the worst of some places, on the ground raised by its error.</summary>
/// <param name="WidthMetres">Narrowest strip.</param>
/// <param name="LengthMetres">Shortest picture.</param>
/// <param name="LeftMetres">Least reach to the left of the line.</param>
/// <param name="RightMetres">Least reach to its right.</param>
/// <param name="FrontMetres">Least reach ahead.</param>
/// <param name="BackMetres">Least reach behind.</param>
/// <param name="LongestMetres">Longest picture: there captures lie farthest apart.</param>
internal readonly record struct StripSize(
    double WidthMetres,
    double LengthMetres,
    double LeftMetres,
    double RightMetres,
    double FrontMetres,
    double BackMetres,
    double LongestMetres
)
{
    private const double Far = double.PositiveInfinity;

    /// <summary>Nothing looked at yet.</summary>
    public static StripSize Unknown => new(Far, Far, Far, Far, Far, Far, 0);

    public StripSize With(Reach reach) =>
        new(
            Math.Min(WidthMetres, reach.WidthMetres),
            Math.Min(LengthMetres, reach.ShortestLengthMetres),
            Math.Min(LeftMetres, reach.LeftMetres),
            Math.Min(RightMetres, reach.RightMetres),
            Math.Min(FrontMetres, Math.Min(reach.FrontAtLeft, Math.Min(reach.FrontAtMiddle, reach.FrontAtRight))),
            Math.Min(BackMetres, Math.Min(reach.BackAtLeft, Math.Min(reach.BackAtMiddle, reach.BackAtRight))),
            Math.Max(LongestMetres, reach.ShortestLengthMetres)
        );

    /// <summary>Across the lines.</summary>
    /// <param name="settings">Views asked.</param>
    /// <param name="apartMetres">Greatest distance of neighbouring lines.</param>
    public SeenWindow Lines(PlanningSettings settings, double apartMetres) =>
        new(settings.ViewsAcross * apartMetres, LeftMetres, RightMetres);

    /// <summary>Along a line.</summary>
    public SeenWindow Captures(PlanningSettings settings) =>
        new(settings.ViewsAlong * (1 - settings.ForwardOverlap) * LongestMetres, BackMetres, FrontMetres);
}
