namespace Hillrow.Numerics.LeastSquares;

/// <summary>
/// The solver's own order and storage for one residual group: residuals sorted by point, so that the elimination
/// of a point reads one run of memory.
/// </summary>
internal sealed class GroupLayout
{
    public GroupLayout(ResidualGroup group, BlockProblem problem, PointOrder points)
    {
        Group = group;
        Slots = group.SlotSizes.Count;
        SlotOffset = new int[Slots + 1];
        for (int slot = 0; slot < Slots; slot++)
        {
            SlotOffset[slot + 1] = SlotOffset[slot] + group.SlotSizes[slot];
        }

        RowWidth = SlotOffset[Slots] + (group.UsesPoint ? problem.PointSize : 0);
        Order = new int[group.Count];
        PointStart = new int[problem.PointCount + 1];
        SortByPoint(problem, points);
        SlotBlock = new int[checked(group.Count * Slots)];
        SlotCell = group.UsesPoint ? new int[SlotBlock.Length] : [];
        FillSlots(problem);
        BlockStart = new int[problem.SharedBlockCount + 1];
        BlockItems = new int[SlotBlock.Length];
        ListByBlock(problem.SharedBlockCount);
        Residuals = GC.AllocateArray<double>(checked(group.Count * group.ResidualSize), pinned: true);

        // The spare tail lets vector loads run past the last row.
        long jacobian = ((long)group.Count * group.ResidualSize * RowWidth) + 32;
        Jacobians = GC.AllocateArray<double>(checked((int)jacobian), pinned: true);
    }

    public ResidualGroup Group { get; }

    public int Slots { get; }

    /// <summary>First column of each slot in a Jacobian row; the point's at the end.</summary>
    public int[] SlotOffset { get; }

    public int RowWidth { get; }

    /// <summary>The group's residual at each place of ours.</summary>
    public int[] Order { get; }

    /// <summary>Places of the residuals of the point ranked p: [PointStart[p], PointStart[p + 1]).</summary>
    public int[] PointStart { get; }

    /// <summary>Block in each slot, by place.</summary>
    public int[] SlotBlock { get; }

    /// <summary>Number of the slot's cell within its point's cells, by place.</summary>
    public int[] SlotCell { get; }

    /// <summary>Places × slots that touch a block: BlockItems[BlockStart[b]..BlockStart[b + 1]].</summary>
    public int[] BlockStart { get; }

    public int[] BlockItems { get; }

    public double[] Residuals { get; }

    public double[] Jacobians { get; }

    private void SortByPoint(BlockProblem problem, PointOrder points)
    {
        if (!Group.UsesPoint)
        {
            for (int index = 0; index < Order.Length; index++)
            {
                Order[index] = index;
            }

            return;
        }

        for (int index = 0; index < Order.Length; index++)
        {
            PointStart[points.RankOf[Group.Point(index)] + 1]++;
        }

        for (int point = 0; point < problem.PointCount; point++)
        {
            PointStart[point + 1] += PointStart[point];
        }

        int[] cursor = PointStart.AsSpan(0, problem.PointCount).ToArray();
        for (int index = 0; index < Order.Length; index++)
        {
            Order[cursor[points.RankOf[Group.Point(index)]]++] = index;
        }
    }

    private void FillSlots(BlockProblem problem)
    {
        for (int place = 0; place < Order.Length; place++)
        {
            Span<int> slots = SlotBlock.AsSpan(place * Slots, Slots);
            for (int slot = 0; slot < Slots; slot++)
            {
                int block = Group.SharedBlock(Order[place], slot);
                if ((uint)block >= (uint)problem.SharedBlockCount)
                {
                    throw new ArgumentException(
                        $"Residual {Order[place]} names shared block {block}, but there are {problem.SharedBlockCount}.",
                        nameof(problem)
                    );
                }

                if (problem.Blocks[block].StepSize != Group.SlotSizes[slot])
                {
                    throw new ArgumentException(
                        $"Residual {Order[place]}, slot {slot}: block {block} has a step of "
                            + $"{problem.Blocks[block].StepSize}, the slot takes {Group.SlotSizes[slot]}.",
                        nameof(problem)
                    );
                }

                if (slots[..slot].Contains(block))
                {
                    throw new ArgumentException(
                        $"Residual {Order[place]} names shared block {block} twice.",
                        nameof(problem)
                    );
                }

                slots[slot] = block;
            }
        }
    }

    private void ListByBlock(int blockCount)
    {
        foreach (int block in SlotBlock)
        {
            BlockStart[block + 1]++;
        }

        for (int block = 0; block < blockCount; block++)
        {
            BlockStart[block + 1] += BlockStart[block];
        }

        int[] cursor = BlockStart.AsSpan(0, blockCount).ToArray();
        for (int item = 0; item < SlotBlock.Length; item++)
        {
            BlockItems[cursor[SlotBlock[item]]++] = item;
        }
    }
}
