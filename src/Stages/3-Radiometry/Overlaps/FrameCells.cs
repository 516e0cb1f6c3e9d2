namespace Hillrow.Radiometry;

/// <summary>By how much each part of each frame disagrees with the other captures after the adjustment.</summary>
/// <remarks>
/// The mean of a cell's residuals, squared, less what the scatter of single looks makes of it; each residual enlarged by
/// √(n / (n − 1)), for n looks had a share in the mean they are held against. A cell is taken with its neighbours and
/// with the whole survey's cells, as if two cells of the survey's size had been seen there.
/// </remarks>
internal sealed class FrameCells
{
    /// <summary>Looks side by side share parallax: so many tell as much as one.</summary>
    private const double LooksPerFact = 2;
    private const double SurveyCells = 2;

    /// <summary>No cell is taken to be better than this share of the survey's variance.</summary>
    private const double LeastShare = 0.25;
    private const double LeastSigma = 0.003;
    private const int FewestLooks = 3;

    private readonly double[] variances;

    private FrameCells(int rows, int columns, double[] variances)
    {
        (Rows, Columns, this.variances) = (rows, columns, variances);
    }

    public int Rows { get; }

    public int Columns { get; }

    /// <summary>Relative variance at a cell.</summary>
    public double VarianceOf(int capture, int cell) => variances[(capture * Rows * Columns) + cell];

    public static FrameCells Of(GainProblem problem, double[] residuals, int rows, int columns)
    {
        GainSamples samples = problem.Samples;
        int inFrame = rows * columns;
        double[] sums = new double[problem.Captures * inFrame];
        double[] squares = new double[sums.Length];
        int[] counts = new int[sums.Length];
        for (int place = 0; place < samples.Places; place++)
        {
            (int first, int end) = (samples.StartOf(place), samples.StartOf(place + 1));
            double larger = Math.Sqrt((end - first) / (end - first - 1.0));
            for (int look = first; look < end; look++)
            {
                int at = (samples.CaptureOf(look) * inFrame) + OverlapScatter.CellOf(samples, look, rows, columns);
                double miss = larger * residuals[look];
                sums[at] += miss;
                squares[at] += miss * miss;
                counts[at]++;
            }
        }

        double[] excess = new double[sums.Length];
        double total = 0;
        int used = 0;
        for (int at = 0; at < sums.Length; at++)
        {
            excess[at] = double.NaN;
            if (counts[at] >= FewestLooks)
            {
                double mean = sums[at] / counts[at];
                double within = ((squares[at] / counts[at]) - (mean * mean)) * counts[at] / (counts[at] - 1.0);
                excess[at] = (mean * mean) - (within * LooksPerFact / counts[at]);
                total += excess[at];
                used++;
            }
        }

        double usual = Math.Max(LeastSigma * LeastSigma, used == 0 ? 0 : total / used);
        double[] found = new double[sums.Length];
        for (int at = 0; at < found.Length; at++)
        {
            found[at] = Math.Max(LeastShare * usual, Around(excess, at, rows, columns, usual));
        }

        return new FrameCells(rows, columns, found);
    }

    private static double Around(double[] excess, int at, int rows, int columns, double usual)
    {
        int frame = at / (rows * columns) * rows * columns;
        (int row, int column) = ((at - frame) / columns, (at - frame) % columns);
        double sum = SurveyCells * usual;
        double count = SurveyCells;
        for (int r = Math.Max(0, row - 1); r <= Math.Min(rows - 1, row + 1); r++)
        {
            for (int c = Math.Max(0, column - 1); c <= Math.Min(columns - 1, column + 1); c++)
            {
                double here = excess[frame + (r * columns) + c];
                double weight = (r, c) == (row, column) ? 2 : 1;
                if (!double.IsNaN(here))
                {
                    sum += weight * here;
                    count += weight;
                }
            }
        }

        return sum / count;
    }
}
