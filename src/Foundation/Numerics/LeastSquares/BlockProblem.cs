namespace Hillrow.Numerics.LeastSquares;

/// <summary>
/// A least-squares problem of shared blocks of any size and many small points, each residual touching a few
/// shared blocks and at most one point. The points are eliminated, so the cost of a step grows with the shared blocks.
/// </summary>
/// <remarks>
/// Put blocks that nearly every residual touches (intrinsics, a rig, a datum shift) after the many small ones
/// (poses): work is shared out by block, the earlier block of a pair doing the pair's work.
/// </remarks>
public sealed class BlockProblem
{
    private readonly List<SharedBlock> blocks = [];
    private readonly List<ResidualGroup> groups = [];
    private readonly double[] points;
    private readonly bool[] heldPoints;
    private double[] shared = [];
    private int sharedLength;

    /// <param name="pointSize">Numbers in each point, 1 to 8 (3 for a point in space).</param>
    /// <param name="pointValues">Start values, point by point; the caller's own array, which the solver updates.</param>
    /// <exception cref="ArgumentException">The length is not a whole number of points.</exception>
    public BlockProblem(int pointSize, double[] pointValues)
    {
        ArgumentNullException.ThrowIfNull(pointValues);
        ArgumentOutOfRangeException.ThrowIfLessThan(pointSize, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(pointSize, 8);
        if (pointValues.Length % pointSize != 0)
        {
            throw new ArgumentException(
                $"{pointValues.Length} values are not a whole number of points of {pointSize}.",
                nameof(pointValues)
            );
        }

        PointSize = pointSize;
        points = pointValues;
        heldPoints = new bool[pointValues.Length / pointSize];
    }

    public int PointSize { get; }

    public int PointCount => points.Length / PointSize;

    public int SharedBlockCount => blocks.Count;

    public IReadOnlyList<ResidualGroup> Groups => groups;

    internal double[] Points => points;

    internal double[] Shared => shared;

    internal bool[] HeldPoints => heldPoints;

    internal List<SharedBlock> Blocks => blocks;

    /// <summary>Adds a shared block whose values are moved by plain addition.</summary>
    /// <returns>Its index.</returns>
    public int AddSharedBlock(ReadOnlySpan<double> values) => AddSharedBlock(values, values.Length, null);

    /// <summary>Adds a shared block with a step of its own size (a rotation, a direction).</summary>
    /// <param name="values">Start values.</param>
    /// <param name="stepSize">Numbers in a step; the Jacobian is taken with respect to these, at a step of 0.</param>
    /// <param name="update">Moves values by a step; null for addition.</param>
    public int AddSharedBlock(ReadOnlySpan<double> values, int stepSize, ParameterUpdate? update)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(stepSize, 1);
        if (update is null && stepSize != values.Length)
        {
            throw new ArgumentException(
                $"A block of {values.Length} values with a step of {stepSize} needs an update of its own.",
                nameof(update)
            );
        }

        if (sharedLength + values.Length > shared.Length)
        {
            Array.Resize(ref shared, Math.Max(shared.Length * 2, sharedLength + values.Length));
        }

        values.CopyTo(shared.AsSpan(sharedLength));
        blocks.Add(new SharedBlock(sharedLength, values.Length, stepSize, update, new bool[stepSize]));
        sharedLength += values.Length;
        return blocks.Count - 1;
    }

    public void AddResiduals(ResidualGroup group)
    {
        ArgumentNullException.ThrowIfNull(group);
        groups.Add(group);
    }

    /// <summary>Keeps a whole shared block as it is.</summary>
    public void HoldShared(int block) => blocks[block].Held.AsSpan().Fill(true);

    /// <summary>Keeps one component of a shared block's step at 0.</summary>
    public void HoldShared(int block, int component) => blocks[block].Held[component] = true;

    /// <summary>Keeps a point as it is.</summary>
    public void HoldPoint(int point) => HeldPoints[point] = true;

    /// <summary>Current values of a shared block.</summary>
    public Span<double> SharedValues(int block) => shared.AsSpan(blocks[block].Start, blocks[block].Size);

    /// <summary>Current values of a point.</summary>
    public Span<double> PointValues(int point) => points.AsSpan(point * PointSize, PointSize);

    /// <summary>Read access to all present values, as residual groups are given it; of use until blocks are added.</summary>
    public ParameterValues Values() => new(shared, SharedStarts(), points, PointSize);

    internal int[] SharedStarts()
    {
        int[] starts = new int[blocks.Count + 1];
        for (int block = 0; block < blocks.Count; block++)
        {
            starts[block + 1] = blocks[block].Start + blocks[block].Size;
        }

        return starts;
    }

    internal sealed record SharedBlock(int Start, int Size, int StepSize, ParameterUpdate? Update, bool[] Held);
}
