using Hillrow.Numerics;

namespace Hillrow.Plants;

/// <summary>How a model is trained.</summary>
internal sealed record BoostSettings
{
    public int Trees { get; init; } = 120;

    /// <summary>Questions one after the other in a tree.</summary>
    public int Depth { get; init; } = 4;

    /// <summary>Share of each tree's correction that is taken.</summary>
    public double Rate { get; init; } = 0.1;

    public int LeastSamplesOfLeaf { get; init; } = 40;

    /// <summary>Share of the features that each tree may ask of, drawn anew for each: less alike trees, and faster.</summary>
    public double FeatureShare { get; init; } = 0.5;

    /// <summary>Pulls leaves with few samples towards 0.</summary>
    public double Ridge { get; init; } = 5;
}

/// <summary>A sum of small regression trees, each fitted to what the ones before left over.</summary>
/// <remarks>
/// J. Friedman 2001, doi 10.1214/aos/1013203451, squared loss, on features cut into at most 32 classes of equal counts. A
/// few seconds for 50,000 samples of 60 features. Deterministic, single thread.
/// </remarks>
internal sealed class BoostedTrees
{
    private const int Classes = 32;

    private readonly float[][] cuts;
    private readonly List<Node[]> trees = [];
    private readonly float start;

    private BoostedTrees(float[][] cutsOfFeatures, float start) => (cuts, this.start) = (cutsOfFeatures, start);

    /// <param name="features">One array a feature, each of as many numbers as there are samples; no NaN.</param>
    /// <param name="target">One a sample.</param>
    public static BoostedTrees Train(float[][] features, float[] target, BoostSettings settings)
    {
        BoostedTrees model = new([.. features.Select(CutsOf)], target.Length == 0 ? 0 : target.Average());
        byte[][] classes = [.. features.Select((values, feature) => ClassesOf(values, model.cuts[feature]))];
        float[] left = [.. target.Select(value => value - model.start)];
        int[] node = new int[target.Length];
        for (int tree = 0; tree < settings.Trees; tree++)
        {
            Array.Clear(node);
            int[] asked = Asked(features.Length, tree, settings.FeatureShare);
            Node[] nodes = model.Grow(classes, left, node, asked, settings);
            model.trees.Add(nodes);
            for (int sample = 0; sample < left.Length; sample++)
            {
                left[sample] -= nodes[node[sample]].Value;
            }
        }

        return model;
    }

    /// <summary>Predictions for as many samples as each feature has numbers.</summary>
    public float[] Predict(float[][] features)
    {
        byte[][] classes = [.. features.Select((values, feature) => ClassesOf(values, cuts[feature]))];
        float[] result = new float[features[0].Length];
        Array.Fill(result, start);
        foreach (Node[] nodes in trees)
        {
            for (int sample = 0; sample < result.Length; sample++)
            {
                int at = 0;
                while (nodes[at].Feature >= 0)
                {
                    at = classes[nodes[at].Feature][sample] <= nodes[at].Cut ? nodes[at].Low : nodes[at].Low + 1;
                }

                result[sample] += nodes[at].Value;
            }
        }

        return result;
    }

    private static int[] Asked(int features, int tree, double share)
    {
        int[] all = [.. Enumerable.Range(0, features)];
        new SplittableRandom((ulong)tree).Split("features").Shuffle(all.AsSpan());
        int[] asked = all[..Math.Max(1, (int)Math.Round(share * features))];
        Array.Sort(asked);
        return asked;
    }

    private static float[] CutsOf(float[] values)
    {
        // Every so many values are enough to place the cuts.
        int stride = Math.Max(1, values.Length / 20_000);
        float[] sorted = [.. values.Where((_, at) => at % stride == 0).Order()];
        List<float> chosen = [];
        for (int cut = 1; cut < Classes && sorted.Length > 0; cut++)
        {
            float value = sorted[(int)((long)cut * sorted.Length / Classes)];
            if (chosen.Count == 0 || value > chosen[^1])
            {
                chosen.Add(value);
            }
        }

        return [.. chosen];
    }

    private static byte[] ClassesOf(float[] values, float[] limits)
    {
        byte[] classes = new byte[values.Length];
        for (int at = 0; at < values.Length; at++)
        {
            int found = Array.BinarySearch(limits, values[at]);
            classes[at] = (byte)(found < 0 ? ~found : found);
        }

        return classes;
    }

