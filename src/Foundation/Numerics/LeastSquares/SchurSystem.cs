using System.Runtime.InteropServices;
using Hillrow.Numerics.Linear;

namespace Hillrow.Numerics.LeastSquares;

/// <summary>
/// The damped normal equations of a block problem with the points eliminated (Schur complement).
/// </summary>
/// <remarks>
/// Per point: V = JpᵀJp + damping = L·Lᵀ, and per cell Z = L⁻¹·(JcᵀJp)ᵀ; the reduced system is then U − Σ ZᵀZ, a
/// sum of thin outer products. Source: Brown 1958; Triggs et al. 2000, sec. 6. Points are worked in fixed chunks and
/// the reduced system block column by block column, each written by one thread in a fixed order: no bit depends on
/// the number of threads. Vector loads may run past a row into its neighbour: those lanes are never stored.
/// Unchecked pointers: sizes are fixed at construction.
/// </remarks>
internal sealed unsafe class SchurSystem
{
    private const int PointsPerPiece = 128;
    private const int Lane = RowProducts.Lane;

    private readonly BlockProblem problem;
    private readonly PointOrder order;
    private readonly GroupLayout[] layouts;
    private readonly WorkTeam team;
    private readonly int pointSize;
    private readonly int[] blockSize;
    private readonly int widest;
    private readonly double[] cellValues;
    private readonly double[] pointFactor;
    private readonly double[] pointRight;
    private readonly double[] pointReduced;
    private readonly double[] pointDiagonal;
    private readonly double[] sharedRight;
    private readonly double[] sharedDiagonal;
    private readonly double[][] cellScratch;
    private readonly double[][] columnScratch;
    private readonly int[][] rowScratch;
    private readonly Action<int, int> pointPiece;
    private readonly Action<int, int> columnPiece;
    private readonly Action<int, int> backPiece;
    private double damping;
    private double[] sharedStepNow = [];
    private double[] pointStepNow = [];

    public SchurSystem(BlockProblem blockProblem, PointOrder pointOrder, GroupLayout[] groupLayouts, WorkTeam workTeam)
    {
        problem = blockProblem;
        order = pointOrder;
        layouts = groupLayouts;
        team = workTeam;
        pointSize = problem.PointSize;
        blockSize = [.. problem.Blocks.Select(block => block.StepSize)];
        widest = RowProducts.Padded(blockSize.DefaultIfEmpty(1).Max());
        Cells = new PointCells(problem, layouts);
        Reduced = Cells.ReducedPattern(problem, layouts);
        cellValues = GC.AllocateArray<double>(Cells.ValueStart[^1] + 32, pinned: true);
        int points = problem.PointCount;
        pointFactor = GC.AllocateArray<double>(checked(points * pointSize * pointSize), pinned: true);
        pointRight = GC.AllocateArray<double>(points * pointSize, pinned: true);
        pointReduced = GC.AllocateArray<double>(points * pointSize, pinned: true);
        pointDiagonal = GC.AllocateArray<double>(points * pointSize, pinned: true);
        sharedRight = GC.AllocateArray<double>(Reduced.Order, pinned: true);
        sharedDiagonal = GC.AllocateArray<double>(Reduced.Order, pinned: true);
        RightHandSide = GC.AllocateArray<double>(Reduced.Order, pinned: true);
        cellScratch = new double[team.Threads][];
        columnScratch = new double[team.Threads][];
        rowScratch = new int[team.Threads][];
        int tallest = TallestColumn();
        for (int worker = 0; worker < team.Threads; worker++)
        {
            int cellRows = Math.Max(1, Cells.MostInOnePoint) * pointSize;
            cellScratch[worker] = GC.AllocateArray<double>((cellRows * widest) + Lane, pinned: true);
            columnScratch[worker] = GC.AllocateArray<double>((tallest * widest) + (2 * widest), pinned: true);
            rowScratch[worker] = GC.AllocateArray<int>(problem.SharedBlockCount, pinned: true);
        }

        pointPiece = EliminatePoints;
        columnPiece = AssembleColumn;
        backPiece = (piece, _) => RecoverPoints(piece);
    }

    public PointCells Cells { get; }

    /// <summary>The reduced matrix, lower blocks.</summary>
    public BlockSymmetricMatrix Reduced { get; }

    /// <summary>Right-hand side of the reduced system.</summary>
    public double[] RightHandSide { get; }

