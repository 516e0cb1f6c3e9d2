namespace Hillrow.Planning;

/// <summary>In which order and which way round chains are flown: from home, through all, and back.</summary>
/// <remarks>
/// For a given order the best ways round are found exactly (a table over the four ways of each chain); the order itself
/// starts from the nearest chain each time and is then bettered by moving and turning runs of chains until nothing
/// helps. Optimal order is a hard problem (it holds the travelling salesman's); a field has few chains.
/// </remarks>
internal sealed class ChainOrder
{
    private const int Ways = 4;

    private readonly int count;
    private readonly double[] fromHome;
    private readonly double[] toHome;
    private readonly double[] between;

    /// <param name="chains">To be ordered.</param>
    /// <param name="home">Begin and end.</param>
    /// <param name="cost">Time from one heading to another; the heading at home is not used.</param>
    public ChainOrder(IReadOnlyList<LineChain> chains, PlanPoint home, Func<Heading?, Heading?, PlanPoint, double> cost)
    {
        count = chains.Count;
        fromHome = new double[count * Ways];
        toHome = new double[count * Ways];
        between = new double[count * Ways * count * Ways];
        (Heading Begin, Heading End)[] ends = new (Heading, Heading)[count * Ways];
        for (int at = 0; at < ends.Length; at++)
        {
            ends[at] = chains[at / Ways].Ends(at % Ways);
            fromHome[at] = cost(null, ends[at].Begin, home);
            toHome[at] = cost(ends[at].End, null, home);
        }

        for (int from = 0; from < ends.Length; from++)
        {
            for (int to = 0; to < ends.Length; to++)
            {
                between[(from * ends.Length) + to] =
                    from / Ways == to / Ways ? 0 : cost(ends[from].End, ends[to].Begin, home);
            }
        }
    }

    /// <summary>Chain numbers and ways in flying order, and the time between chains and from and to home.</summary>
    public (IReadOnlyList<(int Chain, int Way)> Order, double Cost) Best(int rounds)
    {
        if (count == 0)
        {
            return ([], 0);
        }

        int[] order = NearestFirst();
        double cost = CostOf(order, null);
        for (int round = 0; round < rounds; round++)
        {
            double before = cost;
            for (int from = 0; from < count; from++)
            {
                for (int length = 1; length <= 3 && from + length <= count; length++)
                {
                    Better(Moves(order, from, length), ref order, ref cost);
                }

                for (int to = from + 2; to <= count; to++)
                {
                    int[] turned = [.. order];
                    Array.Reverse(turned, from, to - from);
                    Better([turned], ref order, ref cost);
                }
            }

            if (cost >= before - 1e-9)
            {
                break;
            }
        }

        int[] ways = new int[count];
        cost = CostOf(order, ways);
        return ([.. order.Select((chain, at) => (chain, ways[at]))], cost);
    }

    private void Better(IEnumerable<int[]> tries, ref int[] order, ref double cost)
    {
        foreach (int[] one in tries)
        {
            double tried = CostOf(one, null);
            if (tried < cost - 1e-9)
            {
                (order, cost) = (one, tried);
            }
        }
    }

    private static IEnumerable<int[]> Moves(int[] order, int from, int length)
    {
        int[] moved = order[from..(from + length)];
        int[] rest = [.. order[..from], .. order[(from + length)..]];
        for (int to = 0; to <= rest.Length; to++)
        {
            if (to != from)
            {
                yield return [.. rest[..to], .. moved, .. rest[to..]];
            }
        }
    }

    private int[] NearestFirst()
    {
        int[] order = new int[count];
        bool[] used = new bool[count];
        int last = -1;
        for (int at = 0; at < count; at++)
        {
            int best = -1;
            for (int next = 0; next < count * Ways; next++)
            {
                if (!used[next / Ways] && (best < 0 || Cost(next) < Cost(best)))
                {
                    best = next;
                }
            }

            order[at] = best / Ways;
            used[best / Ways] = true;
            last = best;
        }

        return order;

        double Cost(int next) => last < 0 ? fromHome[next] : between[(last * count * Ways) + next];
    }

    /// <summary>Least cost of an order over all ways round; fills in the ways when asked.</summary>
    private double CostOf(int[] order, int[]? ways)
    {
        Span<double> cost = stackalloc double[Ways];
        Span<double> next = stackalloc double[Ways];
        int[] came = ways is null ? [] : new int[count * Ways];
        for (int way = 0; way < Ways; way++)
        {
            cost[way] = fromHome[(order[0] * Ways) + way];
        }

        for (int at = 1; at < order.Length; at++)
        {
            for (int to = 0; to < Ways; to++)
            {
                int best = 0;
                double least = double.PositiveInfinity;
                for (int from = 0; from < Ways; from++)
                {
                    double sum =
                        cost[from]
                        + between[(((order[at - 1] * Ways) + from) * count * Ways) + (order[at] * Ways) + to];
                    if (sum < least)
                    {
                        (least, best) = (sum, from);
                    }
                }

                next[to] = least;
                if (ways is not null)
                {
                    came[(at * Ways) + to] = best;
                }
            }

            next.CopyTo(cost);
        }

        int end = 0;
        double total = double.PositiveInfinity;
        for (int way = 0; way < Ways; way++)
        {
            double sum = cost[way] + toHome[(order[^1] * Ways) + way];
            if (sum < total)
            {
                (total, end) = (sum, way);
            }
        }

        if (ways is not null)
        {
            for (int at = order.Length - 1; at >= 0; at--)
            {
                ways[at] = end;
                end = came[(at * Ways) + end];
            }
        }

        return total;
    }
}
