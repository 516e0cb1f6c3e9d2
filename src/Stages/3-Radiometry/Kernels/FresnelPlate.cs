using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>Light through a flat clear plate in air: the window of an irradiance sensor.</summary>
/// <param name="SReflectance">Of one surface, light polarised across the plane of incidence.</param>
/// <param name="PReflectance">Of one surface, light polarised in the plane of incidence.</param>
/// <remarks>Fresnel's equations; the plate adds up all reflections between its two faces without interference: (1 − R) / (1 + R).</remarks>
public readonly record struct FresnelPlate(double SReflectance, double PReflectance)
{
    /// <summary>Share of unpolarised light through one surface.</summary>
    public double SurfaceTransmittance => 1 - (0.5 * (SReflectance + PReflectance));

    /// <summary>Share of unpolarised light through the plate.</summary>
    public double PlateTransmittance =>
        0.5 * (((1 - SReflectance) / (1 + SReflectance)) + ((1 - PReflectance) / (1 + PReflectance)));

    /// <param name="refractiveIndex">Above 1.</param>
    /// <param name="incidence">0° … 90°.</param>
    public static FresnelPlate At(double refractiveIndex, Angle incidence)
    {
        if (!(refractiveIndex > 1))
        {
            throw new ArgumentOutOfRangeException(
                nameof(refractiveIndex),
                refractiveIndex,
                "A plate in air needs a refractive index above 1."
            );
        }

        double outside = incidence.Cosine;
        double sine = incidence.Sine / refractiveIndex;
        double inside = Math.Sqrt(1 - (sine * sine));
        double s = (outside - (refractiveIndex * inside)) / (outside + (refractiveIndex * inside));
        double p = (inside - (refractiveIndex * outside)) / (inside + (refractiveIndex * outside));
        return new FresnelPlate(s * s, p * p);
    }

    /// <summary>Plate transmittance against straight-on light.</summary>
    public static double RelativeTransmittance(double refractiveIndex, Angle incidence) =>
        At(refractiveIndex, incidence).PlateTransmittance / At(refractiveIndex, Angle.Zero).PlateTransmittance;

    /// <summary>Answer of a flat sensor behind the plate: cosine times relative transmittance.</summary>
    public static double CosineResponse(double refractiveIndex, Angle incidence) =>
        incidence.Cosine * RelativeTransmittance(refractiveIndex, incidence);

    /// <summary>Transmittance for light from everywhere alike: 2 ∫ T sin cos over the hemisphere.</summary>
    public static double DiffuseTransmittance(double refractiveIndex)
    {
        // In u = cos the integrand is smooth but for a root at grazing light; Simpson's rule on u = v² removes that.
        const int steps = 4000;
        double sum = 0;
        for (int step = 0; step <= steps; step++)
        {
            double v = step / (double)steps;
            double cosine = v * v;
            double weight =
                step is 0 or steps ? 1
                : step % 2 == 1 ? 4
                : 2;
            double transmittance = At(refractiveIndex, Angle.FromRadians(Math.Acos(cosine))).PlateTransmittance;
            sum += weight * transmittance * cosine * 2 * v;
        }

        return 2 * sum / (3 * steps);
    }
}