    /// <summary>Z of each cell, at PointCells.ValueStart.</summary>
    internal double[] CellValues => cellValues;

    /// <summary>L of each point, point size squared, row-major, lower.</summary>
    internal double[] PointFactors => pointFactor;

    private int PointPieces => (problem.PointCount + PointsPerPiece - 1) / PointsPerPiece;

    /// <summary>Builds the reduced system from the residuals and Jacobians in the layouts.</summary>
    /// <param name="relativeDamping">Times the diagonal of JᵀJ, added to it; 0 for none.</param>
    public void Assemble(double relativeDamping)
    {
        damping = relativeDamping;
        team.Run(PointPieces, pointPiece);
        team.Run(problem.SharedBlockCount, columnPiece);
    }

    /// <summary>Fills the step of the points, by rank, that goes with a step of the shared blocks.</summary>
    public void Recover(double[] sharedStep, double[] pointStep)
    {
        sharedStepNow = sharedStep;
        pointStepNow = pointStep;
        team.Run(PointPieces, backPiece);
    }

    /// <summary>Cost decrease the linear model promises for a step, and the squared length of the step.</summary>
    public double PredictedDecrease(double[] sharedStep, double[] pointStep, out double squaredLength)
    {
        double sum = 0;
        squaredLength = 0;
        for (int index = 0; index < sharedStep.Length; index++)
        {
            double step = sharedStep[index];
            sum += step * ((damping * sharedDiagonal[index] * step) + sharedRight[index]);
            squaredLength += step * step;
        }

        for (int index = 0; index < pointStep.Length; index++)
        {
            double step = pointStep[index];
            sum += step * ((damping * pointDiagonal[index] * step) + pointRight[index]);
            squaredLength += step * step;
        }

        return sum / 2;
    }

    public double LargestGradient()
    {
        double largest = 0;
        foreach (double value in sharedRight)
        {
            largest = Math.Max(largest, Math.Abs(value));
        }

        foreach (double value in pointRight)
        {
            largest = Math.Max(largest, Math.Abs(value));
        }

        return largest;
    }

    /// <summary>Whether some point had a direction without information in the last assembly.</summary>
    public bool AnyPointUndetermined()
    {
        for (int point = 0; point < problem.PointCount; point++)
        {
            for (int q = 0; q < pointSize; q++)
            {
                if (pointFactor[(((point * pointSize) + q) * pointSize) + q] is 0)
                {
                    return true;
                }
            }
        }

        return false;
    }

    private static double* Pointer(double[] pinned) => (double*)Marshal.UnsafeAddrOfPinnedArrayElement(pinned, 0);

    /// <summary>
    /// Weight of the damping on one unknown: the diagonal itself, with a small floor so that an unknown that no
    /// residual sees stays where it is instead of making the matrix singular.
    /// </summary>
    private static double DampingWeight(double diagonal)
    {
        double scale = 1 + Math.Sqrt(diagonal);
        return Math.Max(diagonal, 1e-6 * scale * scale);
    }

    private int TallestColumn()
    {
        int tallest = 1;
        for (int column = 0; column < Reduced.BlockCount; column++)
        {
            int rows = 0;
            for (int entry = Reduced.ColumnStarts[column]; entry < Reduced.ColumnStarts[column + 1]; entry++)
            {
                rows += Reduced.Sizes[Reduced.RowBlocks[entry]];
            }

            tallest = Math.Max(tallest, rows);
        }

        return tallest;
    }

    private void EliminatePoints(int piece, int worker)
    {
        int end = Math.Min((piece + 1) * PointsPerPiece, problem.PointCount);
        double* scratch = Pointer(cellScratch[worker]);
        for (int point = piece * PointsPerPiece; point < end; point++)
        {
            EliminatePoint(point, scratch);
        }
    }

