namespace Hillrow.Numerics.Linear;

/// <summary>
/// Cholesky factorization of a block-sparse symmetric positive definite matrix: the pattern is analysed once, then
/// any number of matrices with that pattern are factorized and solved without allocating.
/// </summary>
/// <remarks>
/// Left-looking by panels of like columns, stored row-major so that every update is one row-by-row product
/// (<see cref="RowProducts"/>). Independent subtrees run side by side, panels above them by row chunks; pieces are
/// fixed by the pattern, so the factor is the same to the bit for any number of threads. Backward stable without
/// pivoting for positive definite matrices (Higham 2002, Accuracy and Stability, ch. 10).
/// </remarks>
public sealed unsafe class BlockCholesky
{
    private const int ChunkRows = 120;
    private const int SubtreeShare = 16;

    private readonly BlockSymmetricMatrix pattern;
    private readonly WorkTeam team;
    private readonly double[] values;
    private readonly long[] panelStart;
    private readonly long[] entryTarget;
    private readonly int[] entryStride;
    private readonly bool[] entryTurned;
    private readonly int[][] chunkFirst;
    private readonly bool[] isTop;
    private readonly int[] subtreeFirst;
    private readonly int[] subtreeEnd;
    private readonly int[][] rowOffsets;
    private readonly int[][] columnOffsets;
    private readonly double[] permuted;
    private readonly Action<int, int> loadPiece;
    private readonly Action<int, int> subtreePiece;
    private readonly Action<int, int> updatePiece;
    private readonly Action<int, int> solvePiece;
    private int currentPanel;
    private int broken;
    private BlockSymmetricMatrix? source;

    /// <summary>Analyses the pattern of <paramref name="matrix"/>; its values are not read.</summary>
    public BlockCholesky(BlockSymmetricMatrix matrix, WorkTeam workTeam)
    {
        ArgumentNullException.ThrowIfNull(matrix);
        ArgumentNullException.ThrowIfNull(workTeam);
        pattern = matrix;
        team = workTeam;
        Plan = EliminationPlan.Create(matrix);
        int panels = Plan.PanelCount;
        panelStart = new long[panels + 1];
        chunkFirst = new int[panels][];
        int tallest = 1;
        for (int panel = 0; panel < panels; panel++)
        {
            int[] at = Plan.PanelRowStart[panel];
            tallest = Math.Max(tallest, at[^1]);
            panelStart[panel + 1] = panelStart[panel] + ((long)at[^1] * RowProducts.Padded(Plan.Width(panel)));
            chunkFirst[panel] = Chunks(panel);
        }

        values = GC.AllocateArray<double>(checked((int)panelStart[panels]), pinned: true);
        permuted = GC.AllocateArray<double>(matrix.Order + RowProducts.Lane, pinned: true);
        rowOffsets = new int[team.Threads][];
        columnOffsets = new int[team.Threads][];
        for (int worker = 0; worker < team.Threads; worker++)
        {
            rowOffsets[worker] = GC.AllocateArray<int>(tallest, pinned: true);
            columnOffsets[worker] = GC.AllocateArray<int>(tallest, pinned: true);
        }

        entryTarget = new long[matrix.EntryCount];
        entryStride = new int[matrix.EntryCount];
        entryTurned = new bool[matrix.EntryCount];
        PlaceEntries();
        isTop = new bool[panels];
        (subtreeFirst, subtreeEnd) = FindSubtrees();
        loadPiece = (column, _) => Load(column);
        subtreePiece = FactorSubtree;
        updatePiece = (chunk, worker) => UpdateChunk(currentPanel, chunk, worker);
        solvePiece = (chunk, _) => SolveChunk(currentPanel, chunk);
    }

    internal EliminationPlan Plan { get; }

    internal double[] FactorValues => values;

    /// <summary>Doubles held by the factor, padding included.</summary>
    public long StoredValues => panelStart[^1];

    internal double* Panel(int panel) => Pointer(values) + panelStart[panel];

    internal int Stride(int panel) => RowProducts.Padded(Plan.Width(panel));

