using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>
/// What a polynomial lens model cannot follow: a smooth displacement of some tenths of a pixel over the picture, a
/// sum of cosines in column and row.
/// </summary>
public sealed class ResidualField
{
    private const int Orders = 5;
    private readonly double[] columnShift = new double[Orders * Orders];
    private readonly double[] rowShift = new double[Orders * Orders];
    private readonly double columns;
    private readonly double rows;

    /// <param name="rmsPixels">Root mean square of the displacement; 0 gives none.</param>
    public ResidualField(int columns, int rows, double rmsPixels, SplittableRandom draw)
    {
        ArgumentNullException.ThrowIfNull(draw);
        this.columns = columns;
        this.rows = rows;
        double power = 0;
        for (int index = 0; index < columnShift.Length; index++)
        {
            int order = (index / Orders) + (index % Orders);
            // Orders below 2 would only move or stretch the picture, as a principal point does.
            if (order < 2 || order > 6)
            {
                continue;
            }

            double weight = 1.0 / order;
            columnShift[index] = weight * draw.NextGaussian();
            rowShift[index] = weight * draw.NextGaussian();
            double share = (index / Orders == 0 ? 1 : 0.5) * (index % Orders == 0 ? 1 : 0.5);
            power += share * ((columnShift[index] * columnShift[index]) + (rowShift[index] * rowShift[index]));
        }

        double scale = power > 0 ? rmsPixels / Math.Sqrt(power) : 0;
        for (int index = 0; index < columnShift.Length; index++)
        {
            columnShift[index] *= scale;
            rowShift[index] *= scale;
        }
    }

    /// <summary>Displacement in pixels at an undisplaced picture place.</summary>
    public (double Columns, double Rows) At(double column, double row)
    {
        double cosX = Math.Cos(Math.PI * column / columns);
        double cosY = Math.Cos(Math.PI * row / rows);
        double sumColumn = 0;
        double sumRow = 0;
        // cos((n + 1) x) = 2 cos x cos(n x) − cos((n − 1) x).
        (double alongY, double beforeY) = (1, cosY);
        for (int j = 0; j < Orders; j++)
        {
            (double alongX, double beforeX) = (alongY, alongY * cosX);
            for (int i = 0; i < Orders; i++)
            {
                sumColumn += columnShift[(j * Orders) + i] * alongX;
                sumRow += rowShift[(j * Orders) + i] * alongX;
                (alongX, beforeX) = ((2 * cosX * alongX) - beforeX, alongX);
            }

            (alongY, beforeY) = ((2 * cosY * alongY) - beforeY, alongY);
        }

        return (sumColumn, sumRow);
    }
}
