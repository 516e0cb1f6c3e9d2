namespace Hillrow.Imaging;

/// <summary>Counts above black to linear counts, straight lines between the points, the end lines continued.</summary>
/// <param name="Counts">Strictly rising, at least 2.</param>
/// <param name="LinearCounts">Strictly rising, as many.</param>
public sealed record ResponseTable(IReadOnlyList<double> Counts, IReadOnlyList<double> LinearCounts)
{
    public double LinearOf(double countsAboveBlack) =>
        PiecewiseLine.At(Counts, LinearCounts, countsAboveBlack, extend: true);

    public double CountsOf(double linearCounts) => PiecewiseLine.At(LinearCounts, Counts, linearCounts, extend: true);
}

/// <summary>What the order of reading out does to rows: corrected = (count − OffsetCounts) · Factors.</summary>
/// <param name="Rows">Row numbers (0 is the first), strictly rising; straight lines between, ends held.</param>
/// <param name="Factors">Above 0, as many.</param>
/// <param name="OffsetCounts">As many.</param>
public sealed record RowCorrection(
    IReadOnlyList<double> Rows,
    IReadOnlyList<double> Factors,
    IReadOnlyList<double> OffsetCounts
)
{
    public double FactorAt(double row) => PiecewiseLine.At(Rows, Factors, row, extend: false);

    public double OffsetAt(double row) => PiecewiseLine.At(Rows, OffsetCounts, row, extend: false);
}

/// <summary>The irradiance sensor's answer to slanting light against the ideal cosine.</summary>
/// <param name="IncidenceDegrees">Strictly rising from 0.</param>
/// <param name="RelativeResponse">Measured / ideal; straight lines between, ends held.</param>
public sealed record CosineTable(IReadOnlyList<double> IncidenceDegrees, IReadOnlyList<double> RelativeResponse)
{
    public double ResponseAt(double incidenceDegrees) =>
        PiecewiseLine.At(IncidenceDegrees, RelativeResponse, incidenceDegrees, extend: false);
}

internal static class PiecewiseLine
{
    public static double At(IReadOnlyList<double> x, IReadOnlyList<double> y, double at, bool extend)
    {
        if (x.Count == 1 || (!extend && at <= x[0]))
        {
            return y[0];
        }

        if (!extend && at >= x[^1])
        {
            return y[^1];
        }

        int low = 0;
        int high = x.Count - 1;
        while (high - low > 1)
        {
            int middle = (low + high) / 2;
            (low, high) = at < x[middle] ? (low, middle) : (middle, high);
        }

        return y[low] + ((y[high] - y[low]) * ((at - x[low]) / (x[high] - x[low])));
    }
}
