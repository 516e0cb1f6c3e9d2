using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>Size, place and shape of one labelled region.</summary>
/// <param name="Label">Its number, from 1.</param>
/// <param name="AreaPixels">Count of pixels.</param>
/// <param name="Centroid">Mean of its pixels' centres.</param>
/// <param name="FirstRow">Topmost row.</param>
/// <param name="FirstColumn">Leftmost column.</param>
/// <param name="EndRow">One past the lowest row.</param>
/// <param name="EndColumn">One past the rightmost column.</param>
/// <param name="MajorAxisPixels">4 √ of the larger eigenvalue of the covariance of its pixels' centres; 0 for one pixel.</param>
/// <param name="MinorAxisPixels">The same of the smaller.</param>
/// <param name="MeanIntensity">Mean of the picture given; NaN without one.</param>
public sealed record RegionMeasure(
    int Label,
    int AreaPixels,
    PixelPoint Centroid,
    int FirstRow,
    int FirstColumn,
    int EndRow,
    int EndColumn,
    double MajorAxisPixels,
    double MinorAxisPixels,
    double MeanIntensity
)
{
    /// <summary>Diameter of the circle of the same area.</summary>
    public double EquivalentDiameterPixels => Math.Sqrt(4 * AreaPixels / Math.PI);

    /// <summary>0 for a circle, towards 1 for a line.</summary>
    public double Eccentricity
    {
        get
        {
            double ratio = MajorAxisPixels > 0 ? MinorAxisPixels / MajorAxisPixels : 1;
            return Math.Sqrt(Math.Max(0, 1 - (ratio * ratio)));
        }
    }
}

/// <summary>Measures all regions of a labelled picture in two passes.</summary>
public static class RegionMeasures
{
    /// <param name="labels">Rows × columns; 0 is outside, regions 1 … count.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="count">Number of regions.</param>
    /// <param name="intensity">The same shape, or empty.</param>
    /// <returns>Region 1 first; a number without pixels is left out.</returns>
    public static IReadOnlyList<RegionMeasure> Of<T>(
        ReadOnlySpan<int> labels,
        int rows,
        int columns,
        int count,
        ReadOnlySpan<T> intensity
    )
        where T : IFloatingPointIeee754<T>
    {
        Shapes.Check(labels, rows, columns);
        if (!intensity.IsEmpty)
        {
            Shapes.Check(intensity, rows, columns);
        }

        Sums[] sums = new Sums[count + 1];
        Array.Fill(sums, new Sums { FirstRow = int.MaxValue, FirstColumn = int.MaxValue });
        for (int index = 0; index < labels.Length; index++)
        {
            if (labels[index] <= 0)
            {
                continue;
            }

            ref Sums sum = ref sums[labels[index]];
            (int row, int column) = (index / columns, index % columns);
            sum.Area++;
            sum.Row += row;
            sum.Column += column;
            sum.Intensity += intensity.IsEmpty ? 0 : double.CreateChecked(intensity[index]);
            sum.FirstRow = Math.Min(sum.FirstRow, row);
            sum.FirstColumn = Math.Min(sum.FirstColumn, column);
            sum.EndRow = Math.Max(sum.EndRow, row + 1);
            sum.EndColumn = Math.Max(sum.EndColumn, column + 1);
        }

        // Second pass about the means: sums of squares about the origin lose digits far from it.
        for (int index = 0; index < labels.Length; index++)
        {
            if (labels[index] > 0)
            {
                ref Sums sum = ref sums[labels[index]];
                double row = (index / columns) - (sum.Row / sum.Area);
                double column = (index % columns) - (sum.Column / sum.Area);
                sum.RowRow += row * row;
                sum.RowColumn += row * column;
                sum.ColumnColumn += column * column;
            }
        }

        List<RegionMeasure> measures = new(count);
        for (int label = 1; label <= count; label++)
        {
            if (sums[label].Area > 0)
            {
                measures.Add(sums[label].ToMeasure(label, hasIntensity: !intensity.IsEmpty));
            }
        }

        return measures;
    }

    private struct Sums
    {
        public int Area;
        public double Row;
        public double Column;
        public double Intensity;
        public int FirstRow;
        public int FirstColumn;
        public int EndRow;
        public int EndColumn;
        public double RowRow;
        public double RowColumn;
        public double ColumnColumn;

        public readonly RegionMeasure ToMeasure(int label, bool hasIntensity)
        {
            double rr = RowRow / Area;
            double cc = ColumnColumn / Area;
            double rc = RowColumn / Area;
            double middle = 0.5 * (rr + cc);
            double spread = Math.Sqrt((0.25 * (rr - cc) * (rr - cc)) + (rc * rc));
            return new RegionMeasure(
                label,
                Area,
                new PixelPoint((Column / Area) + 0.5, (Row / Area) + 0.5),
                FirstRow,
                FirstColumn,
                EndRow,
                EndColumn,
                4 * Math.Sqrt(middle + spread),
                4 * Math.Sqrt(Math.Max(0, middle - spread)),
                hasIntensity ? Intensity / Area : double.NaN
            );
        }
    }
}
