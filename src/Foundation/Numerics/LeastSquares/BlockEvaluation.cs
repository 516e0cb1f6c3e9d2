namespace Hillrow.Numerics.LeastSquares;

/// <summary>Evaluates all residual groups in fixed pieces: the cost, and on demand the weighted residuals and Jacobians.</summary>
internal sealed class BlockEvaluation
{
    private const int ResidualsPerPiece = 512;

    private readonly BlockProblem problem;
    private readonly GroupLayout[] layouts;
    private readonly WorkTeam team;
    private readonly int[] sharedStarts;
    private readonly int[] pieceGroup;
    private readonly int[] pieceFirst;
    private readonly double[] pieceCost;
    private readonly double[][] residualScratch;
    private readonly bool[] anyHeld;
    private readonly Action<int, int> costPiece;
    private readonly Action<int, int> jacobianPiece;
    private double[] sharedNow = [];
    private double[] pointsNow = [];

    public BlockEvaluation(BlockProblem blockProblem, GroupLayout[] groupLayouts, WorkTeam workTeam)
    {
        problem = blockProblem;
        layouts = groupLayouts;
        team = workTeam;
        sharedStarts = problem.SharedStarts();
        List<int> groups = [];
        List<int> firsts = [];
        int widest = 1;
        for (int group = 0; group < layouts.Length; group++)
        {
            widest = Math.Max(widest, layouts[group].Group.ResidualSize);
            for (int first = 0; first < layouts[group].Order.Length; first += ResidualsPerPiece)
            {
                groups.Add(group);
                firsts.Add(first);
            }
        }

        pieceGroup = [.. groups];
        pieceFirst = [.. firsts];
        pieceCost = new double[pieceGroup.Length];
        residualScratch = new double[team.Threads][];
        for (int worker = 0; worker < team.Threads; worker++)
        {
            residualScratch[worker] = new double[ResidualsPerPiece * widest];
        }

        bool heldPoint = Array.IndexOf(problem.HeldPoints, true) >= 0;
        anyHeld = new bool[layouts.Length];
        bool heldBlock = problem.Blocks.Exists(block => Array.IndexOf(block.Held, true) >= 0);
        anyHeld.AsSpan().Fill(heldPoint || heldBlock);
        costPiece = EvaluateCost;
        jacobianPiece = (piece, _) => EvaluateJacobian(piece);
    }

    /// <summary>½ Σ ρ(|r|²) at some values; NaN when a residual is undefined there.</summary>
    public double Cost(double[] shared, double[] points) => Run(shared, points, costPiece);

    /// <summary>As <see cref="Cost"/>, and leaves weighted residuals and Jacobians in the layouts.</summary>
    public double Linearize(double[] shared, double[] points) => Run(shared, points, jacobianPiece);

    private double Run(double[] shared, double[] points, Action<int, int> piece)
    {
        sharedNow = shared;
        pointsNow = points;
        team.Run(pieceGroup.Length, piece);
        double sum = 0;
        foreach (double cost in pieceCost)
        {
            sum += cost;
        }

        return double.IsFinite(sum) ? sum : double.NaN;
    }

    private void EvaluateCost(int piece, int worker)
    {
        GroupLayout layout = layouts[pieceGroup[piece]];
        ReadOnlySpan<int> which = Places(layout, piece);
        int size = layout.Group.ResidualSize;
        Span<double> residuals = residualScratch[worker].AsSpan(0, which.Length * size);
        ParameterValues values = new(sharedNow, sharedStarts, pointsNow, problem.PointSize);
        if (!layout.Group.Evaluate(which, values, residuals, []))
        {
            pieceCost[piece] = double.NaN;
            return;
        }

        RobustLoss loss = layout.Group.Loss;
        double cost = 0;
        for (int at = 0; at < residuals.Length; at += size)
        {
            double square = SquaredNorm(residuals.Slice(at, size));
            cost += loss.Kind == RobustLossKind.Trivial ? loss.Factor * square : loss.Evaluate(square).Value;
        }

        pieceCost[piece] = cost / 2;
    }

    private void EvaluateJacobian(int piece)
    {
        GroupLayout layout = layouts[pieceGroup[piece]];
        ReadOnlySpan<int> which = Places(layout, piece);
        int size = layout.Group.ResidualSize;
        int first = pieceFirst[piece];
        int width = layout.RowWidth;
        Span<double> residuals = layout.Residuals.AsSpan(first * size, which.Length * size);
        Span<double> jacobians = layout.Jacobians.AsSpan(first * size * width, which.Length * size * width);
        ParameterValues values = new(sharedNow, sharedStarts, pointsNow, problem.PointSize);
        if (!layout.Group.Evaluate(which, values, residuals, jacobians))
        {
            pieceCost[piece] = double.NaN;
            return;
        }

        RobustLoss loss = layout.Group.Loss;
        double cost = 0;
        for (int place = 0; place < which.Length; place++)
        {
            Span<double> residual = residuals.Slice(place * size, size);
            RobustLossValue value = loss.Evaluate(SquaredNorm(residual));
            cost += value.Value;
            if (!value.First.Equals(1.0))
            {
                double weight = Math.Sqrt(value.First);
                Scale(residual, weight);
                Scale(jacobians.Slice(place * size * width, size * width), weight);
            }
        }

        if (anyHeld[pieceGroup[piece]])
        {
            ClearHeld(layout, first, which.Length, jacobians);
        }

        pieceCost[piece] = cost / 2;
    }

    private ReadOnlySpan<int> Places(GroupLayout layout, int piece)
    {
        int first = pieceFirst[piece];
        return layout.Order.AsSpan(first, Math.Min(ResidualsPerPiece, layout.Order.Length - first));
    }

    private static double SquaredNorm(ReadOnlySpan<double> residual)
    {
        double sum = 0;
        foreach (double value in residual)
        {
            sum += value * value;
        }

        return sum;
    }

    private static void Scale(Span<double> values, double weight)
    {
        for (int index = 0; index < values.Length; index++)
        {
            values[index] *= weight;
        }
    }

    private void ClearHeld(GroupLayout layout, int first, int count, Span<double> jacobians)
    {
        int size = layout.Group.ResidualSize;
        int width = layout.RowWidth;
        for (int place = 0; place < count; place++)
        {
            Span<double> rows = jacobians.Slice(place * size * width, size * width);
            for (int slot = 0; slot < layout.Slots; slot++)
            {
                bool[] held = problem.Blocks[layout.SlotBlock[((first + place) * layout.Slots) + slot]].Held;
                for (int k = 0; k < held.Length; k++)
                {
                    if (held[k])
                    {
                        ClearColumn(rows, width, layout.SlotOffset[slot] + k);
                    }
                }
            }

            if (layout.Group.UsesPoint && problem.HeldPoints[layout.Group.Point(layout.Order[first + place])])
            {
                for (int column = layout.SlotOffset[layout.Slots]; column < width; column++)
                {
                    ClearColumn(rows, width, column);
                }
            }
        }
    }

    private static void ClearColumn(Span<double> rows, int width, int column)
    {
        for (int at = column; at < rows.Length; at += width)
        {
            rows[at] = 0;
        }
    }
}