    /// <summary>Factorizes a matrix of the analysed pattern.</summary>
    /// <returns>False when it is not positive definite in double precision; the factor is then unusable.</returns>
    public bool Factor(BlockSymmetricMatrix matrix)
    {
        ArgumentNullException.ThrowIfNull(matrix);
        if (matrix.EntryCount != pattern.EntryCount || matrix.Order != pattern.Order)
        {
            throw new ArgumentException("The matrix does not have the pattern that was analysed.", nameof(matrix));
        }

        source = matrix;
        broken = 0;
        Array.Clear(values);
        team.Run(matrix.BlockCount, loadPiece);
        team.Run(subtreeFirst.Length, subtreePiece);
        for (int panel = 0; panel < Plan.PanelCount && broken == 0; panel++)
        {
            if (!isTop[panel])
            {
                continue;
            }

            currentPanel = panel;
            int chunks = chunkFirst[panel].Length - 1;
            team.Run(chunks, updatePiece);
            FactorSquare(panel);
            team.Run(chunks, solvePiece);
        }

        source = null;
        return broken == 0;
    }

    /// <summary>vector ← matrix⁻¹ · vector, with the factor made last.</summary>
    /// <exception cref="ArgumentException">The length is not the matrix order.</exception>
    public void Solve(Span<double> vector)
    {
        if (vector.Length != pattern.Order)
        {
            throw new ArgumentException(
                $"The vector is {vector.Length} long, the matrix {pattern.Order}.",
                nameof(vector)
            );
        }

        Permute(vector, permuted, forward: true);
        double* x = Pointer(permuted);
        for (int panel = 0; panel < Plan.PanelCount; panel++)
        {
            SolvePanelForward(panel, x);
        }

        for (int panel = Plan.PanelCount - 1; panel >= 0; panel--)
        {
            SolvePanelBackward(panel, x);
        }

        Permute(vector, permuted, forward: false);
    }

    private static double* Pointer(double[] pinned) =>
        (double*)System.Runtime.InteropServices.Marshal.UnsafeAddrOfPinnedArrayElement(pinned, 0);

    private static int* Pointer(int[] pinned) =>
        (int*)System.Runtime.InteropServices.Marshal.UnsafeAddrOfPinnedArrayElement(pinned, 0);

    private int[] Chunks(int panel)
    {
        int[] at = Plan.PanelRowStart[panel];
        int own = Plan.PanelFirst[panel + 1] - Plan.PanelFirst[panel];
        List<int> firsts = [0];
        for (int row = 1; row < at.Length - 1; row++)
        {
            if (row == own || (row > own && at[row] - at[firsts[^1]] >= ChunkRows))
            {
                firsts.Add(row);
            }
        }

        firsts.Add(at.Length - 1);
        return [.. firsts];
    }

    private void PlaceEntries()
    {
        ReadOnlySpan<int> columnStarts = pattern.ColumnStarts;
        for (int column = 0; column < pattern.BlockCount; column++)
        {
            for (int entry = columnStarts[column]; entry < columnStarts[column + 1]; entry++)
            {
                int rowPosition = Plan.PositionOfBlock[pattern.RowBlocks[entry]];
                int columnPosition = Plan.PositionOfBlock[column];
                bool turned = rowPosition < columnPosition;
                int low = Math.Min(rowPosition, columnPosition);
                int high = Math.Max(rowPosition, columnPosition);
                int panel = Plan.PanelOfPosition[low];
                int row = Array.BinarySearch(Plan.PanelRows[panel], high);
                int stride = Stride(panel);
                int left = Plan.PositionStart[low] - Plan.PositionStart[Plan.PanelFirst[panel]];
                entryTarget[entry] = panelStart[panel] + ((long)Plan.PanelRowStart[panel][row] * stride) + left;
                entryStride[entry] = stride;
                entryTurned[entry] = turned;
            }
        }
    }

