using Hillrow.Numerics.Linear;

namespace Hillrow.Numerics.LeastSquares;

/// <summary>
/// Which shared blocks each point is joined to. A cell is one distinct (point, block) pair; a point's cells stand
/// together, ordered by block.
/// </summary>
internal sealed class PointCells
{
    public PointCells(BlockProblem problem, IReadOnlyList<GroupLayout> layouts)
    {
        int points = problem.PointCount;
        Start = new int[points + 1];
        List<int> blocks = [];
        List<int> found = [];
        int[] numberOf = new int[problem.SharedBlockCount];
        for (int point = 0; point < points; point++)
        {
            found.Clear();
            foreach (GroupLayout layout in layouts)
            {
                int first = layout.PointStart[point] * layout.Slots;
                int end = layout.PointStart[point + 1] * layout.Slots;
                for (int item = first; item < end; item++)
                {
                    found.Add(layout.SlotBlock[item]);
                }
            }

            found.Sort();
            int before = blocks.Count;
            foreach (int block in found)
            {
                if (blocks.Count == before || blocks[^1] != block)
                {
                    numberOf[block] = blocks.Count - before;
                    blocks.Add(block);
                }
            }

            MostInOnePoint = Math.Max(MostInOnePoint, blocks.Count - before);
            Start[point + 1] = blocks.Count;
            foreach (GroupLayout layout in layouts)
            {
                int first = layout.PointStart[point] * layout.Slots;
                int end = layout.PointStart[point + 1] * layout.Slots;
                for (int item = first; item < end; item++)
                {
                    layout.SlotCell[item] = numberOf[layout.SlotBlock[item]];
                }
            }
        }

        Block = [.. blocks];
        Point = new int[Block.Length];
        ValueStart = new int[Block.Length + 1];
        BlockStart = new int[problem.SharedBlockCount + 1];
        for (int point = 0; point < points; point++)
        {
            for (int cell = Start[point]; cell < Start[point + 1]; cell++)
            {
                Point[cell] = point;
                ValueStart[cell + 1] = checked(
                    ValueStart[cell] + (problem.PointSize * problem.Blocks[Block[cell]].StepSize)
                );
                BlockStart[Block[cell] + 1]++;
            }
        }

        for (int block = 0; block < problem.SharedBlockCount; block++)
        {
            BlockStart[block + 1] += BlockStart[block];
        }

        int[] cursor = BlockStart.AsSpan(0, problem.SharedBlockCount).ToArray();
        ByBlock = new int[Block.Length];
        for (int cell = 0; cell < Block.Length; cell++)
        {
            ByBlock[cursor[Block[cell]]++] = cell;
        }
    }

    /// <summary>Cells of a point: [Start[p], Start[p + 1]).</summary>
    public int[] Start { get; }

    public int[] Block { get; }

    public int[] Point { get; }

    /// <summary>First value of each cell: point size × step size numbers, point component first.</summary>
    public int[] ValueStart { get; }

    /// <summary>Cells of a block: ByBlock[BlockStart[b]..BlockStart[b + 1]], in order of points.</summary>
    public int[] BlockStart { get; }

    public int[] ByBlock { get; }

    public int MostInOnePoint { get; }

    /// <summary>The pattern of the reduced system: blocks that share a point or a residual.</summary>
    public BlockSymmetricMatrix ReducedPattern(BlockProblem problem, IReadOnlyList<GroupLayout> layouts)
    {
        int blocks = problem.SharedBlockCount;
        int[] sizes = [.. problem.Blocks.Select(block => block.StepSize)];
        int[] starts = new int[blocks + 1];
        List<int> rows = [];
        int[] mark = new int[blocks];
        List<int> column = [];
        for (int block = 0; block < blocks; block++)
        {
            column.Clear();
            column.Add(block);
            int stamp = block + 1;
            mark[block] = stamp;
            for (int at = BlockStart[block]; at < BlockStart[block + 1]; at++)
            {
                int cell = ByBlock[at];
                int end = Start[Point[cell] + 1];
                for (int other = cell + 1; other < end; other++)
                {
                    Take(Block[other], stamp, mark, column);
                }
            }

            foreach (GroupLayout layout in layouts)
            {
                for (int at = layout.BlockStart[block]; at < layout.BlockStart[block + 1]; at++)
                {
                    int first = layout.BlockItems[at] / layout.Slots * layout.Slots;
                    for (int slot = 0; slot < layout.Slots; slot++)
                    {
                        int other = layout.SlotBlock[first + slot];
                        if (other > block)
                        {
                            Take(other, stamp, mark, column);
                        }
                    }
                }
            }

            column.Sort();
            rows.AddRange(column);
            starts[block + 1] = rows.Count;
        }

        return new BlockSymmetricMatrix(sizes, starts, rows.ToArray());
    }

    private static void Take(int row, int stamp, int[] mark, List<int> column)
    {
        if (mark[row] != stamp)
        {
            mark[row] = stamp;
            column.Add(row);
        }
    }
}
