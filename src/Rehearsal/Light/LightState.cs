using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>Sun and sky of one flight: fixed but for clouds.</summary>
/// <param name="TowardsSun">Unit vector in the local frame.</param>
/// <param name="Bands">Clear-sky irradiance, by band.</param>
/// <param name="Clouds">What passes over meanwhile.</param>
/// <param name="HazePerHundredMetres">Path radiance over 100 m of air, as a share of a white surface's radiance, by band.</param>
public sealed record LightState(
    Vector3D TowardsSun,
    IReadOnlyList<BandIrradiance> Bands,
    CloudField Clouds,
    IReadOnlyList<double> HazePerHundredMetres
)
{
    public double SunElevationDegrees => Math.Asin(TowardsSun.Z) * 180 / Math.PI;

    /// <summary>The light of a moment at the estate: the sun stays where it is then.</summary>
    public static LightState At(DateTimeOffset moment, EstatePlace place, ClearSky sky, CloudField clouds)
    {
        ArgumentNullException.ThrowIfNull(place);
        SunPosition sun = SunPosition.At(moment, place.Frame.Origin);
        DateOnly day = DateOnly.FromDateTime(moment.UtcDateTime);
        return Of(sun.Azimuth.Degrees, sun.Altitude.Degrees, day, sky, clouds);
    }

    /// <param name="sunAzimuthDegrees">Clockwise from north of the local frame.</param>
    /// <param name="sunElevationDegrees">Above the horizon; at least 12, lower suns are not modelled.</param>
    public static LightState Of(
        double sunAzimuthDegrees,
        double sunElevationDegrees,
        DateOnly day,
        ClearSky sky,
        CloudField clouds
    )
    {
        ArgumentNullException.ThrowIfNull(sky);
        ArgumentOutOfRangeException.ThrowIfLessThan(sunElevationDegrees, 12);
        double azimuth = sunAzimuthDegrees * Math.PI / 180;
        double elevation = sunElevationDegrees * Math.PI / 180;
        Vector3D towards = new(
            Math.Sin(azimuth) * Math.Cos(elevation),
            Math.Cos(azimuth) * Math.Cos(elevation),
            Math.Sin(elevation)
        );
        return new LightState(
            towards,
            [.. RigBand.Five.Select(band => sky.Of(band, 90 - sunElevationDegrees, day.DayOfYear))],
            clouds,
            [
                .. RigBand.Five.Select(band =>
                    (0.0011 * Math.Pow(band.CentreNanometres / 550, -4))
                    + (0.0035 * sky.AerosolDepthAt550 * Math.Pow(band.CentreNanometres / 550, -1.3))
                ),
            ]
        );
    }
}
