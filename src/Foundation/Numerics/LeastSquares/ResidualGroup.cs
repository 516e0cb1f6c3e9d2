namespace Hillrow.Numerics.LeastSquares;

/// <summary>
/// Many residuals of one kind: each of the same length, joined to the same number of shared blocks (cameras,
/// intrinsics, offsets) and to one point or none. This is all a caller writes; the solver does the rest.
/// </summary>
public abstract class ResidualGroup
{
    /// <param name="count">Number of residuals.</param>
    /// <param name="residualSize">Numbers in each residual (2 for an image point).</param>
    /// <param name="slotSizes">Step size of the block in each slot; every block put in the slot must have it.</param>
    /// <param name="usesPoint">Whether each residual also depends on a point.</param>
    /// <param name="loss">Applied to each residual's squared norm.</param>
    protected ResidualGroup(int count, int residualSize, ReadOnlySpan<int> slotSizes, bool usesPoint, RobustLoss loss)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(count);
        ArgumentOutOfRangeException.ThrowIfLessThan(residualSize, 1);
        Count = count;
        ResidualSize = residualSize;
        SlotSizes = slotSizes.ToArray();
        UsesPoint = usesPoint;
        Loss = loss;
    }

    public int Count { get; }

    public int ResidualSize { get; }

    public IReadOnlyList<int> SlotSizes { get; }

    public bool UsesPoint { get; }

    public RobustLoss Loss { get; }

    /// <summary>The shared block in a slot of a residual; no block twice in one residual.</summary>
    public abstract int SharedBlock(int residual, int slot);

    /// <summary>The point of a residual; called only when <see cref="UsesPoint"/>.</summary>
    public abstract int Point(int residual);

    /// <summary>
    /// Evaluates some residuals, and their Jacobians when asked. Called from several threads at once: it must not
    /// write anything but its two outputs.
    /// </summary>
    /// <param name="which">Indices of the residuals wanted.</param>
    /// <param name="parameters">Current values of all blocks and points.</param>
    /// <param name="residuals">which.Length × ResidualSize, unweighted by the loss.</param>
    /// <param name="jacobians">
    /// Empty when not wanted; else which.Length × ResidualSize × (Σ SlotSizes + point size), row-major: derivatives
    /// by the step of each slot's block in turn, then by the point.
    /// </param>
    /// <returns>False when a residual is undefined here (a point behind the camera): the step is then refused.</returns>
    public abstract bool Evaluate(
        ReadOnlySpan<int> which,
        ParameterValues parameters,
        Span<double> residuals,
        Span<double> jacobians
    );
}

/// <summary>Read access to the values of all shared blocks and points.</summary>
public readonly ref struct ParameterValues
{
    private readonly ReadOnlySpan<double> shared;
    private readonly ReadOnlySpan<int> sharedStarts;
    private readonly ReadOnlySpan<double> points;
    private readonly int pointSize;

    internal ParameterValues(
        ReadOnlySpan<double> sharedValues,
        ReadOnlySpan<int> starts,
        ReadOnlySpan<double> pointValues,
        int sizeOfPoint
    )
    {
        shared = sharedValues;
        sharedStarts = starts;
        points = pointValues;
        pointSize = sizeOfPoint;
    }

    /// <summary>Values of one shared block.</summary>
    public ReadOnlySpan<double> Shared(int block) => shared[sharedStarts[block]..sharedStarts[block + 1]];

    /// <summary>Values of one point.</summary>
    public ReadOnlySpan<double> Point(int point) => points.Slice(point * pointSize, pointSize);
}

/// <summary>updated ← current moved by step; the step may be shorter than the values (a rotation on its sphere).</summary>
public delegate void ParameterUpdate(ReadOnlySpan<double> current, ReadOnlySpan<double> step, Span<double> updated);
