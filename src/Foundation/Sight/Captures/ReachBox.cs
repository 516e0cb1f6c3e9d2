using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Sight;

/// <summary>A rectangle of the local frame that surely holds everything of the surface that a frame sees.</summary>
internal readonly record struct ReachBox(double West, double East, double South, double North)
{
    private const int RaysPerEdge = 12;

    /// <summary>Rounds of narrowing the slab of heights; each follows the terrain under the box of the one before.</summary>
    private const int Rounds = 6;

    public bool Empty => !(East >= West && North >= South);

    /// <remarks>
    /// What is seen lies in the slab between the lowest and highest ground of the box; the frustum cut by that slab gives
    /// a smaller box, and so on. Always a superset, so nothing is lost by stopping early.
    /// </remarks>
    public static ReachBox Of(SightedFrame frame, HeightField surface, double reachMetres)
    {
        Vector3D centre = frame.Pose.CentreLocalMetres;
        ReachBox box = new(
            Math.Max(surface.WestMetres, centre.X - reachMetres),
            Math.Min(surface.EastMetres, centre.X + reachMetres),
            Math.Max(surface.SouthMetres, centre.Y - reachMetres),
            Math.Min(surface.NorthMetres, centre.Y + reachMetres)
        );
        List<Vector3D> rays = [];
        foreach (PixelPoint pixel in Footprint.Border(frame.Lens, RaysPerEdge))
        {
            if (frame.Lens.TryRayOf(pixel, out Vector3D ray))
            {
                rays.Add(frame.Pose.ToLocalDirection(ray));
            }
        }

        for (int round = 0; round < Rounds && !box.Empty; round++)
        {
            (double lowest, double highest) = surface.RangeWithin(box.West, box.East, box.South, box.North);
            if (highest < lowest)
            {
                return new ReachBox(0, -1, 0, -1);
            }

            ReachBox cut = CutBySlab(centre, rays, lowest, highest, reachMetres);
            double margin = surface.CellMetres + (0.01 * Math.Max(cut.East - cut.West, cut.North - cut.South));
            box = new ReachBox(
                Math.Max(box.West, cut.West - margin),
                Math.Min(box.East, cut.East + margin),
                Math.Max(box.South, cut.South - margin),
                Math.Min(box.North, cut.North + margin)
            );
        }

        return box;
    }

    private static ReachBox CutBySlab(
        Vector3D centre,
        List<Vector3D> rays,
        double lowest,
        double highest,
        double reachMetres
    )
    {
        double west = double.PositiveInfinity;
        double east = double.NegativeInfinity;
        double south = double.PositiveInfinity;
        double north = double.NegativeInfinity;
        foreach (Vector3D ray in rays)
        {
            double near = ray.Z < 0 ? (centre.Z - highest) / -ray.Z : 0;
            double far = ray.Z < 0 ? (centre.Z - lowest) / -ray.Z : reachMetres;
            foreach (double distance in (ReadOnlySpan<double>)[near, far])
            {
                double along = Math.Clamp(distance, 0, reachMetres);
                west = Math.Min(west, centre.X + (ray.X * along));
                east = Math.Max(east, centre.X + (ray.X * along));
                south = Math.Min(south, centre.Y + (ray.Y * along));
                north = Math.Max(north, centre.Y + (ray.Y * along));
            }
        }

        return new ReachBox(west, east, south, north);
    }
}
