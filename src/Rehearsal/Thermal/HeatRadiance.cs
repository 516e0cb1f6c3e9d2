namespace Hillrow.Rehearsal;

/// <summary>What a black body radiates within the thermal band, and back: a table of the modelled world.</summary>
/// <remarks>
/// Planck's law (M. Planck 1901) integrated over the band by Simpson's rule, 240 steps, at every 0.05 K; between them
/// linear: within 1 mK of the integral from 200 to 420 K.
/// </remarks>
public static class HeatRadiance
{
    /// <summary>Band limits of the invented sensor.</summary>
    public const double FromMicrometres = 8;

    public const double ToMicrometres = 14;

    public const double LowestKelvin = 180;

    public const double HighestKelvin = 450;

    private const double StepKelvin = 0.05;

    private static readonly double[] Table =
    [
        .. Enumerable.Range(0, (int)((HighestKelvin - LowestKelvin) / StepKelvin) + 2).Select(At),
    ];

    /// <summary>Radiance of the band, W m⁻² sr⁻¹; temperatures beyond the table count as its ends.</summary>
    public static double OfBlackBody(double kelvin)
    {
        double place = (Math.Clamp(kelvin, LowestKelvin, HighestKelvin) - LowestKelvin) / StepKelvin;
        int index = (int)place;
        return Table[index] + ((Table[index + 1] - Table[index]) * (place - index));
    }

    /// <summary>Temperature of the black body with this radiance, kelvin; radiances beyond the table give its ends.</summary>
    public static double BrightnessKelvin(double radiance)
    {
        int low = 0;
        int high = Table.Length - 2;
        while (low < high)
        {
            int middle = (low + high + 1) / 2;
            (low, high) = Table[middle] <= radiance ? (middle, high) : (low, middle - 1);
        }

        double share = Math.Clamp((radiance - Table[low]) / (Table[low + 1] - Table[low]), 0, 1);
        return LowestKelvin + (StepKelvin * (low + share));
    }

    private static double At(int index)
    {
        const int Steps = 240;
        double kelvin = LowestKelvin + (StepKelvin * index);
        const double Width = (ToMicrometres - FromMicrometres) / Steps;
        double sum = 0;
        for (int step = 0; step <= Steps; step++)
        {
            double weight =
                step is 0 or Steps ? 1
                : step % 2 == 1 ? 4
                : 2;
            sum += weight * Spectral(kelvin, FromMicrometres + (step * Width));
        }

        return sum * Width / 3;
    }

    /// <summary>W m⁻² sr⁻¹ µm⁻¹, from the first and second radiation constants.</summary>
    private static double Spectral(double kelvin, double micrometres) =>
        1.191042972e8 / (Math.Pow(micrometres, 5) * (Math.Exp(14387.76877 / (micrometres * kelvin)) - 1));
}