    private void EliminatePoint(int point, double* scratch)
    {
        unchecked
        {
            int p = pointSize;
            int stride = widest;
            int firstCell = Cells.Start[point];
            int cells = Cells.Start[point + 1] - firstCell;
            double* v = Pointer(pointFactor) + ((nint)point * p * p);
            double* right = Pointer(pointRight) + ((nint)point * p);
            double* reduced = Pointer(pointReduced) + ((nint)point * p);
            double* diagonal = Pointer(pointDiagonal) + ((nint)point * p);
            new Span<double>(v, p * p).Clear();
            new Span<double>(right, p).Clear();
            new Span<double>(scratch, cells * p * stride).Clear();
            foreach (GroupLayout layout in layouts)
            {
                if (layout.Group.UsesPoint)
                {
                    GatherPoint(layout, point, v, right, scratch, stride);
                }
            }

            bool held = problem.HeldPoints[order.PointAt[point]];
            for (int q = 0; q < p; q++)
            {
                diagonal[q] = DampingWeight(v[(q * p) + q]);
                v[(q * p) + q] += held ? 1 : damping * diagonal[q];
            }

            FactorPoint(v, p, diagonal);
            for (int q = 0; q < p; q++)
            {
                double sum = right[q];
                for (int t = 0; t < q; t++)
                {
                    sum -= v[(q * p) + t] * reduced[t];
                }

                reduced[q] = sum * v[(q * p) + q];
            }

            double* target = Pointer(cellValues) + Cells.ValueStart[firstCell];
            for (int cell = 0; cell < cells; cell++)
            {
                int size = blockSize[Cells.Block[firstCell + cell]];
                double* rows = scratch + ((nint)cell * p * stride);
                for (int q = 0; q < p; q++)
                {
                    double* row = rows + (q * stride);
                    for (int t = 0; t < q; t++)
                    {
                        RowProducts.AddScaled(row, -v[(q * p) + t], rows + (t * stride), stride);
                    }

                    double inverse = v[(q * p) + q];
                    for (int k = 0; k < size; k++)
                    {
                        double value = row[k] * inverse;
                        row[k] = value;
                        *target++ = value;
                    }
                }
            }
        }
    }

    private void GatherPoint(GroupLayout layout, int point, double* v, double* right, double* scratch, int stride)
    {
        unchecked
        {
            int p = pointSize;
            int rows = layout.Group.ResidualSize;
            int width = layout.RowWidth;
            int pointColumn = layout.SlotOffset[layout.Slots];
            for (int place = layout.PointStart[point]; place < layout.PointStart[point + 1]; place++)
            {
                double* jacobian = Pointer(layout.Jacobians) + ((nint)place * rows * width);
                double* residual = Pointer(layout.Residuals) + ((nint)place * rows);
                for (int r = 0; r < rows; r++)
                {
                    double* row = jacobian + (r * width);
                    double* own = row + pointColumn;
                    for (int q = 0; q < p; q++)
                    {
                        right[q] -= own[q] * residual[r];
                        for (int t = 0; t <= q; t++)
                        {
                            v[(q * p) + t] += own[q] * own[t];
                        }
                    }

                    for (int slot = 0; slot < layout.Slots; slot++)
                    {
                        double* from = row + layout.SlotOffset[slot];
                        int length = RowProducts.Padded(layout.SlotOffset[slot + 1] - layout.SlotOffset[slot]);
                        int cell = layout.SlotCell[(place * layout.Slots) + slot];
                        double* target = scratch + ((nint)cell * p * stride);
                        for (int q = 0; q < p; q++)
                        {
                            RowProducts.AddScaled(target + (q * stride), own[q], from, length);
                        }
                    }
                }
            }
        }
    }

    /// <summary>In-place Cholesky with the diagonal inverted; a direction without information is frozen (inverse 0).</summary>
    private static void FactorPoint(double* v, int p, double* diagonal)
    {
        for (int q = 0; q < p; q++)
        {
            for (int t = 0; t <= q; t++)
            {
                double sum = v[(q * p) + t];
                for (int k = 0; k < t; k++)
                {
                    sum -= v[(q * p) + k] * v[(t * p) + k];
                }

                v[(q * p) + t] =
                    t < q ? sum * v[(t * p) + t]
                    : sum > 1e-14 * diagonal[q] ? 1 / Math.Sqrt(sum)
                    : 0;
            }
        }
    }