    private Node[] Grow(byte[][] classes, float[] left, int[] node, int[] asked, BoostSettings settings)
    {
        List<Node> nodes = [new Node(-1, 0, 0, 0)];
        List<int> open = [0];
        for (int depth = 0; depth < settings.Depth && open.Count > 0; depth++)
        {
            Split[] splits = Best(classes, left, node, asked, open, nodes.Count, settings);
            List<int> next = [];
            for (int at = 0; at < open.Count; at++)
            {
                if (splits[at].Gain > 0)
                {
                    nodes[open[at]] = new Node(splits[at].Feature, splits[at].Cut, nodes.Count, 0);
                    next.Add(nodes.Count);
                    next.Add(nodes.Count + 1);
                    nodes.Add(new Node(-1, 0, 0, 0));
                    nodes.Add(new Node(-1, 0, 0, 0));
                }
            }

            for (int sample = 0; sample < node.Length; sample++)
            {
                Node own = nodes[node[sample]];
                if (own.Feature >= 0)
                {
                    node[sample] = classes[own.Feature][sample] <= own.Cut ? own.Low : own.Low + 1;
                }
            }

            open = next;
        }

        double[] sum = new double[nodes.Count];
        int[] count = new int[nodes.Count];
        for (int sample = 0; sample < node.Length; sample++)
        {
            sum[node[sample]] += left[sample];
            count[node[sample]]++;
        }

        return
        [
            .. nodes.Select(
                (entry, at) =>
                    entry with
                    {
                        Value =
                            entry.Feature >= 0 ? 0 : (float)(settings.Rate * sum[at] / (count[at] + settings.Ridge)),
                    }
            ),
        ];
    }

    private Split[] Best(
        byte[][] classes,
        float[] left,
        int[] node,
        int[] asked,
        List<int> open,
        int nodes,
        BoostSettings settings
    )
    {
        int[] place = new int[nodes];
        Array.Fill(place, -1);
        for (int at = 0; at < open.Count; at++)
        {
            place[open[at]] = at;
        }

        Split[] best = new Split[open.Count];
        double[] sums = new double[open.Count * Classes];
        int[] counts = new int[open.Count * Classes];
        foreach (int feature in asked)
        {
            Array.Clear(sums);
            Array.Clear(counts);
            byte[] own = classes[feature];
            for (int sample = 0; sample < own.Length; sample++)
            {
                int at = place[node[sample]];
                if (at >= 0)
                {
                    sums[(at * Classes) + own[sample]] += left[sample];
                    counts[(at * Classes) + own[sample]]++;
                }
            }

            for (int at = 0; at < open.Count; at++)
            {
                Split split = BestOf(
                    feature,
                    sums.AsSpan(at * Classes, Classes),
                    counts.AsSpan(at * Classes, Classes),
                    settings
                );
                best[at] = split.Gain > best[at].Gain ? split : best[at];
            }
        }

        return best;
    }

    private Split BestOf(int feature, ReadOnlySpan<double> sums, ReadOnlySpan<int> counts, BoostSettings settings)
    {
        double all = 0;
        int count = 0;
        for (int at = 0; at < Classes; at++)
        {
            all += sums[at];
            count += counts[at];
        }

        double whole = all * all / (count + settings.Ridge);
        double low = 0;
        int lowCount = 0;
        Split best = default;
        for (int cut = 0; cut < cuts[feature].Length; cut++)
        {
            low += sums[cut];
            lowCount += counts[cut];
            int highCount = count - lowCount;
            if (lowCount < settings.LeastSamplesOfLeaf || highCount < settings.LeastSamplesOfLeaf)
            {
                continue;
            }

            double high = all - low;
            double gain =
                (low * low / (lowCount + settings.Ridge)) + (high * high / (highCount + settings.Ridge)) - whole;
            best = gain > best.Gain ? new Split(feature, (byte)cut, gain) : best;
        }

        return best;
    }

    /// <param name="Feature">−1 for a leaf.</param>
    /// <param name="Cut">Classes up to it go to <paramref name="Low"/>, higher ones to the node after that.</param>
    private readonly record struct Node(int Feature, byte Cut, int Low, float Value);

    private readonly record struct Split(int Feature, byte Cut, double Gain);
}
