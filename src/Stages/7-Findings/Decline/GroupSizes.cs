using Hillrow.Numerics;
using Hillrow.Numerics.SpatialStatistics;

namespace Hillrow.Findings;

/// <summary>Groups of marked plants that touch, and how large a group chance alone makes.</summary>
internal static class GroupSizes
{
    /// <summary>Connected groups of the marked plants, each ascending, in the order of their first plant.</summary>
    public static List<int[]> Groups(NeighbourWeights touching, bool[] marked)
    {
        List<int[]> groups = [];
        bool[] visited = new bool[marked.Length];
        Stack<int> open = [];
        for (int seed = 0; seed < marked.Length; seed++)
        {
            if (!marked[seed] || visited[seed])
            {
                continue;
            }

            List<int> group = [];
            visited[seed] = true;
            open.Push(seed);
            while (open.TryPop(out int at))
            {
                group.Add(at);
                foreach (int other in touching.Neighbours(at))
                {
                    if (marked[other] && !visited[other])
                    {
                        visited[other] = true;
                        open.Push(other);
                    }
                }
            }

            group.Sort();
            groups.Add([.. group]);
        }

        return groups;
    }

    /// <summary>
    /// Largest group in each of many random markings of as many plants: against these a group's own size gives a p that
    /// holds for all groups of the block together.
    /// </summary>
    public static int[] LargestByChance(NeighbourWeights touching, int marked, int shuffles, ulong seed)
    {
        SplittableRandom root = new(seed);
        int[] largest = new int[shuffles];
        int[] order = [.. Enumerable.Range(0, touching.Count)];
        for (int shuffle = 0; shuffle < shuffles; shuffle++)
        {
            SplittableRandom draw = root.Split((ulong)shuffle);
            bool[] chosen = new bool[touching.Count];
            for (int at = 0; at < marked; at++)
            {
                int other = at + draw.NextInt32(order.Length - at);
                (order[at], order[other]) = (order[other], order[at]);
                chosen[order[at]] = true;
            }

            largest[shuffle] = Groups(touching, chosen).Max(group => group.Length);
        }

        return largest;
    }
}
