using Hillrow.Numerics.Regression;

namespace Hillrow.Radiometry;

/// <summary>Reflectance = gain · signal + offset, fitted by least squares to targets of known reflectance.</summary>
/// <param name="Gain">Reflectance per unit of signal.</param>
/// <param name="Offset">Reflectance at signal 0.</param>
/// <param name="Rms">Root mean square of the residuals.</param>
/// <remarks>G. M. Smith and E. J. Milton 1999, doi 10.1080/014311699211994.</remarks>
public sealed record EmpiricalLine(double Gain, double Offset, double Rms)
{
    /// <param name="signal">At least 2, not all the same.</param>
    /// <param name="reflectance">As many.</param>
    /// <exception cref="ArgumentException">Too few targets, or all of one signal.</exception>
    public static EmpiricalLine Fit(ReadOnlySpan<double> signal, ReadOnlySpan<double> reflectance)
    {
        if (signal.Length < 2 || signal.Length != reflectance.Length)
        {
            throw new ArgumentException(
                $"An empirical line needs at least 2 targets with a reflectance each, not {signal.Length} and {reflectance.Length}."
            );
        }

        LinearFit fit = LinearRegression.FitLine(signal, reflectance);
        if (fit.Rank < 2)
        {
            throw new ArgumentException(
                $"All {signal.Length} targets have the same signal, {signal[0]}: no line can be told."
            );
        }

        double squares = 0;
        foreach (double residual in fit.Residuals)
        {
            squares += residual * residual;
        }

        return new EmpiricalLine(fit.Coefficients[1], fit.Coefficients[0], Math.Sqrt(squares / signal.Length));
    }

    public double ReflectanceOf(double signal) => (Gain * signal) + Offset;
}
