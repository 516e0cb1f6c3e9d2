namespace Hillrow.Radiometry;

/// <summary>Light that the air between ground and camera adds.</summary>
/// <remarks>
/// Single scattering in a thin layer: ρ = τ P(Θ) / (4 cos sun · cos view), Rayleigh's depth 0.0088 λ⁻⁴·⁰⁸ (λ in µm; B. Leckner 1978,
/// doi 10.1016/0038-092X(78)90187-1) spread over 8 km, haze with Ångström's exponent 1.3 spread over 1.5 km. Looking down with a
/// high sun, air scatters back with P about 1.3 and haze with about 0.2. From memory; good to half of itself, because the haze is
/// seldom known.
/// </remarks>
public static class PathLight
{
    private const double RayleighPhase = 1.3;
    private const double HazePhase = 0.2;
    private const double AirScaleMetres = 8000;
    private const double HazeScaleMetres = 1500;

    /// <summary>Reflectance that is added to everything.</summary>
    /// <param name="nanometres">Of the band.</param>
    /// <param name="distanceMetres">From ground to camera.</param>
    /// <param name="sunZenithCosine">Above 0.</param>
    /// <param name="hazeDepthAt550">Optical depth of the whole atmosphere's haze; 0.1 is usual inland.</param>
    public static double Reflectance(
        double nanometres,
        double distanceMetres,
        double sunZenithCosine,
        double hazeDepthAt550
    )
    {
        double micrometres = nanometres / 1000;
        double air = 0.0088 * Math.Pow(micrometres, -4.08) * distanceMetres / AirScaleMetres;
        double haze = hazeDepthAt550 * Math.Pow(micrometres / 0.55, -1.3) * distanceMetres / HazeScaleMetres;
        return ((air * RayleighPhase) + (haze * HazePhase)) / (4 * Math.Max(0.15, sunZenithCosine));
    }
}
