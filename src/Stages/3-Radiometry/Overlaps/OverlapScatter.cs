namespace Hillrow.Radiometry;

/// <summary>How much captures disagree over areas of a frame, noise of single looks averaged out.</summary>
internal static class OverlapScatter
{
    private const int CellsAcross = 5;
    private const int FewestLooks = 6;

    /// <summary>Looks side by side share parallax and slope: so many tell as much as one, as in <see cref="GainSolver"/>.</summary>
    private const double LooksPerFact = 4;

    /// <summary>Root mean square of captures' means of residuals.</summary>
    public static double OfCaptures(GainProblem problem, double[] residuals) => Scatter(problem, residuals, 1);

    /// <summary>Root mean square of means over cells of frames.</summary>
    public static double OfCells(GainProblem problem, double[] residuals) => Scatter(problem, residuals, CellsAcross);

    /// <summary>
    /// The same less what the scatter of single looks makes of a cell's mean: leaves and parallax differ from look to look, shade is
    /// alike all over a cell.
    /// </summary>
    public static double OfCellsBeyondLooks(GainProblem problem, double[] residuals)
    {
        const int InFrame = CellsAcross * CellsAcross;
        double[] sums = new double[problem.Captures * InFrame];
        double[] squares = new double[sums.Length];
        int[] counts = new int[sums.Length];
        for (int look = 0; look < residuals.Length; look++)
        {
            int cell = CellOf(problem.Samples, look, CellsAcross, CellsAcross);
            int at = (problem.Samples.CaptureOf(look) * InFrame) + cell;
            sums[at] += residuals[look];
            squares[at] += residuals[look] * residuals[look];
            counts[at]++;
        }

        double total = 0;
        int used = 0;
        for (int at = 0; at < sums.Length; at++)
        {
            if (counts[at] >= FewestLooks)
            {
                double mean = sums[at] / counts[at];
                double within = ((squares[at] / counts[at]) - (mean * mean)) * counts[at] / (counts[at] - 1.0);
                total += (mean * mean) - (within * LooksPerFact / counts[at]);
                used++;
            }
        }

        return used == 0 ? 0 : Math.Sqrt(Math.Max(0, total / used));
    }

    /// <summary>Which cell of its frame a look lies in.</summary>
    public static int CellOf(GainSamples samples, int look, int rows, int columns)
    {
        ReadOnlySpan<float> regressors = samples.RegressorsOf(look);
        double across = (regressors[LookRegressors.Lens + 2] + 1) / 2;
        double down = (regressors[LookRegressors.Lens + 3] + 1) / 2;
        return (Math.Clamp((int)(down * rows), 0, rows - 1) * columns)
            + Math.Clamp((int)(across * columns), 0, columns - 1);
    }

    private static double Scatter(GainProblem problem, double[] residuals, int cells)
    {
        int inFrame = cells * cells;
        double[] sums = new double[problem.Captures * inFrame];
        int[] counts = new int[sums.Length];
        for (int look = 0; look < residuals.Length; look++)
        {
            int at = (problem.Samples.CaptureOf(look) * inFrame) + CellOf(problem.Samples, look, cells, cells);
            sums[at] += residuals[look];
            counts[at]++;
        }

        double squares = 0;
        int used = 0;
        for (int at = 0; at < sums.Length; at++)
        {
            if (counts[at] >= FewestLooks)
            {
                squares += sums[at] / counts[at] * (sums[at] / counts[at]);
                used++;
            }
        }

        return used == 0 ? 0 : Math.Sqrt(squares / used);
    }
}
