using Hillrow.Imaging;

namespace Hillrow.Radiometry;

/// <summary>Counts to radiance up to the camera's scale: (count − black) / largest count / (seconds · gain · falloff).</summary>
/// <remarks>The sensor model and its worked example: tests/Reference/radiometry/README.md.</remarks>
public static class RelativeRadiance
{
    /// <param name="count">Count, in the sensor's bit depth.</param>
    /// <param name="blackCounts">Of a dark frame.</param>
    /// <param name="largestCount">2^bits − 1.</param>
    /// <param name="exposureSeconds">Above 0.</param>
    /// <param name="gain">Linear, above 0.</param>
    /// <param name="falloff">Share of light the vignetting lets through, above 0.</param>
    /// <returns>s⁻¹; times 1 / K of the profile: W m⁻² sr⁻¹ nm⁻¹. Below 0 for noise below black.</returns>
    public static double Of(
        double count,
        double blackCounts,
        int largestCount,
        double exposureSeconds,
        double gain,
        double falloff
    ) => (count - blackCounts) / largestCount / (exposureSeconds * gain * falloff);

    /// <summary>Whole rows at once; the falloff of each pixel is given.</summary>
    /// <param name="counts">Counts in the sensor's bit depth.</param>
    /// <param name="falloff">As many, above 0.</param>
    /// <param name="blackCounts">Of a dark frame.</param>
    /// <param name="largestCount">2^bits − 1; pixels at it are saturated and become NaN.</param>
    /// <param name="exposureSeconds">Above 0.</param>
    /// <param name="gain">Linear, above 0.</param>
    /// <param name="radiance">Receives as many.</param>
    public static void OfRow(
        ReadOnlySpan<ushort> counts,
        ReadOnlySpan<float> falloff,
        double blackCounts,
        int largestCount,
        double exposureSeconds,
        double gain,
        Span<float> radiance
    )
    {
        if (counts.Length != falloff.Length || counts.Length != radiance.Length)
        {
            throw new ArgumentException(
                $"{counts.Length} counts, {falloff.Length} falloffs and {radiance.Length} radiances must be as many."
            );
        }

        float black = (float)blackCounts;
        float scale = (float)(1 / (largestCount * exposureSeconds * gain));
        for (int index = 0; index < counts.Length; index++)
        {
            float value = (counts[index] - black) * scale / falloff[index];
            radiance[index] = counts[index] >= largestCount ? float.NaN : value;
        }
    }

    /// <summary>Reflectance from a panel of known reflectance: ρ(panel) L(scene) / L(panel) · E(panel) / E(scene).</summary>
    /// <param name="panelReflectance">Certified, of this band.</param>
    /// <param name="panelRadiance">Relative radiance of the panel.</param>
    /// <param name="sceneRadiance">Relative radiance of the scene.</param>
    /// <param name="panelIrradiance">When the panel was taken; the same as the scene's when not recorded.</param>
    /// <param name="sceneIrradiance">When the scene was taken.</param>
    public static double Reflectance(
        double panelReflectance,
        double panelRadiance,
        double sceneRadiance,
        double panelIrradiance = 1,
        double sceneIrradiance = 1
    ) => panelReflectance * (sceneRadiance / panelRadiance) * (panelIrradiance / sceneIrradiance);

    /// <summary>1 + c₁ ρ + c₂ ρ² + …: the falloff at a relative distance from the vignetting's centre.</summary>
    public static double Falloff(double relativeRadius, IReadOnlyList<double> coefficients) =>
        RadialVignetting.RadialPolynomial(relativeRadius, coefficients);
}
