using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>A slot of a row: sample number along the profile, and whether a plant stands there.</summary>
internal readonly record struct RowSlot(int Sample, bool HasPlant, double Evidence);

/// <summary>
/// Chooses the positions of a row, plants and gaps together, by dynamic programming: peaks of the canopy pay, distances
/// unlike the planting distance cost. A chain of slots runs through gaps, so each missing plant has its place.
/// </summary>
internal static class RowPlants
{
    private const double DistanceCost = 6;
    private const double LeastDistance = 0.6;
    private const double LargestDistance = 1.5;

    /// <param name="evidence">Along the row.</param>
    /// <param name="spacing">Planting distance in samples, above 4.</param>
    /// <param name="typical">Evidence of the block's typical plant.</param>
    /// <param name="share">Share of it from which a plant is believed.</param>
    public static IReadOnlyList<RowSlot> Choose(float[] evidence, double spacing, double typical, double share)
    {
        int count = evidence.Length;
        if (count == 0)
        {
            return [];
        }

        float[] detail = Detail(evidence, 0.45 * spacing);
        double[] reward = new double[count];
        for (int at = 0; at < count; at++)
        {
            double level = evidence[at] / typical;
            reward[at] =
                level < 0.5 * share
                    ? -0.05
                    : (3.0 * Math.Clamp(detail[at] / typical, -0.5, 0.5)) + (0.5 * (Math.Min(level, 1.2) - share));
        }

        int nearest = Math.Max(1, (int)Math.Round(LeastDistance * spacing));
        int farthest = Math.Max(nearest + 1, (int)Math.Round(LargestDistance * spacing));
        double[] price = new double[farthest + 1];
        for (int gap = nearest; gap <= farthest; gap++)
        {
            double off = (gap - spacing) / spacing;
            price[gap] = DistanceCost * off * off;
        }

        double[] best = new double[count];
        int[] before = new int[count];
        for (int at = 0; at < count; at++)
        {
            // A first slot within one distance of the start is free.
            double top = at <= spacing ? 0 : double.NegativeInfinity;
            int from = -1;
            for (int gap = nearest; gap <= farthest && gap <= at; gap++)
            {
                double value = best[at - gap] - price[gap];
                if (value > top)
                {
                    top = value;
                    from = at - gap;
                }
            }

            best[at] = top + reward[at];
            before[at] = from;
        }

        int last = count - 1;
        for (int at = count - 1; at >= Math.Max(0, count - 1 - spacing); at--)
        {
            last = best[at] > best[last] ? at : last;
        }

        List<RowSlot> slots = [];
        for (int at = last; at >= 0; at = before[at])
        {
            double level = Around(evidence, at, 0.2 * spacing) / typical;
            slots.Add(
                new RowSlot(
                    at,
                    level >= share || (level >= 0.35 * share && StandsOut(evidence, at, spacing, typical, share)),
                    level
                )
            );
        }

        slots.Reverse();
        return slots;
    }

    /// <summary>The profile less its own local mean: peaks above 0, hollows below.</summary>
    public static float[] Detail(float[] evidence, double sigmaSamples)
    {
        float[] mean = new float[evidence.Length];
        GaussianFilter.Smooth<float>(evidence, 1, evidence.Length, sigmaSamples, Border.Nearest, mean);
        for (int at = 0; at < mean.Length; at++)
        {
            mean[at] = evidence[at] - mean[at];
        }

        return mean;
    }

    private static double Around(float[] evidence, int at, double reach)
    {
        float best = 0;
        for (
            int near = Math.Max(0, (int)(at - reach));
            near <= Math.Min(evidence.Length - 1, (int)(at + reach));
            near++
        )
        {
            best = Math.Max(best, evidence[near]);
        }

        return best;
    }

    // A small plant counts when it is a top of its own, not the flank of a neighbour reaching into a gap.
    private static bool StandsOut(float[] evidence, int at, double spacing, double typical, double share)
    {
        int reach = (int)Math.Round(0.25 * spacing);
        int top = at;
        for (int near = Math.Max(0, at - reach); near <= Math.Min(evidence.Length - 1, at + reach); near++)
        {
            top = evidence[near] > evidence[top] ? near : top;
        }

        int far = (int)Math.Round(0.5 * spacing);
        float left = evidence[top];
        float right = evidence[top];
        for (int off = 1; off <= far; off++)
        {
            left = top - off >= 0 ? Math.Min(left, evidence[top - off]) : 0;
            right = top + off < evidence.Length ? Math.Min(right, evidence[top + off]) : 0;
        }

        return evidence[top] - Math.Max(left, right) > 0.2 * share * typical;
    }
}
