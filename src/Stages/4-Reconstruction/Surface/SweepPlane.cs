using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>The plane that a capture's heights are measured from: up = UpAtOrigin + East · east + North · north.</summary>
internal readonly record struct SweepPlane(double UpAtOrigin, double East, double North)
{
    private const int Samples = 9;

    /// <summary>Through the surface that the view sees, least squares; level where it sees none.</summary>
    public static SweepPlane Under(LevelView view, HeightField surface)
    {
        Vector3D centre = view.Pose.CentreLocalMetres;
        List<Vector3D> places = [];
        for (int row = 0; row < Samples; row++)
        {
            for (int column = 0; column < Samples; column++)
            {
                double x = (column + 0.5) * view.Columns / Samples;
                double y = (row + 0.5) * view.Rows / Samples;
                Vector3D ray = view.FallingRay(x, y);
                if (view.Falls(x, y) && surface.TryHit(centre, ray, 0, 5000, out double fall))
                {
                    places.Add(centre + (ray * fall));
                }
            }
        }

        if (places.Count < 6)
        {
            return new SweepPlane(surface.LowestMetres, 0, 0);
        }

        Vector3D mean = default;
        foreach (Vector3D place in places)
        {
            mean += place / places.Count;
        }

        double xx = places.Sum(place => (place.X - mean.X) * (place.X - mean.X));
        double xy = places.Sum(place => (place.X - mean.X) * (place.Y - mean.Y));
        double yy = places.Sum(place => (place.Y - mean.Y) * (place.Y - mean.Y));
        double xz = places.Sum(place => (place.X - mean.X) * (place.Z - mean.Z));
        double yz = places.Sum(place => (place.Y - mean.Y) * (place.Z - mean.Z));
        double determinant = (xx * yy) - (xy * xy);
        double east = ((xz * yy) - (yz * xy)) / determinant;
        double north = ((yz * xx) - (xz * xy)) / determinant;
        return new SweepPlane(mean.Z - (east * mean.X) - (north * mean.Y), east, north);
    }

    /// <summary>How high a place lies over the plane, straight up.</summary>
    public double Above(Vector3D place) => place.Z - UpAtOrigin - (East * place.X) - (North * place.Y);

    /// <summary>Where a line of sight meets the plane raised by so much; a falling ray meets it.</summary>
    public Vector3D Meet(Vector3D from, Vector3D ray, double raisedMetres) =>
        from + (ray * ((raisedMetres - Above(from)) / (ray.Z - (East * ray.X) - (North * ray.Y))));
}
