using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>A plane of ground through the local frame's origin.</summary>
/// <param name="Slope">0° level … below 90°.</param>
/// <param name="Aspect">Azimuth of the downhill direction, clockwise from north.</param>
public readonly record struct GroundPlane(Angle Slope, Angle Aspect)
{
    /// <summary>Height of the plane: −tan(slope) (east · sin(aspect) + north · cos(aspect)).</summary>
    public double HeightAt(double eastMetres, double northMetres) =>
        -Slope.Tangent * ((eastMetres * Aspect.Sine) + (northMetres * Aspect.Cosine));

    /// <summary>Where a ray meets the plane; false when it points away from it or runs along it.</summary>
    public bool TryMeet(Vector3D originLocalMetres, Vector3D directionLocal, out Vector3D pointLocalMetres)
    {
        Vector3D normal = new(Slope.Tangent * Aspect.Sine, Slope.Tangent * Aspect.Cosine, 1);
        double towards = Vector3D.Dot(normal, directionLocal);
        double distance = -Vector3D.Dot(normal, originLocalMetres) / towards;
        bool meets = double.IsFinite(distance) && distance > 0;
        pointLocalMetres = meets ? originLocalMetres + (directionLocal * distance) : default;
        return meets;
    }
}

/// <summary>The piece of a ground plane that a picture shows.</summary>
/// <param name="CornersLocalMetres">Outer pixel corners in the order top left, top right, bottom right, bottom left.</param>
/// <param name="CentreLocalMetres">Where the middle of the frame meets the plane.</param>
/// <param name="HorizontalAreaSquareMetres">Area in plan.</param>
/// <param name="SlopeAreaSquareMetres">Area along the plane.</param>
public sealed record PlaneFootprint(
    IReadOnlyList<Vector3D> CornersLocalMetres,
    Vector3D CentreLocalMetres,
    double HorizontalAreaSquareMetres,
    double SlopeAreaSquareMetres
)
{
    /// <summary>Null when a corner looks past the plane (at or above its horizon).</summary>
    /// <remarks>The corners' quadrilateral; with a distorted lens the true outline is slightly curved between them.</remarks>
    public static PlaneFootprint? Of(Lens lens, CameraPose pose, GroundPlane plane)
    {
        PixelPoint[] corners = [new(0, 0), new(lens.Columns, 0), new(lens.Columns, lens.Rows), new(0, lens.Rows)];
        Vector3D[] ground = new Vector3D[4];
        for (int corner = 0; corner < 4; corner++)
        {
            Vector3D direction = pose.ToLocalDirection(lens.RayOf(corners[corner]));
            if (!plane.TryMeet(pose.CentreLocalMetres, direction, out ground[corner]))
            {
                return null;
            }
        }

        Vector3D middle = lens.RayOf(new PixelPoint(lens.Columns / 2.0, lens.Rows / 2.0));
        if (!plane.TryMeet(pose.CentreLocalMetres, pose.ToLocalDirection(middle), out Vector3D centre))
        {
            return null;
        }

        double doubled = 0;
        for (int corner = 0; corner < 4; corner++)
        {
            Vector3D from = ground[corner];
            Vector3D to = ground[(corner + 1) % 4];
            doubled += (from.X * to.Y) - (to.X * from.Y);
        }

        double area = Math.Abs(doubled) / 2;
        return new PlaneFootprint(ground, centre, area, area / plane.Slope.Cosine);
    }
}
