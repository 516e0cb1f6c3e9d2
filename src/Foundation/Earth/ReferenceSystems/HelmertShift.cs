using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>
/// Seven-parameter similarity between two earth-centred frames, rotations as "position vector" (EPSG method 1033).
/// </summary>
/// <param name="XMetres">Translation.</param>
/// <param name="YMetres">Translation.</param>
/// <param name="ZMetres">Translation.</param>
/// <param name="XArcSeconds">Rotation of the position vector about x; a coordinate-frame rotation has the other sign.</param>
/// <param name="YArcSeconds">Rotation about y.</param>
/// <param name="ZArcSeconds">Rotation about z.</param>
/// <param name="ScalePartsPerMillion">Scale difference.</param>
/// <remarks>Source: IOGP 373-7-2, method 1033, first order in the angles.</remarks>
public sealed record HelmertShift(
    double XMetres,
    double YMetres,
    double ZMetres,
    double XArcSeconds = 0,
    double YArcSeconds = 0,
    double ZArcSeconds = 0,
    double ScalePartsPerMillion = 0
)
{
    private const double RadiansPerArcSecond = Math.PI / 648000;

    public GeocentricPosition Apply(GeocentricPosition place)
    {
        Vector3D moved = Linear * place.ToVector();
        return new(moved.X + XMetres, moved.Y + YMetres, moved.Z + ZMetres);
    }

    /// <summary>The exact inverse of <see cref="Apply"/>.</summary>
    public GeocentricPosition Undo(GeocentricPosition place)
    {
        Vector3D shifted = place.ToVector() - new Vector3D(XMetres, YMetres, ZMetres);
        // The inverse of (1+s)(I + [r]×) by fixed-point steps: [r] is below 1e-4, each step wins four digits or more.
        Matrix3D linear = Linear;
        Vector3D found = shifted;
        for (int pass = 0; pass < 6; pass++)
        {
            found += shifted - (linear * found);
        }

        return GeocentricPosition.From(found);
    }

    private Matrix3D Linear
    {
        get
        {
            double x = XArcSeconds * RadiansPerArcSecond;
            double y = YArcSeconds * RadiansPerArcSecond;
            double z = ZArcSeconds * RadiansPerArcSecond;
            double scale = 1 + (ScalePartsPerMillion * 1e-6);
            return new(scale, -z * scale, y * scale, z * scale, scale, -x * scale, -y * scale, x * scale, scale);
        }
    }
}
