using Hillrow.Numerics.Linear;

namespace Hillrow.Numerics.LeastSquares;

/// <summary>Levenberg–Marquardt for a <see cref="BlockProblem"/>; the problem's values are updated in place.</summary>
/// <remarks>
/// Damping is relative to the diagonal of JᵀJ and follows the gain ratio (Nielsen 1999, IMM-REP-1999-05). Directions
/// nothing fixes (the gauge of a free network) are held by the damping alone. Structure is analysed once per solver;
/// iterations allocate nothing but what the caller's residuals do. Same result to the bit for any number of threads.
/// </remarks>
public sealed class BlockSolver : IDisposable
{
    private const double GreatestDamping = 1e16;
    private const double LeastDamping = 1e-16;

    private readonly BlockProblem problem;
    private readonly BlockSolverSettings settings;
    private readonly WorkTeam team;
    private readonly PointOrder order;
    private readonly GroupLayout[] layouts;
    private readonly SchurSystem system;
    private readonly BlockEvaluation evaluation;
    private readonly BlockCholesky? cholesky;
    private readonly ConjugateGradients? gradients;
    private readonly double[] sharedStep;
    private readonly double[] pointStep;
    private readonly double[] trialShared;
    private readonly double[] trialPoints;

    /// <exception cref="ArgumentException">A residual names a block or point that is not there, or of another size.</exception>
    public BlockSolver(BlockProblem blockProblem, BlockSolverSettings? solverSettings = null)
    {
        ArgumentNullException.ThrowIfNull(blockProblem);
        problem = blockProblem;
        settings = solverSettings ?? new BlockSolverSettings();
        team = new WorkTeam(settings.Threads);
        order = new PointOrder(problem);
        layouts = [.. problem.Groups.Select(group => new GroupLayout(group, problem, order))];
        system = new SchurSystem(problem, order, layouts, team);
        evaluation = new BlockEvaluation(problem, layouts, team);
        if (settings.ReducedSolver == ReducedSolver.SparseCholesky)
        {
            cholesky = new BlockCholesky(system.Reduced, team);
        }
        else
        {
            gradients = new ConjugateGradients(system.Reduced, team);
        }

        sharedStep = new double[system.Reduced.Order];
        pointStep = new double[problem.Points.Length];
        trialShared = new double[problem.Shared.Length];
        trialPoints = new double[problem.Points.Length];
    }

    /// <summary>Doubles held by the sparse factor; 0 with conjugate gradients.</summary>
    public long FactorValues => cholesky?.StoredValues ?? 0;

    public BlockSolverSummary Solve()
    {
        double cost = evaluation.Linearize(problem.Shared, problem.Points);
        double before = cost;
        if (double.IsNaN(cost))
        {
            return new BlockSolverSummary(StopReason.UndefinedAtStart, cost, cost, 0, 0, double.NaN);
        }

        double damping = settings.InitialDamping;
        double growth = 2;
        int accepted = 0;
        double gradient = double.NaN;
        StopReason reason = StopReason.StepLimit;
        int tried = 0;
        bool fresh = true;
        while (tried < settings.MaximumSteps)
        {
            tried++;
            bool solved = SolveStep(damping);
            if (fresh)
            {
                gradient = system.LargestGradient();
                fresh = false;
            }

            if (gradient <= settings.GradientTolerance)
            {
                reason = StopReason.GradientVanished;
                break;
            }

            double trial = double.NaN;
            double predicted = 0;
            double stepSquare = 0;
            if (solved)
            {
                predicted = system.PredictedDecrease(sharedStep, pointStep, out stepSquare);
                if (predicted > 0)
                {
                    Move();
                    trial = evaluation.Cost(trialShared, trialPoints);
                }
            }

            double decrease = cost - trial;
            double gain = predicted > 0 ? decrease / predicted : double.NaN;
            bool accept = gain > 1e-3;
            if (accept)
            {
                accepted++;
                trialShared.CopyTo(problem.Shared, 0);
                trialPoints.CopyTo(problem.Points, 0);
            }

            settings.Watch?.Invoke(new BlockSolverStep(tried, accept ? trial : cost, damping, accept));
            if (accept)
            {
                bool settled = decrease <= settings.CostTolerance * cost;
                cost = trial;
                double centred = (2 * gain) - 1;
                damping = Math.Max(LeastDamping, damping * Math.Max(1.0 / 3, 1 - (centred * centred * centred)));
                growth = 2;
                if (settled)
                {
                    reason = StopReason.CostSettled;
                    break;
                }
            }
            else
            {
                damping *= growth;
                growth *= 2;
                if (damping > GreatestDamping)
                {
                    reason = StopReason.NoProgress;
                    break;
                }

                // A step whose promise is lost in the rounding of the cost cannot be judged: this is the minimum.
                if (solved && predicted <= 1e-15 * cost)
                {
                    reason = StopReason.CostSettled;
                    break;
                }
            }

            if (
                solved
                && stepSquare <= Square(settings.StepTolerance) * (SquaredLength() + Square(settings.StepTolerance))
            )
            {
                reason = StopReason.StepVanished;
                break;
            }

            if (accept && tried < settings.MaximumSteps)
            {
                _ = evaluation.Linearize(problem.Shared, problem.Points);
                fresh = true;
            }
        }

        return new BlockSolverSummary(reason, before, cost, tried, accepted, gradient);
    }

