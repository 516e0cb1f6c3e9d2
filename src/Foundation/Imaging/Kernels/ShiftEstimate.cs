using System.Numerics;

namespace Hillrow.Imaging;

public enum SpectrumWeight
{
    /// <summary>Plain cross-correlation: strong frequencies count most; steadiest when both pictures show the same contrast.</summary>
    Amplitude,

    /// <summary>Phase correlation: every frequency counts the same; steadier when contrast differs between bands.</summary>
    Phase,
}

/// <summary>How far the second picture is shifted: second(r, c) = first(r − Rows, c − Columns).</summary>
/// <param name="Rows">Downwards, pixels.</param>
/// <param name="Columns">To the right, pixels.</param>
/// <param name="PeakShare">Height of the correlation peak, 1 for identical periodic pictures.</param>
public readonly record struct PictureShift(double Rows, double Columns, double PeakShare);

/// <summary>Shift of one picture against another by their Fourier spectra, to a small part of a pixel.</summary>
/// <remarks>
/// Phase correlation: C. D. Kuglin and D. C. Hines 1975 (from memory). The whole-pixel peak is refined on a grid of
/// 1/100 pixel by a small matrix transform (M. Guizar-Sicairos, S. T. Thurman and J. R. Fienup 2008,
/// doi 10.1364/OL.33.000156), then by a parabola. Pictures are taken as periodic: window them first when they are not.
/// </remarks>
public static class ShiftEstimate
{
    private const int Upsampling = 100;

    /// <param name="first">Rows × columns, no NaN.</param>
    /// <param name="second">The same shape.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="weight">What the frequencies count.</param>
    public static PictureShift Of<T>(
        ReadOnlySpan<T> first,
        ReadOnlySpan<T> second,
        int rows,
        int columns,
        SpectrumWeight weight
    )
        where T : IFloatingPointIeee754<T>
    {
        Shapes.Check(first, rows, columns);
        Shapes.Check(second, rows, columns);
        Complex[] a = Spectrum(first, rows, columns, out double energyA);
        Complex[] b = Spectrum(second, rows, columns, out double energyB);
        double full = weight == SpectrumWeight.Phase ? 0 : Math.Sqrt(energyA * energyB);
        double floor = 1e-9 * Math.Sqrt(energyA * energyB) / a.Length;
        for (int index = 0; index < a.Length; index++)
        {
            Complex cross = b[index] * Complex.Conjugate(a[index]);
            if (weight == SpectrumWeight.Phase)
            {
                // Frequencies that carry nothing have no phase to tell.
                double size = cross.Magnitude;
                cross = size > floor ? cross / size : Complex.Zero;
                full += size > floor ? 1 : 0;
            }

            a[index] = cross;
        }

        if (!(full > 0))
        {
            return default;
        }

        a.CopyTo(b, 0);
        FourierTransform.Inverse2D(b, rows, columns);
        int best = 0;
        for (int index = 1; index < b.Length; index++)
        {
            best = b[index].Real > b[best].Real ? index : best;
        }

        (double row, double column, double peak) = Refine(a, rows, columns, best / columns, best % columns);
        return new PictureShift(
            row > rows / 2.0 ? row - rows : row,
            column > columns / 2.0 ? column - columns : column,
            peak / full
        );
    }

    private static Complex[] Spectrum<T>(ReadOnlySpan<T> values, int rows, int columns, out double energy)
        where T : IFloatingPointIeee754<T>
    {
        double mean = 0;
        foreach (T value in values)
        {
            mean += double.CreateChecked(value);
        }

        mean /= values.Length;
        Complex[] spectrum = new Complex[values.Length];
        for (int index = 0; index < spectrum.Length; index++)
        {
            spectrum[index] = double.CreateChecked(values[index]) - mean;
        }

        FourierTransform.Forward2D(spectrum, rows, columns);
        energy = 0;
        foreach (Complex value in spectrum)
        {
            energy += (value.Real * value.Real) + (value.Imaginary * value.Imaginary);
        }

        return spectrum;
    }

    /// <summary>Correlation on a fine grid about the whole-pixel peak, then the top of a parabola each way.</summary>
    private static (double Row, double Column, double Peak) Refine(
        Complex[] cross,
        int rows,
        int columns,
        int row,
        int column
    )
    {
        // One pixel either way is enough: the peak of a band-limited correlation lies within half a pixel.
        const int reach = Upsampling;
        const int count = (2 * reach) + 1;
        Complex[] partial = new Complex[rows * count];
        Complex[] turns = new Complex[columns * count];
        for (int k = 0; k < columns; k++)
        {
            for (int step = 0; step < count; step++)
            {
                turns[(k * count) + step] = Turn(k, columns, column + ((step - reach) / (double)Upsampling));
            }
        }

        for (int r = 0; r < rows; r++)
        {
            for (int k = 0; k < columns; k++)
            {
                Complex value = cross[(r * columns) + k];
                if (value == Complex.Zero)
                {
                    continue;
                }

                for (int step = 0; step < count; step++)
                {
                    partial[(r * count) + step] += value * turns[(k * count) + step];
                }
            }
        }

        double[] fine = new double[count * count];
        int best = 0;
        for (int i = 0; i < count; i++)
        {
            double at = row + ((i - reach) / (double)Upsampling);
            for (int r = 0; r < rows; r++)
            {
                Complex turn = Turn(r, rows, at);
                for (int j = 0; j < count; j++)
                {
                    Complex value = partial[(r * count) + j];
                    fine[(i * count) + j] += (value.Real * turn.Real) - (value.Imaginary * turn.Imaginary);
                }
            }
        }

        for (int index = 1; index < fine.Length; index++)
        {
            best = fine[index] > fine[best] ? index : best;
        }

        int bestI = Math.Clamp(best / count, 1, count - 2);
        int bestJ = Math.Clamp(best % count, 1, count - 2);
        int centre = (bestI * count) + bestJ;
        double topI = ParabolaTop(fine[centre - count], fine[centre], fine[centre + count]);
        double topJ = ParabolaTop(fine[centre - 1], fine[centre], fine[centre + 1]);
        return (
            row + ((bestI - reach + topI) / Upsampling),
            column + ((bestJ - reach + topJ) / Upsampling),
            fine[best]
        );
    }

    private static Complex Turn(int frequency, int length, double at)
    {
        int signed = frequency > length / 2 ? frequency - length : frequency;
        double angle = 2 * Math.PI * signed * at / length;
        return new Complex(Math.Cos(angle), Math.Sin(angle));
    }

    private static double ParabolaTop(double before, double middle, double after)
    {
        double bend = before - (2 * middle) + after;
        return bend < 0 ? Math.Clamp(0.5 * (before - after) / bend, -1, 1) : 0;
    }
}
