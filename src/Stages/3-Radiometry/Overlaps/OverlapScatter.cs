namespace Hillrow.Radiometry;

/// <summary>How much captures disagree over areas of a frame, noise of single looks averaged out.</summary>
internal static class OverlapScatter
{
    private const int CellsAcross = 5;
    private const int FewestLooks = 6;

    /// <summary>Root mean square of captures' means of residuals.</summary>
    public static double OfCaptures(GainProblem problem, double[] residuals) => Scatter(problem, residuals, 1);

    /// <summary>Root mean square of means over cells of frames.</summary>
    public static double OfCells(GainProblem problem, double[] residuals) => Scatter(problem, residuals, CellsAcross);

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
