using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Planning;

/// <summary>
/// How far a picture reaches over the ground from the place below the camera: across to both sides, and along the line
/// to the front and back, at the left edge, the middle and the right edge of the strip.
/// </summary>
internal readonly record struct Reach(
    double LeftMetres,
    double RightMetres,
    double FrontAtLeft,
    double FrontAtMiddle,
    double FrontAtRight,
    double BackAtLeft,
    double BackAtMiddle,
    double BackAtRight
)
{
    public double WidthMetres => LeftMetres + RightMetres;

    public bool IsComplete =>
        double.IsFinite(LeftMetres + RightMetres + FrontAtLeft + FrontAtMiddle + FrontAtRight)
        && double.IsFinite(BackAtLeft + BackAtMiddle + BackAtRight);

    public double ShortestLengthMetres =>
        Math.Min(FrontAtLeft + BackAtLeft, Math.Min(FrontAtMiddle + BackAtMiddle, FrontAtRight + BackAtRight));

    /// <summary>Front reach of a column of the frame: 0 left, 1 middle, 2 right.</summary>
    public double Front(int column) =>
        column switch
        {
            0 => FrontAtLeft,
            1 => FrontAtMiddle,
            _ => FrontAtRight,
        };

    public double Back(int column) =>
        column switch
        {
            0 => BackAtLeft,
            1 => BackAtMiddle,
            _ => BackAtRight,
        };
}

/// <summary>Casts the border rays of a frame that looks straight down, with the nose along a line.</summary>
internal sealed class FrameReach
{
    private readonly HeightField terrain;

    // Camera frame directions, z forward 1: left, middle, right at the top, then the same at the bottom, then the
    // middles of the left and right edge.
    private readonly Vector3D[] rays;

    public FrameReach(HeightField terrain, Lens lens)
    {
        this.terrain = terrain;
        (double right, double bottom) = (lens.Columns, lens.Rows);
        PixelPoint[] border =
        [
            new(0, 0),
            new(right / 2, 0),
            new(right, 0),
            new(0, bottom),
            new(right / 2, bottom),
            new(right, bottom),
            new(0, bottom / 2),
            new(right, bottom / 2),
        ];
        rays = [.. border.Select(pixel => lens.RayOf(pixel)).Select(ray => ray / ray.Z)];
    }

    /// <param name="place">Below the camera.</param>
    /// <param name="upMetres">Of the camera, already lowered by how much the ground may lie higher.</param>
    /// <param name="azimuthRadians">Of the nose.</param>
    public Reach At(PlanPoint place, double upMetres, double azimuthRadians)
    {
        (double sine, double cosine) = Math.SinCos(azimuthRadians);
        Vector3D centre = new(place.EastMetres, place.NorthMetres, upMetres);
        Span<double> along = stackalloc double[rays.Length];
        Span<double> across = stackalloc double[rays.Length];
        for (int at = 0; at < rays.Length; at++)
        {
            Vector3D ray = rays[at];
            // x right of the nose, y towards the tail.
            Vector3D direction = new((ray.X * cosine) - (ray.Y * sine), (-ray.X * sine) - (ray.Y * cosine), -1);
            if (!terrain.TryHit(centre, direction, 0, 10_000, out double distance))
            {
                distance = double.NaN;
            }

            along[at] = -ray.Y * distance;
            across[at] = ray.X * distance;
        }

        return new Reach(
            Math.Min(-across[6], Math.Min(-across[0], -across[3])),
            Math.Min(across[7], Math.Min(across[2], across[5])),
            along[0],
            along[1],
            along[2],
            -along[3],
            -along[4],
            -along[5]
        );
    }
}
