namespace Hillrow.Planning;

public enum ObstacleShape
{
    /// <summary>A mast, a single tree.</summary>
    Point,

    /// <summary>A wire, a tree line; straight between its points.</summary>
    Line,

    /// <summary>A wood, a building: everything inside the ring.</summary>
    Area,
}

/// <summary>Something that stands up from the ground and may lie under the route.</summary>
/// <param name="Name">For messages and the flight card.</param>
/// <param name="Shape">How the points belong together.</param>
/// <param name="Points">In plan.</param>
/// <param name="HeightAboveGroundMetres">Of its highest part, above 0.</param>
public sealed record Obstacle(
    string Name,
    ObstacleShape Shape,
    IReadOnlyList<PlanPoint> Points,
    double HeightAboveGroundMetres
);
