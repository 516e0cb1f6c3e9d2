namespace Hillrow.Numerics.Linear;

/// <summary>
/// The symbolic half of a block Cholesky factorization: the elimination order, the panels (runs of block columns
/// with like structure, stored together) and which panel updates which.
/// </summary>
/// <remarks>
/// Elimination tree and postorder as in Davis 2006, Direct Methods for Sparse Linear Systems, ch. 4; relaxed
/// merging of columns as in Ashcraft &amp; Grimes 1989 (doi 10.1145/76909.76910), thresholds our own.
/// Positions are places in the elimination order.
/// </remarks>
internal sealed class EliminationPlan
{
    /// <summary>Wider panels feed the product kernel better but leave more serial work on the diagonal square.</summary>
    private const int WidestPanel = 96;

    public required int[] PositionOfBlock { get; init; }

    public required int[] BlockAtPosition { get; init; }

    /// <summary>First unknown of each position, and the order at the end.</summary>
    public required int[] PositionStart { get; init; }

    /// <summary>First position of each panel, and the block count at the end.</summary>
    public required int[] PanelFirst { get; init; }

    public required int[] PanelOfPosition { get; init; }

    /// <summary>Row positions of each panel, ascending, its own columns first.</summary>
    public required int[][] PanelRows { get; init; }

    /// <summary>First unknown, within the panel, of each of its row positions, and the row count at the end.</summary>
    public required int[][] PanelRowStart { get; init; }

    /// <summary>For each panel: the earlier panels that update it, ascending, each with its first and end row index here.</summary>
    public required PanelUpdate[][] Updates { get; init; }

    public int PanelCount => PanelRows.Length;

    /// <summary>Doubles the factor takes, padding included.</summary>
    public long StoredValues()
    {
        long sum = 0;
        for (int panel = 0; panel < PanelCount; panel++)
        {
            sum += (long)PanelRowStart[panel][^1] * RowProducts.Padded(Width(panel));
        }

        return sum;
    }

    public int Width(int panel) => PositionStart[PanelFirst[panel + 1]] - PositionStart[PanelFirst[panel]];

    public static EliminationPlan Create(BlockSymmetricMatrix matrix)
    {
        int n = matrix.BlockCount;
        Adjacency(matrix, out int[] start, out int[] neighbours);
        int[] order = MinimumDegreeOrder.Compute(matrix.Sizes, start, neighbours);
        int[] parent = Tree(order, start, neighbours);
        int[] postorder = Postorder(parent);
        int[] blockAt = new int[n];
        int[] positionOf = new int[n];
        for (int position = 0; position < n; position++)
        {
            blockAt[position] = order[postorder[position]];
            positionOf[blockAt[position]] = position;
        }

        int[] positionStart = new int[n + 1];
        for (int position = 0; position < n; position++)
        {
            positionStart[position + 1] = positionStart[position] + matrix.Sizes[blockAt[position]];
        }

        int[][] pattern = Patterns(blockAt, positionOf, start, neighbours, out int[] treeParent);
        List<int> firsts = Merge(pattern, treeParent, positionStart);
        int[] panelFirst = [.. firsts, n];
        int panels = firsts.Count;
        int[] panelOf = new int[n];
        int[][] rows = new int[panels][];
        int[][] rowStart = new int[panels][];
        for (int panel = 0; panel < panels; panel++)
        {
            int first = panelFirst[panel];
            int end = panelFirst[panel + 1];
            panelOf.AsSpan(first, end - first).Fill(panel);
            rows[panel] = [.. Enumerable.Range(first, end - first), .. pattern[end - 1]];
            int[] at = new int[rows[panel].Length + 1];
            for (int row = 0; row < rows[panel].Length; row++)
            {
                int position = rows[panel][row];
                at[row + 1] = at[row] + positionStart[position + 1] - positionStart[position];
            }

            rowStart[panel] = at;
        }

        return new EliminationPlan
        {
            PositionOfBlock = positionOf,
            BlockAtPosition = blockAt,
            PositionStart = positionStart,
            PanelFirst = panelFirst,
            PanelOfPosition = panelOf,
            PanelRows = rows,
            PanelRowStart = rowStart,
            Updates = FindUpdates(rows, panelFirst, panelOf),
        };
    }

    private static void Adjacency(BlockSymmetricMatrix matrix, out int[] start, out int[] neighbours)
    {
        int n = matrix.BlockCount;
        start = new int[n + 1];
        ForEachOffDiagonal(
            matrix,
            start,
            static (s, row, column) =>
            {
                s[row + 1]++;
                s[column + 1]++;
            }
        );

        for (int v = 0; v < n; v++)
        {
            start[v + 1] += start[v];
        }

        int[] cursor = start.AsSpan(0, n).ToArray();
        int[] list = new int[start[n]];
        ForEachOffDiagonal(
            matrix,
            (cursor, list),
            static (s, row, column) =>
            {
                s.list[s.cursor[row]++] = column;
                s.list[s.cursor[column]++] = row;
            }
        );
        neighbours = list;
    }

    private static void ForEachOffDiagonal<T>(BlockSymmetricMatrix matrix, T state, Action<T, int, int> visit)
    {
        for (int column = 0; column < matrix.BlockCount; column++)
        {
            for (int entry = matrix.ColumnStarts[column] + 1; entry < matrix.ColumnStarts[column + 1]; entry++)
            {
                visit(state, matrix.RowBlocks[entry], column);
            }
        }
    }