    private (int[] First, int[] End) FindSubtrees()
    {
        int panels = Plan.PanelCount;
        double[] work = new double[panels];
        int[] low = new int[panels];
        for (int panel = 0; panel < panels; panel++)
        {
            low[panel] = panel;
        }

        double total = 0;
        for (int panel = 0; panel < panels; panel++)
        {
            double height = Plan.PanelRowStart[panel][^1];
            double own = height * height * Plan.Width(panel);
            total += own;
            work[panel] += own;
            int parent = Parent(panel);
            if (parent >= 0)
            {
                work[parent] += work[panel];
                low[parent] = Math.Min(low[parent], low[panel]);
            }
        }

        List<int> firsts = [];
        List<int> ends = [];
        for (int panel = panels - 1; panel >= 0; panel--)
        {
            isTop[panel] = work[panel] > total / SubtreeShare;
        }

        for (int panel = 0; panel < panels; panel++)
        {
            int parent = Parent(panel);
            if (!isTop[panel] && (parent < 0 || isTop[parent]))
            {
                firsts.Add(low[panel]);
                ends.Add(panel + 1);
            }
        }

        return ([.. firsts], [.. ends]);
    }

    private int Parent(int panel)
    {
        int own = Plan.PanelFirst[panel + 1] - Plan.PanelFirst[panel];
        int[] rows = Plan.PanelRows[panel];
        return own < rows.Length ? Plan.PanelOfPosition[rows[own]] : -1;
    }

    private void Load(int column)
    {
        unchecked
        {
            BlockSymmetricMatrix from = source!;
            int width = from.Sizes[column];
            for (int entry = from.ColumnStarts[column]; entry < from.ColumnStarts[column + 1]; entry++)
            {
                ReadOnlySpan<double> block = from.Block(entry);
                int height = block.Length / width;
                double* target = Pointer(values) + entryTarget[entry];
                nint down = entryTurned[entry] ? 1 : entryStride[entry];
                nint across = entryTurned[entry] ? entryStride[entry] : 1;
                for (int i = 0; i < height; i++)
                {
                    for (int k = 0; k < width; k++)
                    {
                        target[(i * down) + (k * across)] = block[(i * width) + k];
                    }
                }
            }
        }
    }

    private void FactorSubtree(int subtree, int worker)
    {
        for (int panel = subtreeFirst[subtree]; panel < subtreeEnd[subtree]; panel++)
        {
            int chunks = chunkFirst[panel].Length - 1;
            for (int chunk = 0; chunk < chunks; chunk++)
            {
                UpdateChunk(panel, chunk, worker);
            }

            FactorSquare(panel);
            if (Volatile.Read(ref broken) != 0)
            {
                return;
            }

            for (int chunk = 0; chunk < chunks; chunk++)
            {
                SolveChunk(panel, chunk);
            }
        }
    }

    private void FactorSquare(int panel)
    {
        if (!PanelFactor.FactorSquare(Panel(panel), Stride(panel), Plan.Width(panel)))
        {
            Volatile.Write(ref broken, 1);
        }
    }

    /// <summary>Chunk 0 is the diagonal square, which FactorSquare has dealt with.</summary>
    private void SolveChunk(int panel, int chunk)
    {
        if (chunk == 0 || broken != 0)
        {
            return;
        }

        int[] at = Plan.PanelRowStart[panel];
        int first = at[chunkFirst[panel][chunk]];
        int end = at[chunkFirst[panel][chunk + 1]];
        int stride = Stride(panel);
        double* square = Panel(panel);
        PanelFactor.SolveRows(square + ((nint)first * stride), end - first, square, stride, Plan.Width(panel));
    }

