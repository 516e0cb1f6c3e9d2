namespace Hillrow.Radiometry;

/// <summary>Ties between the light nodes of one frame.</summary>
internal static class LightNodes
{
    /// <summary>Neighbouring nodes of every capture are alike.</summary>
    /// <param name="problem">Receives the ties.</param>
    /// <param name="rows">Of nodes.</param>
    /// <param name="columns">Of nodes.</param>
    /// <param name="step">Standard deviation of the difference of neighbours.</param>
    /// <param name="mayJump">Whether clouds' edges may lie between them.</param>
    public static void Tie(GainProblem problem, int rows, int columns, double step, bool mayJump)
    {
        for (int capture = 0; capture < problem.Captures; capture++)
        {
            for (int node = 0; node < rows * columns; node++)
            {
                if ((node % columns) + 1 < columns)
                {
                    Pair(problem, capture, node, node + 1, step, mayJump);
                }

                if (node + columns < rows * columns)
                {
                    Pair(problem, capture, node, node + columns, step, mayJump);
                }
            }
        }
    }

    private static void Pair(GainProblem problem, int capture, int one, int other, double step, bool mayJump) =>
        problem.Add(
            new GainPrior(
                [problem.NodeIndex(capture, one), problem.NodeIndex(capture, other)],
                [1, -1],
                0,
                step,
                mayJump
            )
        );
}
