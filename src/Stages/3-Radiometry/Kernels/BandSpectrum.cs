namespace Hillrow.Radiometry;

/// <summary>How a band answers to wavelengths.</summary>
public enum BandShape
{
    /// <summary>Everything within its full width alike.</summary>
    Rectangular,

    /// <summary>A Gaussian whose full width at half maximum is the band's, cut off at twice that from the centre.</summary>
    Gaussian,
}

/// <summary>A spectrum seen through a band.</summary>
/// <param name="Mean">Mean weighted by the band's answer, in the spectrum's unit.</param>
/// <param name="Total">Integral weighted by the answer (1 at its top), in the spectrum's unit times nm.</param>
public readonly record struct BandValue(double Mean, double Total);

/// <summary>Spectra tabulated at rising wavelengths, joined by straight lines.</summary>
public static class BandSpectrum
{
    private const double StepNanometres = 0.01;

    /// <param name="wavelengthsNanometres">Strictly rising; must cover the band.</param>
    /// <param name="values">As many.</param>
    /// <param name="centreNanometres">Of the band.</param>
    /// <param name="widthNanometres">Full width (at half maximum), above 0.</param>
    /// <param name="shape">Of the band's answer.</param>
    /// <exception cref="ArgumentException">The table does not cover the band, or does not rise.</exception>
    /// <remarks>Trapezoids of 0.01 nm.</remarks>
    public static BandValue Through(
        ReadOnlySpan<double> wavelengthsNanometres,
        ReadOnlySpan<double> values,
        double centreNanometres,
        double widthNanometres,
        BandShape shape
    )
    {
        if (wavelengthsNanometres.Length != values.Length || values.Length < 2)
        {
            throw new ArgumentException(
                $"A spectrum needs at least 2 wavelengths with a value each, not {wavelengthsNanometres.Length} and {values.Length}."
            );
        }

        double reach = shape == BandShape.Gaussian ? 2 * widthNanometres : widthNanometres / 2;
        (double from, double to) = (centreNanometres - reach, centreNanometres + reach);
        if (!(widthNanometres > 0 && from >= wavelengthsNanometres[0] && to <= wavelengthsNanometres[^1]))
        {
            throw new ArgumentException(
                $"A band from {from} to {to} nm is not covered by a spectrum from {wavelengthsNanometres[0]} to {wavelengthsNanometres[^1]} nm."
            );
        }

        int steps = Math.Max(1, (int)Math.Round((to - from) / StepNanometres));
        double step = (to - from) / steps;
        double total = 0;
        double weights = 0;
        int at = 0;
        for (int index = 0; index <= steps; index++)
        {
            double wavelength = from + (index * step);
            while (at < values.Length - 2 && wavelengthsNanometres[at + 1] < wavelength)
            {
                at++;
            }

            double share =
                (wavelength - wavelengthsNanometres[at]) / (wavelengthsNanometres[at + 1] - wavelengthsNanometres[at]);
            double value = values[at] + ((values[at + 1] - values[at]) * share);
            double offset = (wavelength - centreNanometres) / widthNanometres;
            double weight = shape == BandShape.Gaussian ? Math.Exp(-4 * Math.Log(2) * offset * offset) : 1;
            weight *= index == 0 || index == steps ? step / 2 : step;
            total += weight * value;
            weights += weight;
        }

        return new BandValue(total / weights, total);
    }
}
