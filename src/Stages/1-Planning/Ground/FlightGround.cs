using Hillrow.Numerics;
using Hillrow.Numerics.Distributions;
using Hillrow.Sight;

namespace Hillrow.Planning;

/// <summary>The ground as a plan sees it: nominal, raised by its own error for overlap, and with everything that stands on it.</summary>
internal sealed class FlightGround
{
    /// <summary>Waypoints may leave the exact profile by this much; the floor is raised by it.</summary>
    public const double WaypointToleranceMetres = 0.5;

    private readonly SafetyFloor floor;
    private readonly double climbLossShare;
    private readonly double lowestHomeMetres;

    public FlightGround(PlanningInput input, PlanningSettings settings)
    {
        Terrain = input.Terrain;
        double sigma = Math.Sqrt(
            (input.TerrainSigmaMetres * input.TerrainSigmaMetres)
                + (input.Aircraft.HeightSigmaMetres * input.Aircraft.HeightSigmaMetres)
        );
        SigmaMetres = sigma;
        HeightMetres = settings.PixelMetres / input.Camera.PixelAngleRadians;
        RaiseMetres = settings.CanopyMetres + (sigma * NormalDistribution.Quantile(settings.OverlapProbability));
        MarginMetres =
            settings.ClearanceMetres
            + WaypointToleranceMetres
            + (sigma * NormalDistribution.Quantile(settings.ClearanceProbability));
        floor = new SafetyFloor(
            input.Terrain,
            settings.CanopyMetres,
            input.Obstacles,
            input.Aircraft.SidewaysErrorMetres
        );
        climbLossShare = input.Aircraft.ClimbLossShare;
        lowestHomeMetres = input
            .Homes.Select(home => GroundAt(home.Place))
            .Where(double.IsFinite)
            .DefaultIfEmpty(double.NaN)
            .Min();
    }

    private FlightGround(FlightGround other)
    {
        Terrain = other.Terrain;
        SigmaMetres = other.SigmaMetres;
        HeightMetres = other.HeightMetres;
        RaiseMetres = other.RaiseMetres;
        MarginMetres = other.MarginMetres;
        floor = other.floor;
        climbLossShare = other.climbLossShare;
        lowestHomeMetres = other.lowestHomeMetres;
    }

    public HeightField Terrain { get; }

    /// <summary>Standard error of the height between aircraft and ground.</summary>
    public double SigmaMetres { get; }

    /// <summary>Height above the nominal ground that gives the asked pixel.</summary>
    public double HeightMetres { get; }

    /// <summary>How much nearer than nominal the pictured surface may lie: canopy, and the error at the overlap's probability.</summary>
    public double RaiseMetres { get; private init; }

    /// <summary>Least distance of the route from the known tops: clearance, and the error at its probability.</summary>
    public double MarginMetres { get; }

    /// <summary>Nominal ground, local up; NaN over voids.</summary>
    public double GroundAt(PlanPoint place) => Terrain.HeightAt(place.EastMetres, place.NorthMetres);

    /// <summary>Highest known top near a place: ground, canopy, obstacles; local up.</summary>
    public double TopAt(PlanPoint place) => floor.TopAt(place);

    /// <summary>Lowest local up coordinate that a route may have here; NaN over voids.</summary>
    public double FloorAt(PlanPoint place)
    {
        double lowest = floor.TopAt(place) + MarginMetres;
        return climbLossShare == 0 || !(lowest > lowestHomeMetres)
            ? lowest
            : lowestHomeMetres + ((lowest - lowestHomeMetres) / (1 - climbLossShare));
    }

    /// <summary>The raise at a flying height: a barometer that reads too much on long climbs lowers the aircraft.</summary>
    public double RaiseAt(double upMetres) => RaiseMetres + ClimbLossAt(upMetres);

    /// <summary>How much lower than told an aircraft flies that trusts air pressure alone.</summary>
    public double ClimbLossAt(double upMetres) => climbLossShare * Math.Max(0, upMetres - lowestHomeMetres);

    /// <summary>The same ground with another raise.</summary>
    public FlightGround RaisedBy(double metres) => new(this) { RaiseMetres = metres };
}
