namespace Hillrow.Numerics.SpatialStatistics;

/// <summary>
/// Who is whose neighbour, and how strongly: one compact list a place (compressed rows, neighbours ascending).
/// Unchanging; safe for many threads.
/// </summary>
public sealed class NeighbourWeights
{
    private readonly int[] starts;
    private readonly int[] neighbours;
    private readonly double[] weights;

    internal NeighbourWeights(int[] starts, int[] neighbours, double[] weights)
    {
        (this.starts, this.neighbours, this.weights) = (starts, neighbours, weights);
    }

    /// <summary>Number of places.</summary>
    public int Count => starts.Length - 1;

    /// <summary>Number of neighbour entries.</summary>
    public int EntryCount => neighbours.Length;

    /// <summary>Weight 1 for each listed neighbour.</summary>
    /// <param name="lists">0-based neighbours of each place, any order; may be empty.</param>
    /// <exception cref="ArgumentException">A neighbour out of range or named twice.</exception>
    public static NeighbourWeights Binary(IReadOnlyList<int[]> lists)
    {
        ArgumentNullException.ThrowIfNull(lists);
        int[] offsets = new int[lists.Count + 1];
        for (int i = 0; i < lists.Count; i++)
        {
            offsets[i + 1] = offsets[i] + lists[i].Length;
        }

        int[] members = new int[offsets[^1]];
        for (int i = 0; i < lists.Count; i++)
        {
            Span<int> row = members.AsSpan(offsets[i], lists[i].Length);
            lists[i].CopyTo(row);
            row.Sort();
            for (int k = 0; k < row.Length; k++)
            {
                if (row[k] < 0 || row[k] >= lists.Count || (k > 0 && row[k] == row[k - 1]))
                {
                    throw new ArgumentException(
                        $"Place {i} names neighbour {row[k]} twice or outside 0..{lists.Count - 1}.",
                        nameof(lists)
                    );
                }
            }
        }

        return OfRows(offsets, members);
    }

    public ReadOnlySpan<int> Neighbours(int place) => neighbours.AsSpan(starts[place]..starts[place + 1]);

    public ReadOnlySpan<double> Weights(int place) => weights.AsSpan(starts[place]..starts[place + 1]);

    /// <summary>Each row divided by its sum; a place without neighbours keeps none.</summary>
    public NeighbourWeights RowStandardised()
    {
        double[] scaled = (double[])weights.Clone();
        for (int place = 0; place < Count; place++)
        {
            Span<double> row = scaled.AsSpan(starts[place]..starts[place + 1]);
            double sum = 0;
            foreach (double weight in row)
            {
                sum += weight;
            }

            for (int k = 0; k < row.Length; k++)
            {
                row[k] /= sum;
            }
        }

        return new NeighbourWeights(starts, neighbours, scaled);
    }

    /// <summary>Each place also its own neighbour with weight 1 (left alone where it is one already).</summary>
    public NeighbourWeights WithSelf()
    {
        int[] newStarts = new int[starts.Length];
        List<int> newNeighbours = new(neighbours.Length + Count);
        List<double> newWeights = new(neighbours.Length + Count);
        for (int place = 0; place < Count; place++)
        {
            bool placed = false;
            for (int k = starts[place]; k < starts[place + 1]; k++)
            {
                if (!placed && neighbours[k] >= place)
                {
                    placed = true;
                    if (neighbours[k] > place)
                    {
                        newNeighbours.Add(place);
                        newWeights.Add(1);
                    }
                }

                newNeighbours.Add(neighbours[k]);
                newWeights.Add(weights[k]);
            }

            if (!placed)
            {
                newNeighbours.Add(place);
                newWeights.Add(1);
            }

            newStarts[place + 1] = newNeighbours.Count;
        }

        return new NeighbourWeights(newStarts, [.. newNeighbours], [.. newWeights]);
    }

    /// <summary>Σⱼ wᵢⱼ xⱼ.</summary>
    public double Lag(int place, ReadOnlySpan<double> values)
    {
        double sum = 0;
        for (int k = starts[place]; k < starts[place + 1]; k++)
        {
            sum += weights[k] * values[neighbours[k]];
        }

        return sum;
    }

    /// <summary>wᵢⱼ, 0 when j is no neighbour of i.</summary>
    public double Between(int from, int to)
    {
        int at = Array.BinarySearch(neighbours, starts[from], starts[from + 1] - starts[from], to);
        return at < 0 ? 0 : weights[at];
    }

    /// <summary>The sums that moments of spatial statistics are made of.</summary>
    public WeightSums Sums()
    {
        double[] into = new double[Count];
        double total = 0;
        double first = 0;
        int isolated = 0;
        double[] outOf = new double[Count];
        for (int place = 0; place < Count; place++)
        {
            isolated += starts[place] == starts[place + 1] ? 1 : 0;
            for (int k = starts[place]; k < starts[place + 1]; k++)
            {
                double weight = weights[k];
                total += weight;
                outOf[place] += weight;
                into[neighbours[k]] += weight;
                first += weight * (weight + Between(neighbours[k], place));
            }
        }

        double second = 0;
        for (int place = 0; place < Count; place++)
        {
            double both = into[place] + outOf[place];
            second += both * both;
        }

        return new WeightSums(total, first, second, isolated);
    }

    internal static NeighbourWeights OfRows(int[] starts, int[] neighbours)
    {
        double[] ones = new double[neighbours.Length];
        Array.Fill(ones, 1);
        return new NeighbourWeights(starts, neighbours, ones);
    }
}

/// <summary>S₀ = Σwᵢⱼ, S₁ = ½Σ(wᵢⱼ + wⱼᵢ)², S₂ = Σ(wᵢ. + w.ᵢ)², and how many places have no neighbour.</summary>
/// <remarks>Source: Cliff &amp; Ord 1981, Spatial Processes, 1.5.</remarks>
public readonly record struct WeightSums(double S0, double S1, double S2, int Isolated);
