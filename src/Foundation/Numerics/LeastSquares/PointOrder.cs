namespace Hillrow.Numerics.LeastSquares;

/// <summary>
/// The solver's own order of the points: by the lowest shared blocks that see them, so that what one block needs
/// lies together in memory whatever order the caller's points came in.
/// </summary>
internal sealed class PointOrder
{
    public PointOrder(BlockProblem problem)
    {
        int count = problem.PointCount;
        int[] lowest = new int[count];
        int[] second = new int[count];
        lowest.AsSpan().Fill(int.MaxValue);
        second.AsSpan().Fill(int.MaxValue);
        foreach (ResidualGroup group in problem.Groups)
        {
            if (group.UsesPoint)
            {
                Visit(group, lowest, second);
            }
        }

        PointAt = new int[count];
        RankOf = new int[count];
        (int, int, int)[] keys = new (int, int, int)[count];
        for (int point = 0; point < count; point++)
        {
            PointAt[point] = point;
            keys[point] = (lowest[point], second[point], point);
        }

        Array.Sort(keys, PointAt);
        for (int rank = 0; rank < count; rank++)
        {
            RankOf[PointAt[rank]] = rank;
        }
    }

    /// <summary>The caller's point at each rank.</summary>
    public int[] PointAt { get; }

    public int[] RankOf { get; }

    private static void Visit(ResidualGroup group, int[] lowest, int[] second)
    {
        for (int residual = 0; residual < group.Count; residual++)
        {
            int point = group.Point(residual);
            if ((uint)point >= (uint)lowest.Length)
            {
                throw new ArgumentException(
                    $"Residual {residual} names point {point}, but there are {lowest.Length}.",
                    nameof(group)
                );
            }

            for (int slot = 0; slot < group.SlotSizes.Count; slot++)
            {
                int block = group.SharedBlock(residual, slot);
                if (block < lowest[point])
                {
                    second[point] = lowest[point];
                    lowest[point] = block;
                }
                else if (block > lowest[point] && block < second[point])
                {
                    second[point] = block;
                }
            }
        }
    }
}
