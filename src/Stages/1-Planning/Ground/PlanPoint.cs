namespace Hillrow.Planning;

/// <summary>A place in plan: east and north in the plan's local frame, metres.</summary>
public readonly record struct PlanPoint(double EastMetres, double NorthMetres)
{
    public double DistanceTo(PlanPoint other)
    {
        double east = other.EastMetres - EastMetres;
        double north = other.NorthMetres - NorthMetres;
        return Math.Sqrt((east * east) + (north * north));
    }

    /// <summary>Direction to another place, radians clockwise from local north.</summary>
    public double AzimuthTo(PlanPoint other) =>
        Math.Atan2(other.EastMetres - EastMetres, other.NorthMetres - NorthMetres);

    /// <summary>The place a distance away, towards an azimuth (radians clockwise from local north).</summary>
    public PlanPoint Towards(double azimuthRadians, double metres)
    {
        (double sine, double cosine) = Math.SinCos(azimuthRadians);
        return new PlanPoint(EastMetres + (sine * metres), NorthMetres + (cosine * metres));
    }

    /// <summary>The place at a share (0 here … 1 there) of the straight way.</summary>
    public PlanPoint Between(PlanPoint other, double share) =>
        new(
            EastMetres + ((other.EastMetres - EastMetres) * share),
            NorthMetres + ((other.NorthMetres - NorthMetres) * share)
        );
}
