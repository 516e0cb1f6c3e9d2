namespace Hillrow.Radiometry;

/// <summary>How much captures disagree over areas of a frame, noise of single looks averaged out.</summary>
internal static class OverlapScatter
{
    private const int CellsAcross = 5;
    private const int FewestLooks = 6;

    /// <summary>Robust scatter of capture means before, and of cell means of frames after the adjustment.</summary>
    public static (double Before, double After) Of(GainProblem problem, GainSolution solution, int rows, int columns)
    {
        double[] even = new double[problem.Samples.Looks];
        Array.Fill(even, 1);
        double[] zero = new double[problem.Unknowns];
        return (
            CellScatter(problem, GainSolver.Residuals(problem, even, zero), rows, columns, 1),
            CellScatter(problem, GainSolver.Residuals(problem, even, solution.Values), rows, columns, CellsAcross)
        );
    }

    private static double CellScatter(GainProblem problem, double[] residuals, int rows, int columns, int cells)
    {
        int inFrame = cells * cells;
        double[] sums = new double[problem.Captures * inFrame];
        int[] counts = new int[sums.Length];
        for (int look = 0; look < residuals.Length; look++)
        {
            NodePlace place = problem.Samples.NodeOf(look);
            int cell = 0;
            if (rows > 1 && columns > 1)
            {
                double across = ((place.First % columns) + place.Across) / (columns - 1);
                double down = ((place.First / columns) + place.Down) / (rows - 1);
                cell =
                    (Math.Clamp((int)(down * cells), 0, cells - 1) * cells)
                    + Math.Clamp((int)(across * cells), 0, cells - 1);
            }

            int at = (problem.Samples.CaptureOf(look) * inFrame) + cell;
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