    /// <summary>Subtracts from the rows of one chunk what every earlier panel contributes, in ascending order.</summary>
    private void UpdateChunk(int panel, int chunk, int worker)
    {
        unchecked
        {
            int[] rows = Plan.PanelRows[panel];
            int[] at = Plan.PanelRowStart[panel];
            int stride = Stride(panel);
            int firstRow = chunkFirst[panel][chunk];
            int endRow = chunkFirst[panel][chunk + 1];
            int lastPosition = rows[endRow - 1];
            int panelLeft = Plan.PositionStart[Plan.PanelFirst[panel]];
            int* rowAt = Pointer(rowOffsets[worker]);
            int* columnAt = Pointer(columnOffsets[worker]);
            foreach (PanelUpdate update in Plan.Updates[panel])
            {
                int[] sourceRows = Plan.PanelRows[update.Source];
                int[] sourceAt = Plan.PanelRowStart[update.Source];
                int from = FirstAtLeast(sourceRows, update.FirstRow, rows[firstRow]);
                int count = 0;
                int target = firstRow;
                int row = from;
                for (; row < sourceRows.Length && sourceRows[row] <= lastPosition; row++)
                {
                    while (rows[target] != sourceRows[row])
                    {
                        target++;
                    }

                    int offset = at[target] * stride;
                    for (int k = sourceAt[row]; k < sourceAt[row + 1]; k++)
                    {
                        rowAt[count++] = offset;
                        offset += stride;
                    }
                }

                if (count == 0)
                {
                    continue;
                }

                int columns = 0;
                for (int c = update.FirstRow; c < update.EndRow; c++)
                {
                    int left = Plan.PositionStart[sourceRows[c]] - panelLeft;
                    for (int k = sourceAt[c]; k < sourceAt[c + 1]; k++)
                    {
                        columnAt[columns++] = left++;
                    }
                }

                int sourceStride = Stride(update.Source);
                double* sourcePanel = Panel(update.Source);
                RowProducts.SubtractScattered(
                    Panel(panel),
                    rowAt,
                    columnAt,
                    sourcePanel + ((nint)sourceAt[from] * sourceStride),
                    sourceStride,
                    sourcePanel + ((nint)sourceAt[update.FirstRow] * sourceStride),
                    sourceStride,
                    count,
                    columns,
                    sourceStride
                );
            }
        }
    }

    private static int FirstAtLeast(int[] rows, int from, int position)
    {
        int at = Array.BinarySearch(rows, from, rows.Length - from, position);
        return at < 0 ? ~at : at;
    }

    private void SolvePanelForward(int panel, double* x)
    {
        unchecked
        {
            int width = Plan.Width(panel);
            int stride = Stride(panel);
            double* own = x + Plan.PositionStart[Plan.PanelFirst[panel]];
            double* square = Panel(panel);
            PanelFactor.SolveForward(square, stride, width, own);
            int[] rows = Plan.PanelRows[panel];
            int[] at = Plan.PanelRowStart[panel];
            int whole = width & ~(RowProducts.Lane - 1);
            for (int row = Plan.PanelFirst[panel + 1] - Plan.PanelFirst[panel]; row < rows.Length; row++)
            {
                double* target = x + Plan.PositionStart[rows[row]];
                for (int k = at[row]; k < at[row + 1]; k++)
                {
                    double* line = square + ((nint)k * stride);
                    double sum = RowProducts.Dot(line, own, whole);
                    for (int c = whole; c < width; c++)
                    {
                        sum += line[c] * own[c];
                    }

                    *target++ -= sum;
                }
            }
        }
    }

    private void SolvePanelBackward(int panel, double* x)
    {
        unchecked
        {
            int width = Plan.Width(panel);
            int stride = Stride(panel);
            double* own = x + Plan.PositionStart[Plan.PanelFirst[panel]];
            double* square = Panel(panel);
            int[] rows = Plan.PanelRows[panel];
            int[] at = Plan.PanelRowStart[panel];
            int whole = width & ~(RowProducts.Lane - 1);
            for (int row = Plan.PanelFirst[panel + 1] - Plan.PanelFirst[panel]; row < rows.Length; row++)
            {
                double* from = x + Plan.PositionStart[rows[row]];
                for (int k = at[row]; k < at[row + 1]; k++)
                {
                    double* line = square + ((nint)k * stride);
                    double factor = -*from++;
                    RowProducts.AddScaled(own, factor, line, whole);
                    for (int c = whole; c < width; c++)
                    {
                        own[c] += factor * line[c];
                    }
                }
            }

            PanelFactor.SolveBackward(square, stride, width, own);
        }
    }

    private void Permute(Span<double> vector, Span<double> inOrder, bool forward)
    {
        for (int block = 0; block < pattern.BlockCount; block++)
        {
            Span<double> here = vector.Slice(pattern.Starts[block], pattern.Sizes[block]);
            Span<double> there = inOrder.Slice(Plan.PositionStart[Plan.PositionOfBlock[block]], here.Length);
            if (forward)
            {
                here.CopyTo(there);
            }
            else
            {
                there.CopyTo(here);
            }
        }
    }
}
