namespace Hillrow.Numerics.LeastSquares;

/// <summary>How the shared blocks' reduced system is solved.</summary>
public enum ReducedSolver
{
    /// <summary>Sparse Cholesky: exact, best up to some thousands of blocks.</summary>
    SparseCholesky,

    /// <summary>Conjugate gradients with block-Jacobi preconditioner: less memory on very large, well-conditioned problems.</summary>
    ConjugateGradients,
}

/// <summary>Settings of <see cref="BlockSolver"/>; each default says why.</summary>
public sealed record BlockSolverSettings
{
    /// <summary>Steps tried at most. 100: well-started problems take 5–20; heavy outliers can ask for more.</summary>
    public int MaximumSteps { get; init; } = 100;

    /// <summary>Stop when a step lowers the cost by less than this share. 1e-6 is far below what noise leaves.</summary>
    public double CostTolerance { get; init; } = 1e-6;

    /// <summary>Stop when the steepest slope of the cost falls below this (cost per unit of the parameter).</summary>
    public double GradientTolerance { get; init; } = 1e-10;

    /// <summary>Stop when the step is shorter than this share of the parameters.</summary>
    public double StepTolerance { get; init; } = 1e-10;

    /// <summary>First damping, relative to the diagonal of JᵀJ. 1e-4 trusts a good start; failures raise it.</summary>
    public double InitialDamping { get; init; } = 1e-4;

    public ReducedSolver ReducedSolver { get; init; } = ReducedSolver.SparseCholesky;

    /// <summary>Conjugate gradients stop at this residual, relative to the right-hand side. 1e-2 is enough for a damped step.</summary>
    public double ConjugateGradientTolerance { get; init; } = 1e-2;

    public int MaximumConjugateGradients { get; init; } = 500;

    /// <summary>Threads, the caller's included. Results do not depend on it.</summary>
    public int Threads { get; init; } = 1;

    /// <summary>Told after each step tried; null for silence.</summary>
    public Action<BlockSolverStep>? Watch { get; init; }
}

/// <summary>One step tried by <see cref="BlockSolver"/>.</summary>
/// <param name="Number">From 1.</param>
/// <param name="Cost">Cost after the step, or before it when it was refused.</param>
/// <param name="Damping">Damping it was solved with.</param>
/// <param name="Accepted">Whether the parameters moved.</param>
public readonly record struct BlockSolverStep(int Number, double Cost, double Damping, bool Accepted);

/// <summary>Why an iteration ended.</summary>
public enum StopReason
{
    CostSettled,
    GradientVanished,
    StepVanished,
    StepLimit,

    /// <summary>No damping made the cost fall: a stationary point to working precision, or a broken model.</summary>
    NoProgress,

    /// <summary>A residual is undefined at the start values.</summary>
    UndefinedAtStart,
}

/// <summary>What happened in a solve.</summary>
/// <param name="Reason">Why it stopped.</param>
/// <param name="CostBefore">½ Σ ρ(|r|²) at the start.</param>
/// <param name="CostAfter">The same at the end.</param>
/// <param name="StepsTried">Linear systems solved.</param>
/// <param name="StepsAccepted">Steps that lowered the cost.</param>
/// <param name="LargestGradient">Steepest slope at the end.</param>
public sealed record BlockSolverSummary(
    StopReason Reason,
    double CostBefore,
    double CostAfter,
    int StepsTried,
    int StepsAccepted,
    double LargestGradient
)
{
    /// <summary>True when it stopped at a stationary point, not at a limit.</summary>
    public bool Converged => Reason is StopReason.CostSettled or StopReason.GradientVanished or StopReason.StepVanished;
}
