namespace Hillrow.Findings;

/// <summary>A short round over places whose ways cost more one way than the other.</summary>
/// <remarks>
/// Nearest neighbour from every start, then 2-opt (Croes 1958, doi 10.1287/opre.6.6.791) and Or-opt (Or 1976, from memory)
/// until neither helps; a turned stretch is costed in its new direction. Pure; same costs, same round.
/// </remarks>
internal static class WalkTour
{
    private const double Helps = 1e-9;
    private const int LongestMoved = 3;

    /// <param name="costs">n × n, row-major, from × to; finite, 0 or above; the diagonal is not read.</param>
    /// <param name="count">n.</param>
    /// <returns>Every place once, beginning with the first.</returns>
    public static int[] Round(double[] costs, int count)
    {
        if (count <= 3)
        {
            int[] few = [.. Enumerable.Range(0, count)];
            int[] turned = [.. few.Take(1), .. few.Skip(1).Reverse()];
            return count == 3 && Cost(costs, count, turned) < Cost(costs, count, few) ? turned : few;
        }

        int[] best = [];
        double bestCost = double.PositiveInfinity;
        for (int start = 0; start < count; start++)
        {
            int[] tour = Nearest(costs, count, start);
            Improve(costs, count, tour);
            double cost = Cost(costs, count, tour);
            if (cost < bestCost - Helps)
            {
                (best, bestCost) = (tour, cost);
            }
        }

        int first = Array.IndexOf(best, 0);
        return [.. best[first..], .. best[..first]];
    }

    public static double Cost(double[] costs, int count, int[] tour)
    {
        double sum = 0;
        for (int at = 0; at < tour.Length; at++)
        {
            sum += costs[(tour[at] * count) + tour[(at + 1) % tour.Length]];
        }

        return sum;
    }

    private static int[] Nearest(double[] costs, int count, int start)
    {
        int[] tour = new int[count];
        bool[] seen = new bool[count];
        tour[0] = start;
        seen[start] = true;
        for (int at = 1; at < count; at++)
        {
            int best = -1;
            for (int other = 0; other < count; other++)
            {
                if (
                    !seen[other]
                    && (best < 0 || costs[(tour[at - 1] * count) + other] < costs[(tour[at - 1] * count) + best])
                )
                {
                    best = other;
                }
            }

            tour[at] = best;
            seen[best] = true;
        }

        return tour;
    }

    private static void Improve(double[] costs, int count, int[] tour)
    {
        double cost = Cost(costs, count, tour);
        bool moved = true;
        int[] trial = new int[count];
        while (moved)
        {
            moved = false;
            for (int from = 0; from < count - 1; from++)
            {
                for (int to = from + 1; to < count; to++)
                {
                    tour.CopyTo(trial, 0);
                    Array.Reverse(trial, from, to - from + 1);
                    Keep(ref moved, ref cost);
                }
            }

            for (int length = 1; length <= LongestMoved; length++)
            {
                for (int from = 0; from + length <= count; from++)
                {
                    for (int to = 0; to + length <= count; to++)
                    {
                        if (to != from)
                        {
                            Shift(tour, trial, from, length, to);
                            Keep(ref moved, ref cost);
                        }
                    }
                }
            }
        }

        void Keep(ref bool any, ref double now)
        {
            double then = Cost(costs, count, trial);
            if (then < now - Helps)
            {
                trial.CopyTo(tour, 0);
                now = then;
                any = true;
            }
        }
    }

    /// <summary>Takes a stretch out and puts it in so that it begins at <paramref name="to"/>.</summary>
    private static void Shift(int[] tour, int[] trial, int from, int length, int to)
    {
        int place = 0;
        int rest = 0;
        for (int at = 0; at < tour.Length - length; at++)
        {
            if (place == to)
            {
                Stretch();
            }

            rest += rest == from ? length : 0;
            trial[place++] = tour[rest++];
        }

        if (place == to)
        {
            Stretch();
        }

        void Stretch()
        {
            tour.AsSpan(from, length).CopyTo(trial.AsSpan(place));
            place += length;
        }
    }
}