    /// <summary>Covariances at the present values, without damping.</summary>
    /// <returns>Null when something is undetermined: a free gauge, a point seen once.</returns>
    /// <exception cref="InvalidOperationException">The solver was set to conjugate gradients.</exception>
    public BlockCovariance? Covariance()
    {
        if (cholesky is null)
        {
            throw new InvalidOperationException("Covariances need the sparse Cholesky solver.");
        }

        if (double.IsNaN(evaluation.Linearize(problem.Shared, problem.Points)))
        {
            return null;
        }

        system.Assemble(0);
        return !system.AnyPointUndetermined() && cholesky.Factor(system.Reduced)
            ? new BlockCovariance(system, order, cholesky, problem.PointSize)
            : null;
    }

    public void Dispose() => team.Dispose();

    private static double Square(double value) => value * value;

    private bool SolveStep(double damping)
    {
        system.Assemble(damping);
        system.RightHandSide.CopyTo(sharedStep, 0);
        if (cholesky is not null)
        {
            if (!cholesky.Factor(system.Reduced))
            {
                return false;
            }

            cholesky.Solve(sharedStep);
        }
        else if (
            !gradients!.Solve(
                system.RightHandSide,
                sharedStep,
                settings.ConjugateGradientTolerance,
                settings.MaximumConjugateGradients
            )
        )
        {
            return false;
        }

        system.Recover(sharedStep, pointStep);
        return true;
    }

    private void Move()
    {
        int step = 0;
        foreach (BlockProblem.SharedBlock block in problem.Blocks)
        {
            ReadOnlySpan<double> current = problem.Shared.AsSpan(block.Start, block.Size);
            ReadOnlySpan<double> by = sharedStep.AsSpan(step, block.StepSize);
            Span<double> updated = trialShared.AsSpan(block.Start, block.Size);
            if (block.Update is null)
            {
                for (int k = 0; k < updated.Length; k++)
                {
                    updated[k] = current[k] + by[k];
                }
            }
            else
            {
                block.Update(current, by, updated);
            }

            step += block.StepSize;
        }

        double[] points = problem.Points;
        int size = problem.PointSize;
        for (int rank = 0; rank < order.PointAt.Length; rank++)
        {
            int start = order.PointAt[rank] * size;
            for (int k = 0; k < size; k++)
            {
                trialPoints[start + k] = points[start + k] + pointStep[(rank * size) + k];
            }
        }
    }

    private double SquaredLength()
    {
        double sum = 0;
        foreach (double value in problem.Shared)
        {
            sum += value * value;
        }

        foreach (double value in problem.Points)
        {
            sum += value * value;
        }

        return sum;
    }
}
