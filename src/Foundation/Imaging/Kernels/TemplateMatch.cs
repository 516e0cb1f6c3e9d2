using System.Numerics;
using System.Runtime.InteropServices;

namespace Hillrow.Imaging;

/// <summary>Finds a small picture in a larger one by normalised cross-correlation about the means.</summary>
public static class TemplateMatch
{
    /// <summary>Correlation −1 … 1 for every place the template fits; its top-left corner there gives row and column.</summary>
    /// <param name="picture">Rows × columns, row-major.</param>
    /// <param name="rows">At least the template's.</param>
    /// <param name="columns">At least the template's.</param>
    /// <param name="template">Template rows × template columns.</param>
    /// <param name="templateRows">Above 0.</param>
    /// <param name="templateColumns">Above 0.</param>
    /// <param name="result">(rows − template rows + 1) × (columns − template columns + 1); 0 where either is flat.</param>
    /// <remarks>Window means and squares come from running sums about the picture's mean (J. P. Lewis 1995, from memory).</remarks>
    public static void Correlate(
        ReadOnlySpan<double> picture,
        int rows,
        int columns,
        ReadOnlySpan<double> template,
        int templateRows,
        int templateColumns,
        Span<double> result
    )
    {
        Shapes.Check(picture, rows, columns);
        Shapes.Check(template, templateRows, templateColumns);
        int resultRows = rows - templateRows + 1;
        int resultColumns = columns - templateColumns + 1;
        Shapes.Check<double>(result, resultRows, resultColumns);

        // About the means, the cross term needs no correction and the running sums keep their digits.
        double[] centredTemplate = Centred(template, out double templateEnergy);
        double[] centred = Centred(picture, out double pictureEnergy);
        double[] sums = RunningSums(centred, rows, columns, square: false);
        double[] squares = RunningSums(centred, rows, columns, square: true);
        double count = (double)templateRows * templateColumns;
        double flat = 1e-12 * pictureEnergy / picture.Length * count;
        double[] line = new double[resultColumns];
        for (int row = 0; row < resultRows; row++)
        {
            Array.Clear(line);
            for (int i = 0; i < templateRows; i++)
            {
                for (int j = 0; j < templateColumns; j++)
                {
                    AddWeighted(
                        centred.AsSpan(((row + i) * columns) + j, resultColumns),
                        centredTemplate[(i * templateColumns) + j],
                        line
                    );
                }
            }

            for (int column = 0; column < resultColumns; column++)
            {
                double sum = Window(sums, columns, row, column, templateRows, templateColumns);
                double energy =
                    Window(squares, columns, row, column, templateRows, templateColumns) - (sum * sum / count);
                bool isFlat = energy <= flat || templateEnergy <= 0;
                result[(row * resultColumns) + column] = isFlat ? 0 : line[column] / Math.Sqrt(energy * templateEnergy);
            }
        }
    }

    private static double[] Centred(ReadOnlySpan<double> values, out double energy)
    {
        double mean = 0;
        foreach (double value in values)
        {
            mean += value;
        }

        mean /= values.Length;
        double[] centred = new double[values.Length];
        energy = 0;
        for (int index = 0; index < values.Length; index++)
        {
            centred[index] = values[index] - mean;
            energy += centred[index] * centred[index];
        }

        return centred;
    }

    private static double[] RunningSums(double[] values, int rows, int columns, bool square)
    {
        double[] sums = new double[(rows + 1) * (columns + 1)];
        for (int row = 0; row < rows; row++)
        {
            double line = 0;
            for (int column = 0; column < columns; column++)
            {
                double value = values[(row * columns) + column];
                line += square ? value * value : value;
                sums[((row + 1) * (columns + 1)) + column + 1] = sums[(row * (columns + 1)) + column + 1] + line;
            }
        }

        return sums;
    }

    private static double Window(double[] sums, int columns, int row, int column, int height, int width)
    {
        int top = row * (columns + 1);
        int bottom = (row + height) * (columns + 1);
        return sums[bottom + column + width] - sums[top + column + width] - sums[bottom + column] + sums[top + column];
    }

    private static void AddWeighted(ReadOnlySpan<double> values, double weight, Span<double> sum)
    {
        ref double from = ref MemoryMarshal.GetReference(values);
        ref double to = ref MemoryMarshal.GetReference(sum);
        Vector<double> weights = new(weight);
        int index = 0;
        for (; index <= values.Length - Vector<double>.Count; index += Vector<double>.Count)
        {
            Vector
                .FusedMultiplyAdd(
                    Vector.LoadUnsafe(ref from, (nuint)index),
                    weights,
                    Vector.LoadUnsafe(ref to, (nuint)index)
                )
                .StoreUnsafe(ref to, (nuint)index);
        }

        for (; index < values.Length; index++)
        {
            sum[index] = Math.FusedMultiplyAdd(values[index], weight, sum[index]);
        }
    }
}
