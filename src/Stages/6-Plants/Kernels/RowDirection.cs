using System.Numerics;
using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>Row spacing of a block and the direction of its rows from place to place.</summary>
/// <remarks>
/// Power spectra of overlapping windows, read on polar rings: rows are the strongest uneven ring; within it each window
/// tells its direction, and neighbouring windows are averaged as doubled angles. Our own combination of textbook parts.
/// </remarks>
internal sealed class RowDirection
{
    private const int Size = 128;
    private const int Angles = 90;
    private const int Rings = 36;
    private readonly int fieldRows;
    private readonly int fieldColumns;
    private readonly double stepMetres;
    private readonly double[] fieldCosine;
    private readonly double[] fieldSine;

    private RowDirection(int rows, int columns, double stepMetres, double[] cosine, double[] sine, double spacing)
    {
        (fieldRows, fieldColumns, this.stepMetres) = (rows, columns, stepMetres);
        (fieldCosine, fieldSine) = (cosine, sine);
        SpacingMetres = spacing;
    }

    public double SpacingMetres { get; }

    /// <summary>Share of the ring's power that the rows' direction stands out with, 0 … 1, averaged over the block.</summary>
    public double Distinctness { get; private init; }

    /// <summary>Unit vector along the row, x east and y south; the sign is arbitrary.</summary>
    public (double X, double Y) Along(double x, double y)
    {
        double column = Math.Clamp((x / stepMetres) - 0.5, 0, fieldColumns - 1);
        double row = Math.Clamp((y / stepMetres) - 0.5, 0, fieldRows - 1);
        int c = Math.Min((int)column, Math.Max(0, fieldColumns - 2));
        int r = Math.Min((int)row, Math.Max(0, fieldRows - 2));
        double a = column - c;
        double b = row - r;
        int right = fieldColumns > 1 ? 1 : 0;
        int down = fieldRows > 1 ? fieldColumns : 0;
        int at = (r * fieldColumns) + c;
        double Mix(double[] values) =>
            ((1 - b) * (((1 - a) * values[at]) + (a * values[at + right])))
            + (b * (((1 - a) * values[at + down]) + (a * values[at + down + right])));
        double angle = (Math.Atan2(Mix(fieldSine), Mix(fieldCosine)) / 2) + (Math.PI / 2);
        return (Math.Cos(angle), Math.Sin(angle));
    }

    /// <param name="signal">Canopy evidence, 0 outside the block; cells well below half the least spacing.</param>
    /// <param name="inside">Not 0 inside the block, same shape.</param>
    /// <param name="least">Least spacing looked for, metres.</param>
    /// <param name="largest">Largest.</param>
    /// <param name="threads">At least 1.</param>
    public static RowDirection? Find(FieldGrid signal, byte[] inside, double least, double largest, int threads)
    {
        int step = Size / 4;
        int rows = Math.Max(1, (signal.Rows + step - 1) / step);
        int columns = Math.Max(1, (signal.Columns + step - 1) / step);
        float[]?[] spectra = new float[]?[rows * columns];
        Parallel.For(
            0,
            spectra.Length,
            new ParallelOptions { MaxDegreeOfParallelism = threads },
            at =>
            {
                int centreRow = (at / columns * step) + (step / 2);
                int centreColumn = (at % columns * step) + (step / 2);
                spectra[at] = Polar(signal, inside, centreRow, centreColumn, least, largest);
            }
        );
        double ring0 = 1 / largest;
        double ratio = Math.Pow(largest / least, 1.0 / (Rings - 1));
        double[] total = new double[Rings];
        foreach (float[]? spectrum in spectra)
        {
            for (int ring = 0; spectrum is not null && ring < Rings; ring++)
            {
                (double peak, double median) = Uneven(spectrum.AsSpan(ring * Angles, Angles));
                total[ring] += peak - median;
            }
        }

        int best = 0;
        for (int ring = 1; ring < Rings; ring++)
        {
            best = total[ring] > total[best] ? ring : best;
        }

        if (!(total[best] > 0))
        {
            return null;
        }

        double shift = 0;
        if (best > 0 && best < Rings - 1)
        {
            double bend = total[best - 1] - (2 * total[best]) + total[best + 1];
            shift = bend < 0 ? (total[best - 1] - total[best + 1]) / (2 * bend) : 0;
        }

        double spacing = 1 / (ring0 * Math.Pow(ratio, best + shift));
        double[] cosine = new double[spectra.Length];
        double[] sine = new double[spectra.Length];
        double distinct = 0;
        int counted = 0;
        double[] smoothCosine = cosine;
        double[] smoothSine = sine;
        for (int pass = 0; pass < 3; pass++)
        {
            double[] nextCosine = new double[spectra.Length];
            double[] nextSine = new double[spectra.Length];
            (distinct, counted) = (0, 0);
            for (int at = 0; at < spectra.Length; at++)
            {
                if (spectra[at] is not { } spectrum)
                {
                    continue;
                }

                double[] power = Band(spectrum, best);
                double expected = Math.Atan2(smoothSine[at], smoothCosine[at]);
                int strongest = -1;
                for (int angle = 0; angle < Angles; angle++)
                {
                    double off = Math.IEEERemainder((2 * angle * Math.PI / Angles) - expected, Math.Tau);
                    bool allowed = pass == 0 || Math.Abs(off) < 1.2;
                    strongest = allowed && (strongest < 0 || power[angle] > power[strongest]) ? angle : strongest;
                }

                double sum = power.Sum();
                double near = 0;
                for (int turn = -4; turn <= 4; turn++)
                {
                    near += power[(strongest + turn + Angles) % Angles];
                }

                // The centroid around the peak is finer than the angle step.
                double lean = 0;
                for (int turn = -4; turn <= 4; turn++)
                {
                    lean += turn * power[(strongest + turn + Angles) % Angles] / Math.Max(near, 1e-30);
                }

                double doubled = 2 * (strongest + lean) * Math.PI / Angles;
                double weight = Math.Max(0, (near / Math.Max(sum, 1e-30)) - (9.0 / Angles)) * Math.Sqrt(sum);
                nextCosine[at] = weight * Math.Cos(doubled);
                nextSine[at] = weight * Math.Sin(doubled);
                distinct += near / Math.Max(sum, 1e-30);
                counted++;
            }

            (cosine, sine) = (nextCosine, nextSine);

            // The first pass is smoothed widely, to tell which of two crossing patterns is the rows.
            double reach = pass == 0 ? 3 : 0.8;
            smoothCosine = Smooth(cosine, rows, columns, reach);
            smoothSine = Smooth(sine, rows, columns, reach);
        }

        return new RowDirection(rows, columns, step * signal.CellMetres, smoothCosine, smoothSine, spacing)
        {
            Distinctness = counted == 0 ? 0 : distinct / counted,
        };
    }

