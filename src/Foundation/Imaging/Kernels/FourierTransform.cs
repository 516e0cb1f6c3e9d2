using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>Discrete Fourier transform of one length, prepared once and used for many rows.</summary>
/// <remarks>
/// Powers of two by Cooley and Tukey 1965, doi 10.1090/S0025-5718-1965-0178586-1; any other length as a chirp
/// convolution (L. I. Bluestein 1970, doi 10.1109/TAU.1970.1162132). Not thread-safe: it owns its scratch.
/// </remarks>
public sealed class FourierTransform
{
    private readonly Complex[] roots;
    private readonly Complex[] chirp = [];
    private readonly Complex[] chirpSpectrum = [];
    private readonly Complex[] scratch = [];
    private readonly FourierTransform? inner;

    /// <param name="length">1 … 2^24.</param>
    public FourierTransform(int length)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(length);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(length, 1 << 24);
        Length = length;
        roots = new Complex[Math.Max(1, length / 2)];
        for (int index = 0; index < roots.Length; index++)
        {
            roots[index] = UnitCircle(-2.0 * index / length);
        }

        if (BitOperations.IsPow2(length))
        {
            return;
        }

        int padded = (int)BitOperations.RoundUpToPowerOf2((uint)((2 * length) - 1));
        inner = new FourierTransform(padded);
        scratch = new Complex[padded];
        chirp = new Complex[length];
        chirpSpectrum = new Complex[padded];
        for (int index = 0; index < length; index++)
        {
            // index² modulo 2·length keeps the angle exact for long rows.
            chirp[index] = UnitCircle(-(double)((long)index * index % (2L * length)) / length);
            chirpSpectrum[index] = Complex.Conjugate(chirp[index]);
            if (index > 0)
            {
                chirpSpectrum[padded - index] = chirpSpectrum[index];
            }
        }

        inner.Forward(chirpSpectrum);
    }

    public int Length { get; }

    /// <summary>Σ x(n) exp(−2πi k n / N), in place.</summary>
    public void Forward(Span<Complex> values)
    {
        if (values.Length != Length)
        {
            throw new ArgumentException($"This transform is for {Length} values, not {values.Length}.");
        }

        if (inner is null)
        {
            PowerOfTwo(values);
            return;
        }

        Array.Clear(scratch);
        for (int index = 0; index < Length; index++)
        {
            scratch[index] = values[index] * chirp[index];
        }

        inner.Forward(scratch);
        for (int index = 0; index < scratch.Length; index++)
        {
            scratch[index] *= chirpSpectrum[index];
        }

        inner.Inverse(scratch);
        for (int index = 0; index < Length; index++)
        {
            values[index] = scratch[index] * chirp[index];
        }
    }

    /// <summary>The inverse of <see cref="Forward"/>, 1/N included, in place.</summary>
    public void Inverse(Span<Complex> values)
    {
        for (int index = 0; index < values.Length; index++)
        {
            values[index] = Complex.Conjugate(values[index]);
        }

        Forward(values);
        double scale = 1.0 / Length;
        for (int index = 0; index < values.Length; index++)
        {
            values[index] = Complex.Conjugate(values[index]) * scale;
        }
    }

    /// <summary>Transforms rows, then columns, of a rows × columns picture in place.</summary>
    public static void Forward2D(Span<Complex> values, int rows, int columns) =>
        Apply2D(values, rows, columns, inverse: false);

    /// <summary>The inverse of <see cref="Forward2D"/>.</summary>
    public static void Inverse2D(Span<Complex> values, int rows, int columns) =>
        Apply2D(values, rows, columns, inverse: true);

    private static void Apply2D(Span<Complex> values, int rows, int columns, bool inverse)
    {
        Shapes.Check<Complex>(values, rows, columns);
        FourierTransform along = new(columns);
        for (int row = 0; row < rows; row++)
        {
            along.Apply(values.Slice(row * columns, columns), inverse);
        }

        FourierTransform down = new(rows);
        Complex[] line = new Complex[rows];
        for (int column = 0; column < columns; column++)
        {
            for (int row = 0; row < rows; row++)
            {
                line[row] = values[(row * columns) + column];
            }

            down.Apply(line, inverse);
            for (int row = 0; row < rows; row++)
            {
                values[(row * columns) + column] = line[row];
            }
        }
    }

    private void Apply(Span<Complex> values, bool inverse)
    {
        if (inverse)
        {
            Inverse(values);
        }
        else
        {
            Forward(values);
        }
    }

    private void PowerOfTwo(Span<Complex> values)
    {
        int bits = BitOperations.Log2((uint)Length);
        int reversed = 0;
        for (int index = 1; index < Length; index++)
        {
            int bit = Length >> 1;
            while ((reversed & bit) != 0)
            {
                reversed ^= bit;
                bit >>= 1;
            }

            reversed |= bit;
            if (index < reversed)
            {
                (values[index], values[reversed]) = (values[reversed], values[index]);
            }
        }

        for (int stage = 1; stage <= bits; stage++)
        {
            int size = 1 << stage;
            int half = size / 2;
            int stride = Length / size;
            for (int start = 0; start < Length; start += size)
            {
                for (int k = 0; k < half; k++)
                {
                    Complex odd = values[start + k + half] * roots[k * stride];
                    Complex even = values[start + k];
                    values[start + k] = even + odd;
                    values[start + k + half] = even - odd;
                }
            }
        }
    }

    private static Complex UnitCircle(double halfTurns) =>
        new(Math.Cos(Math.PI * halfTurns), Math.Sin(Math.PI * halfTurns));
}
