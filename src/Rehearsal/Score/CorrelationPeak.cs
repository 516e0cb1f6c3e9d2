using System.Numerics;
using Hillrow.Imaging;

namespace Hillrow.Rehearsal;

/// <summary>Shift between two faded windows by the peak of their circular cross-correlation and a parabola each way.</summary>
/// <remarks>
/// A parabola misplaces peaks between two cells by a few hundredths; the scorer repeats with the windows brought
/// together, and at zero shift it has no error.
/// </remarks>
internal static class CorrelationPeak
{
    /// <param name="first">Rows × columns, mean taken off, edges faded.</param>
    /// <param name="second">The same shape: second(r, c) = first(r − Rows, c − Columns).</param>
    /// <param name="share">Height of the peak, 1 for equal windows.</param>
    public static (double Rows, double Columns) Of(
        ReadOnlySpan<float> first,
        ReadOnlySpan<float> second,
        int rows,
        int columns,
        out double share
    )
    {
        Complex[] a = Complexes(first, out double energyOfFirst);
        Complex[] b = Complexes(second, out double energyOfSecond);
        FourierTransform.Forward2D(a, rows, columns);
        FourierTransform.Forward2D(b, rows, columns);
        for (int index = 0; index < a.Length; index++)
        {
            b[index] *= Complex.Conjugate(a[index]);
        }

        FourierTransform.Inverse2D(b, rows, columns);
        int best = 0;
        for (int index = 1; index < b.Length; index++)
        {
            best = b[index].Real > b[best].Real ? index : best;
        }

        int row = best / columns;
        int column = best % columns;
        share = b[best].Real / Math.Sqrt(energyOfFirst * energyOfSecond);
        double At(int r, int c) => b[((r + rows) % rows * columns) + ((c + columns) % columns)].Real;
        double downwards = row + Top(At(row - 1, column), b[best].Real, At(row + 1, column));
        double rightwards = column + Top(At(row, column - 1), b[best].Real, At(row, column + 1));
        return (
            downwards > rows / 2.0 ? downwards - rows : downwards,
            rightwards > columns / 2.0 ? rightwards - columns : rightwards
        );
    }

    private static Complex[] Complexes(ReadOnlySpan<float> values, out double energy)
    {
        Complex[] numbers = new Complex[values.Length];
        energy = 0;
        for (int index = 0; index < values.Length; index++)
        {
            numbers[index] = values[index];
            energy += (double)values[index] * values[index];
        }

        return numbers;
    }

    private static double Top(double before, double middle, double after)
    {
        double bend = before - (2 * middle) + after;
        return bend < 0 ? Math.Clamp(0.5 * (before - after) / bend, -0.5, 0.5) : 0;
    }
}