    private void AssembleColumn(int column, int worker)
    {
        unchecked
        {
            int width = blockSize[column];
            int stride = RowProducts.Padded(width);
            double* sums = Pointer(columnScratch[worker]);
            int* rowAt = (int*)Marshal.UnsafeAddrOfPinnedArrayElement(rowScratch[worker], 0);
            int rows = 0;
            int firstEntry = Reduced.ColumnStartArray[column];
            int endEntry = Reduced.ColumnStartArray[column + 1];
            for (int entry = firstEntry; entry < endEntry; entry++)
            {
                int block = Reduced.RowBlockArray[entry];
                rowAt[block] = rows * stride;
                rows += blockSize[block];
            }

            double* right = sums + ((nint)rows * stride);
            new Span<double>(sums, (rows + 1) * stride).Clear();
            foreach (GroupLayout layout in layouts)
            {
                ResidualSums.Add(layout, column, stride, sums, rowAt, right);
            }

            Damp(column, width, stride, sums, right);
            SubtractCells(column, stride, sums, rowAt, right);
            int start = Reduced.Starts[column];
            for (int k = 0; k < width; k++)
            {
                RightHandSide[start + k] = right[k];
            }

            double* from = sums;
            double* target = Pointer(Reduced.ValueArray) + Reduced.ValueStartArray[firstEntry];
            for (int row = 0; row < rows; row++)
            {
                for (int k = 0; k < width; k++)
                {
                    *target++ = from[k];
                }

                from += stride;
            }
        }
    }

    private void Damp(int column, int width, int stride, double* sums, double* right)
    {
        int start = Reduced.Starts[column];
        bool[] held = problem.Blocks[column].Held;
        for (int k = 0; k < width; k++)
        {
            double* place = sums + ((nint)k * stride) + k;
            double weight = DampingWeight(*place);
            sharedDiagonal[start + k] = weight;
            sharedRight[start + k] = right[k];
            *place += held[k] ? 1 : damping * weight;
        }
    }

    private void SubtractCells(int column, int stride, double* sums, int* rowAt, double* right)
    {
        unchecked
        {
            int p = pointSize;
            int width = blockSize[column];
            double* all = Pointer(cellValues);
            double* reduced = Pointer(pointReduced);
            int[] starts = Cells.ValueStart;
            int[] blocks = Cells.Block;
            int endAt = Cells.BlockStart[column + 1];
            for (int at = Cells.BlockStart[column]; at < endAt; at++)
            {
                int cell = Cells.ByBlock[at];
                int point = Cells.Point[cell];
                int end = Cells.Start[point + 1];
                double* own = all + starts[cell];
                double* u = reduced + ((nint)point * p);
                for (int q = 0; q < p; q++)
                {
                    RowProducts.AddScaled(right, -u[q], own + (q * width), stride);
                }

                for (int other = cell; other < end; other++)
                {
                    int block = blocks[other];
                    double* target = sums + rowAt[block];
                    double* factors = all + starts[other];
                    int height = blockSize[block];
                    if (p == 3)
                    {
                        ThinProduct.SubtractThree(target, stride, height, factors, own, width);
                    }
                    else
                    {
                        ThinProduct.Subtract(target, stride, height, factors, own, width, p);
                    }
                }
            }
        }
    }

    private void RecoverPoints(int piece)
    {
        unchecked
        {
            int p = pointSize;
            double* scratch = stackalloc double[8];
            int last = Math.Min((piece + 1) * PointsPerPiece, problem.PointCount);
            for (int point = piece * PointsPerPiece; point < last; point++)
            {
                double* reduced = Pointer(pointReduced) + ((nint)point * p);
                for (int q = 0; q < p; q++)
                {
                    scratch[q] = reduced[q];
                }

                for (int cell = Cells.Start[point]; cell < Cells.Start[point + 1]; cell++)
                {
                    int block = Cells.Block[cell];
                    int size = blockSize[block];
                    double* row = Pointer(cellValues) + Cells.ValueStart[cell];
                    ReadOnlySpan<double> step = sharedStepNow.AsSpan(Reduced.Starts[block], size);
                    for (int q = 0; q < p; q++)
                    {
                        double sum = 0;
                        for (int k = 0; k < step.Length; k++)
                        {
                            sum += row[k] * step[k];
                        }

                        scratch[q] -= sum;
                        row += size;
                    }
                }

                double* factor = Pointer(pointFactor) + ((nint)point * p * p);
                Span<double> result = pointStepNow.AsSpan(point * p, p);
                for (int q = p - 1; q >= 0; q--)
                {
                    double value = scratch[q] * factor[(q * p) + q];
                    result[q] = value;
                    for (int t = 0; t < q; t++)
                    {
                        scratch[t] -= factor[(q * p) + t] * value;
                    }
                }
            }
        }
    }
}
