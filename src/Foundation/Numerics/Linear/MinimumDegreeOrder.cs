namespace Hillrow.Numerics.Linear;

/// <summary>Fill-reducing elimination order of a symmetric pattern by approximate minimum degree.</summary>
/// <remarks>
/// Quotient graph with element absorption and the approximate external degree of Amestoy, Davis &amp; Duff 1996
/// (SIAM J. Matrix Anal. 17:886, doi 10.1137/S0895479894278952; from memory). Departure: vertices are whole
/// blocks with a weight, so the search for indistinguishable vertices is left out. Ties go to the lower index.
/// </remarks>
public static class MinimumDegreeOrder
{
    /// <param name="weights">Size of each vertex, 1 or more (the number of unknowns in the block).</param>
    /// <param name="neighbourStart">Length n + 1; the neighbours of v are neighbours[start[v]..start[v+1]].</param>
    /// <param name="neighbours">Both directions of every edge, no self loops, no doubles.</param>
    /// <returns>order[k] is the vertex to eliminate k-th.</returns>
    /// <exception cref="ArgumentException">Lengths do not agree.</exception>
    public static int[] Compute(
        ReadOnlySpan<int> weights,
        ReadOnlySpan<int> neighbourStart,
        ReadOnlySpan<int> neighbours
    )
    {
        int n = weights.Length;
        if (neighbourStart.Length != n + 1)
        {
            throw new ArgumentException(
                $"{n} weights want {n + 1} neighbour starts, not {neighbourStart.Length}.",
                nameof(neighbourStart)
            );
        }

        var graph = new QuotientGraph(weights, neighbourStart, neighbours);
        int[] order = new int[n];
        for (int step = 0; step < n; step++)
        {
            order[step] = graph.EliminateNext();
        }

        return order;
    }

    private sealed class QuotientGraph
    {
        private readonly int[] weight;
        private readonly List<int>[] variables;
        private readonly List<int>[] elements;
        private readonly List<int>?[] members;
        private readonly long[] degree;
        private readonly long[] outside;
        private readonly int[] outsideStamp;
        private readonly int[] mark;
        private readonly bool[] gone;
        private readonly PriorityQueue<int, (long Degree, int Vertex)> queue = new();
        private long remaining;
        private int stamp;

        public QuotientGraph(ReadOnlySpan<int> weights, ReadOnlySpan<int> start, ReadOnlySpan<int> neighbours)
        {
            int n = weights.Length;
            weight = weights.ToArray();
            variables = new List<int>[n];
            elements = new List<int>[n];
            members = new List<int>?[n];
            degree = new long[n];
            outside = new long[n];
            outsideStamp = new int[n];
            mark = new int[n];
            gone = new bool[n];
            for (int v = 0; v < n; v++)
            {
                variables[v] = [.. neighbours[start[v]..start[v + 1]]];
                elements[v] = [];
                remaining += weight[v];
                foreach (int u in variables[v])
                {
                    degree[v] += weights[u];
                }

                queue.Enqueue(v, (degree[v], v));
            }
        }

        public int EliminateNext()
        {
            int pivot;
            while (true)
            {
                // A vertex is queued again whenever its degree changes; only its latest entry counts.
                _ = queue.TryDequeue(out pivot, out (long Degree, int Vertex) entry);
                if (!gone[pivot] && entry.Degree == degree[pivot])
                {
                    break;
                }
            }

            gone[pivot] = true;
            remaining -= weight[pivot];
            List<int> front = Front(pivot);
            members[pivot] = front;
            long frontWeight = 0;
            foreach (int v in front)
            {
                frontWeight += weight[v];
            }

            CountOutside(front);
            int inFront = stamp;
            foreach (int v in front)
            {
                Update(v, pivot, inFront, frontWeight);
            }

            variables[pivot] = [];
            elements[pivot] = [];
            return pivot;
        }

        /// <summary>Everything the pivot is joined to; its elements are absorbed. Marks it with the new stamp.</summary>
        private List<int> Front(int pivot)
        {
            stamp++;
            List<int> front = [];
            mark[pivot] = stamp;
            Gather(variables[pivot], front);
            foreach (int element in elements[pivot])
            {
                if (members[element] is { } list)
                {
                    Gather(list, front);
                    members[element] = null;
                }
            }

            return front;
        }

        private void Gather(List<int> from, List<int> front)
        {
            foreach (int v in from)
            {
                if (!gone[v] && mark[v] != stamp)
                {
                    mark[v] = stamp;
                    front.Add(v);
                }
            }
        }

        /// <summary>For every element next to the front: the weight of its members outside the front.</summary>
        private void CountOutside(List<int> front)
        {
            foreach (int v in front)
            {
                foreach (int element in elements[v])
                {
                    if (members[element] is not { } list)
                    {
                        continue;
                    }

                    if (outsideStamp[element] != stamp)
                    {
                        outsideStamp[element] = stamp;
                        list.RemoveAll(u => gone[u]);
                        outside[element] = 0;
                        foreach (int u in list)
                        {
                            outside[element] += weight[u];
                        }
                    }

                    outside[element] -= weight[v];
                }
            }
        }

        private void Update(int v, int pivot, int inFront, long frontWeight)
        {
            long bound = frontWeight - weight[v];
            int kept = 0;
            List<int> own = elements[v];
            for (int at = 0; at < own.Count; at++)
            {
                int element = own[at];

                // An element wholly inside the front adds nothing any more: absorbed.
                if (members[element] is not null && outside[element] > 0)
                {
                    own[kept++] = element;
                    bound += outside[element];
                }
            }

            own.RemoveRange(kept, own.Count - kept);
            own.Add(pivot);
            List<int> direct = variables[v];
            direct.RemoveAll(u => gone[u] || mark[u] == inFront);
            foreach (int u in direct)
            {
                bound += weight[u];
            }

            degree[v] = Math.Min(Math.Min(remaining - weight[v], degree[v] + frontWeight - weight[v]), bound);
            queue.Enqueue(v, (degree[v], v));
        }
    }
}