    /// <summary>Elimination tree over the places in the order (path compression).</summary>
    private static int[] Tree(int[] order, int[] start, int[] neighbours)
    {
        int n = order.Length;
        int[] place = new int[n];
        for (int k = 0; k < n; k++)
        {
            place[order[k]] = k;
        }

        int[] parent = new int[n];
        int[] ancestor = new int[n];
        for (int k = 0; k < n; k++)
        {
            parent[k] = -1;
            ancestor[k] = -1;
            int v = order[k];
            for (int at = start[v]; at < start[v + 1]; at++)
            {
                int node = place[neighbours[at]];
                while (node >= 0 && node < k)
                {
                    int next = ancestor[node];
                    ancestor[node] = k;
                    if (next < 0)
                    {
                        parent[node] = k;
                    }

                    node = next;
                }
            }
        }

        return parent;
    }

    private static int[] Postorder(int[] parent)
    {
        int n = parent.Length;
        int[] firstChild = new int[n + 1];
        int[] sibling = new int[n];
        firstChild.AsSpan().Fill(-1);
        for (int node = n - 1; node >= 0; node--)
        {
            int up = parent[node] < 0 ? n : parent[node];
            sibling[node] = firstChild[up];
            firstChild[up] = node;
        }

        int[] result = new int[n];
        int count = 0;
        var stack = new Stack<int>();
        for (int root = firstChild[n]; root >= 0; root = sibling[root])
        {
            stack.Push(root);
            while (stack.Count > 0)
            {
                int node = stack.Peek();
                int child = firstChild[node];
                if (child >= 0)
                {
                    firstChild[node] = sibling[child];
                    stack.Push(child);
                }
                else
                {
                    result[count++] = stack.Pop();
                }
            }
        }

        return result;
    }

    /// <summary>Row positions below the diagonal of every block column of the factor.</summary>
    private static int[][] Patterns(int[] blockAt, int[] positionOf, int[] start, int[] neighbours, out int[] parent)
    {
        int n = blockAt.Length;
        int[][] pattern = new int[n][];
        parent = new int[n];
        var children = new List<int>[n];
        int[] mark = new int[n];
        mark.AsSpan().Fill(-1);
        List<int> rows = [];
        for (int k = 0; k < n; k++)
        {
            rows.Clear();
            int v = blockAt[k];
            for (int at = start[v]; at < start[v + 1]; at++)
            {
                Take(positionOf[neighbours[at]], k, mark, rows);
            }

            foreach (int child in children[k] ?? [])
            {
                foreach (int row in pattern[child])
                {
                    Take(row, k, mark, rows);
                }
            }

            rows.Sort();
            pattern[k] = [.. rows];
            parent[k] = rows.Count > 0 ? rows[0] : -1;
            if (parent[k] >= 0)
            {
                (children[parent[k]] ??= []).Add(k);
            }
        }

        return pattern;
    }

    private static void Take(int row, int column, int[] mark, List<int> rows)
    {
        if (row > column && mark[row] != column)
        {
            mark[row] = column;
            rows.Add(row);
        }
    }

    /// <summary>First position of each panel: neighbours in the tree merge while few zeros are stored for it.</summary>
    private static List<int> Merge(int[][] pattern, int[] parent, int[] positionStart)
    {
        int n = pattern.Length;
        List<int> firsts = [];
        long zeros = 0;
        for (int k = 0; k < n; k++)
        {
            bool merge = false;
            if (k > 0 && parent[k - 1] == k)
            {
                int first = firsts[^1];
                int widthSoFar = positionStart[k] - positionStart[first];
                int width = positionStart[k + 1] - positionStart[first];
                long below = Height(pattern[k], positionStart);
                long size = positionStart[k + 1] - positionStart[k];
                long missing = below + size - Height(pattern[k - 1], positionStart);
                long candidate = zeros + (missing * widthSoFar);
                double share = (double)candidate / ((below + width) * width);
                merge =
                    width <= WidestPanel
                    && (
                        missing == 0
                        || share
                            < (
                                width <= 32 ? 0.5
                                : width <= 64 ? 0.2
                                : 0.1
                            )
                    );
                if (merge)
                {
                    zeros = candidate;
                }
            }

            if (!merge)
            {
                firsts.Add(k);
                zeros = 0;
            }
        }

        return firsts;
    }

    private static long Height(int[] rows, int[] positionStart)
    {
        long height = 0;
        foreach (int row in rows)
        {
            height += positionStart[row + 1] - positionStart[row];
        }

        return height;
    }

    private static PanelUpdate[][] FindUpdates(int[][] rows, int[] panelFirst, int[] panelOf)
    {
        var lists = new List<PanelUpdate>[rows.Length];
        for (int panel = 0; panel < rows.Length; panel++)
        {
            lists[panel] = [];
        }

        for (int source = 0; source < rows.Length; source++)
        {
            int row = panelFirst[source + 1] - panelFirst[source];
            while (row < rows[source].Length)
            {
                int target = panelOf[rows[source][row]];
                int end = row;
                while (end < rows[source].Length && panelOf[rows[source][end]] == target)
                {
                    end++;
                }

                lists[target].Add(new PanelUpdate(source, row, end));
                row = end;
            }
        }

        return [.. lists.Select(list => list.ToArray())];
    }
}

/// <summary>Panel <paramref name="Source"/> updates the target; its row blocks [FirstRow, EndRow) lie in the target's columns.</summary>
internal readonly record struct PanelUpdate(int Source, int FirstRow, int EndRow);
