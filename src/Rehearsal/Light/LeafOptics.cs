namespace Hillrow.Rehearsal;

/// <summary>Hemispherical reflectance and transmittance of a surface element in one band, 0 … 1 each.</summary>
public readonly record struct LeafReflection(double Reflectance, double Transmittance);

/// <summary>A leaf as a slab that scatters and absorbs, from its chlorophyll.</summary>
/// <remarks>
/// Kubelka–Munk slab (1931) of scattering depth 1.15 with absorption from pigment and dry matter: NIR 0.49 / 0.44,
/// green 0.12 / 0.01, red 0.05 / 0.00 at 50 µg/cm². The gloss of the skin is added when shading, not here.
/// </remarks>
public static class LeafOptics
{
    private const double ScatteringDepth = 1.15;

    public static LeafReflection Green(RigBand band, double chlorophyllMicrogramsPerSquareCentimetre)
    {
        ArgumentNullException.ThrowIfNull(band);
        return Slab((band.PigmentAbsorption * chlorophyllMicrogramsPerSquareCentimetre / 50) + band.DryAbsorption);
    }

    public static LeafReflection Brown(RigBand band)
    {
        ArgumentNullException.ThrowIfNull(band);
        return Slab(band.BrownAbsorption);
    }

    private static LeafReflection Slab(double absorption)
    {
        double a = 1 + (absorption / ScatteringDepth);
        double b = Math.Sqrt((a * a) - 1);
        double sinh = Math.Sinh(b * ScatteringDepth);
        double cosh = Math.Cosh(b * ScatteringDepth);
        double below = (a * sinh) + (b * cosh);
        return new LeafReflection(sinh / below, b / below);
    }
}
