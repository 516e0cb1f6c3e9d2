namespace Hillrow.Planning;

/// <summary>In which order and which way round chains are flown: from home, through all, and back.</summary>
/// <remarks>
/// For a given order the best ways round are found exactly (a table over the eight ways of each chain, turns inside it included); the order itself
/// starts from the nearest chain each time and is then bettered by moving and turning runs of chains until nothing
/// helps. Optimal order is a hard problem (it holds the travelling salesman's); a field has few chains.
/// </remarks>
internal sealed class ChainOrder
{
    private const int Ways = LineChain.Ways;

    private readonly int count;
    private readonly double[] fromHome;
    private readonly double[] toHome;
    private readonly double[] between;
    private readonly ChainWay[] ways;

    /// <param name="chains">To be ordered.</param>
    /// <param name="home">Begin and end.</param>
    /// <param name="cost">Time from one heading to another; the heading at home is not used.</param>
    public ChainOrder(IReadOnlyList<LineChain> chains, PlanPoint home, Func<Heading?, Heading?, PlanPoint, double> cost)
    {
        count = chains.Count;
        fromHome = new double[count * Ways];
        toHome = new double[count * Ways];
        between = new double[count * Ways * count * Ways];
        ways = [.. chains.SelectMany(chain => chain.WaysBy(cost))];
        (Heading Begin, Heading End)[] ends =
        [
            .. ways.Select(way => (LineChain.BeginOf(way.Order[0]), LineChain.EndOf(way.Order[^1]))),
        ];
        for (int at = 0; at < ends.Length; at++)
        {
            // What a chain costs inside is reckoned where it is entered.
            fromHome[at] = ways[at].Cost + cost(null, ends[at].Begin, home);
            toHome[at] = cost(ends[at].End, null, home);
        }

        for (int from = 0; from < ends.Length; from++)
        {
            for (int to = 0; to < ends.Length; to++)
            {
                between[(from * ends.Length) + to] =
                    from / Ways == to / Ways ? 0
                    : double.IsFinite(ways[to].Cost) ? ways[to].Cost + cost(ends[from].End, ends[to].Begin, home)
                    : double.PositiveInfinity;
            }
        }
    }

    /// <summary>Lines in flying order and whether each is flown against its direction, and the cost of all turns and ways, from and to home.</summary>
    public (IReadOnlyList<(LineSegment Segment, bool Back)> Order, double Cost) Best(int rounds)
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

        int[] best = new int[count];
        cost = CostOf(order, best);
        return ([.. order.SelectMany((chain, at) => ways[(chain * Ways) + best[at]].Order)], cost);
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
    private double CostOf(int[] order, int[]? chosen)
    {
        Span<double> cost = stackalloc double[Ways];
        Span<double> next = stackalloc double[Ways];
        int[] came = chosen is null ? [] : new int[count * Ways];
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
                if (chosen is not null)
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

        if (chosen is not null)
        {
            for (int at = order.Length - 1; at >= 0; at--)
            {
                chosen[at] = end;
                end = came[(at * Ways) + end];
            }
        }

        return total;
    }
}