    private static double[] Band(float[] spectrum, int best)
    {
        double[] power = new double[Angles];
        for (int ring = Math.Max(0, best - 5); ring <= Math.Min(Rings - 1, best + 5); ring++)
        {
            double weight = Math.Exp(-0.5 * (ring - best) * (ring - best) / 9.0);
            for (int angle = 0; angle < Angles; angle++)
            {
                power[angle] += weight * spectrum[(ring * Angles) + angle];
            }
        }

        return power;
    }

    private static (double Peak, double Median) Uneven(ReadOnlySpan<float> ring)
    {
        float[] sorted = ring.ToArray();
        Array.Sort(sorted);
        return (sorted[^1], sorted[sorted.Length / 2]);
    }

    private static double[] Smooth(double[] values, int rows, int columns, double sigma)
    {
        // Very small weights everywhere carry the direction into windows that have none of their own.
        double[] result = new double[values.Length];
        int reach = (int)Math.Ceiling(6 * sigma);
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                double sum = 0;
                for (int r = Math.Max(0, row - reach); r <= Math.Min(rows - 1, row + reach); r++)
                {
                    for (int c = Math.Max(0, column - reach); c <= Math.Min(columns - 1, column + reach); c++)
                    {
                        double square = ((r - row) * (r - row)) + ((c - column) * (c - column));
                        sum += values[(r * columns) + c] * Math.Exp(-square / (2 * sigma * sigma));
                    }
                }

                result[(row * columns) + column] = sum;
            }
        }

        return result;
    }

    private static float[]? Polar(
        FieldGrid signal,
        byte[] inside,
        int centreRow,
        int centreColumn,
        double least,
        double largest
    )
    {
        int firstRow = centreRow - (Size / 2);
        int firstColumn = centreColumn - (Size / 2);
        double sum = 0;
        int count = 0;
        for (int row = Math.Max(0, firstRow); row < Math.Min(signal.Rows, firstRow + Size); row++)
        {
            for (int column = Math.Max(0, firstColumn); column < Math.Min(signal.Columns, firstColumn + Size); column++)
            {
                int at = (row * signal.Columns) + column;
                if (inside[at] != 0)
                {
                    sum += signal.Values[at];
                    count++;
                }
            }
        }

        if (count < Size * Size / 12)
        {
            return null;
        }

        double mean = sum / count;
        Complex[] values = new Complex[Size * Size];
        for (int row = 0; row < Size; row++)
        {
            double rowWeight = 0.5 - (0.5 * Math.Cos(Math.Tau * (row + 0.5) / Size));
            for (int column = 0; column < Size; column++)
            {
                int r = firstRow + row;
                int c = firstColumn + column;
                if (r >= 0 && c >= 0 && r < signal.Rows && c < signal.Columns && inside[(r * signal.Columns) + c] != 0)
                {
                    double weight = rowWeight * (0.5 - (0.5 * Math.Cos(Math.Tau * (column + 0.5) / Size)));
                    values[(row * Size) + column] = weight * (signal.Values[(r * signal.Columns) + c] - mean);
                }
            }
        }

        FourierTransform.Forward2D(values, Size, Size);
        float[] power = new float[Size * Size];
        for (int at = 0; at < power.Length; at++)
        {
            power[at] = (float)((values[at].Real * values[at].Real) + (values[at].Imaginary * values[at].Imaginary));
        }

        float[] polar = new float[Rings * Angles];
        double ratio = Math.Pow(largest / least, 1.0 / (Rings - 1));
        for (int ring = 0; ring < Rings; ring++)
        {
            double radius = Size * signal.CellMetres / largest * Math.Pow(ratio, ring);
            for (int angle = 0; angle < Angles; angle++)
            {
                double turn = angle * Math.PI / Angles;
                polar[(ring * Angles) + angle] = Sample(power, radius * Math.Cos(turn), radius * Math.Sin(turn));
            }
        }

        return polar;
    }

    private static float Sample(float[] power, double x, double y)
    {
        int column = (int)Math.Floor(x);
        int row = (int)Math.Floor(y);
        float a = (float)(x - column);
        float b = (float)(y - row);
        float Value(int r, int c) => power[((r & (Size - 1)) * Size) + (c & (Size - 1))];
        return ((1 - b) * (((1 - a) * Value(row, column)) + (a * Value(row, column + 1))))
            + (b * (((1 - a) * Value(row + 1, column)) + (a * Value(row + 1, column + 1))));
    }
}
