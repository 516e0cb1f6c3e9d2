using Hillrow.Numerics.Distributions;
using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.Statistics;

/// <summary>One-way analysis of variance and what goes with it.</summary>
public sealed record OneWayAnova(
    double BetweenSquares,
    double WithinSquares,
    int BetweenDegrees,
    int WithinDegrees,
    double[] Means,
    int[] Counts
)
{
    public double BetweenMeanSquare => BetweenSquares / BetweenDegrees;

    public double WithinMeanSquare => WithinSquares / WithinDegrees;

    public double F => BetweenMeanSquare / WithinMeanSquare;

    public double PValue => FisherFDistribution.UpperTail(F, BetweenDegrees, WithinDegrees);

    public double RSquared => BetweenSquares / (BetweenSquares + WithinSquares);

    public double ResidualDeviation => Math.Sqrt(WithinMeanSquare);

    /// <summary>Compares the means of groups; sums in double-double arithmetic, so that 13 equal leading digits do no harm.</summary>
    /// <exception cref="ArgumentException">Fewer than two groups, an empty group, or no degrees of freedom within.</exception>
    /// <remarks>Source: Fisher 1925, Statistical Methods for Research Workers.</remarks>
    public static OneWayAnova Of(IReadOnlyList<double[]> groups)
    {
        ArgumentNullException.ThrowIfNull(groups);
        int total = 0;
        DoubleDouble grand = DoubleDouble.Zero;
        DoubleDouble[] means = new DoubleDouble[groups.Count];
        DoubleDouble within = DoubleDouble.Zero;
        for (int g = 0; g < groups.Count; g++)
        {
            Finite.Check(groups[g], nameof(groups));
            if (groups[g].Length == 0)
            {
                throw new ArgumentException($"Group {g} is empty.", nameof(groups));
            }

            DoubleDouble sum = DoubleDouble.Total(groups[g]);
            grand += sum;
            total += groups[g].Length;
            means[g] = sum / groups[g].Length;
            foreach (double value in groups[g])
            {
                DoubleDouble difference = value - means[g];
                within += difference * difference;
            }
        }

        if (groups.Count < 2 || total <= groups.Count)
        {
            throw new ArgumentException(
                $"{total} values in {groups.Count} groups: two groups and more values than groups are needed.",
                nameof(groups)
            );
        }

        grand /= total;
        DoubleDouble between = DoubleDouble.Zero;
        for (int g = 0; g < groups.Count; g++)
        {
            DoubleDouble difference = means[g] - grand;
            between += difference * difference * groups[g].Length;
        }

        return new OneWayAnova(
            between.ToDouble(),
            within.ToDouble(),
            groups.Count - 1,
            total - groups.Count,
            Array.ConvertAll(means, mean => mean.ToDouble()),
            [.. groups.Select(group => group.Length)]
        );
    }

    /// <summary>Tukey's honest significant differences (Tukey–Kramer for unequal counts), pairs (later − earlier) in order.</summary>
    /// <remarks>Sources: Tukey 1949 (doi 10.2307/3001913); Kramer 1956 (doi 10.2307/3001469).</remarks>
    public IReadOnlyList<PairDifference> HonestDifferences(double confidence = 0.95)
    {
        double critical = StudentizedRangeDistribution.UpperQuantile(1 - confidence, Means.Length, WithinDegrees);
        List<PairDifference> pairs = [];
        for (int first = 0; first < Means.Length; first++)
        {
            for (int second = first + 1; second < Means.Length; second++)
            {
                double difference = Means[second] - Means[first];
                double error = Math.Sqrt(WithinMeanSquare / 2 * ((1.0 / Counts[first]) + (1.0 / Counts[second])));
                double p = StudentizedRangeDistribution.UpperTail(
                    Math.Abs(difference) / error,
                    Means.Length,
                    WithinDegrees
                );
                double reach = critical * error;
                pairs.Add(new PairDifference(first, second, difference, difference - reach, difference + reach, p));
            }
        }

        return pairs;
    }
}

/// <summary>Mean(second) − mean(first) with a simultaneous interval and p.</summary>
public sealed record PairDifference(int First, int Second, double Difference, double Low, double High, double PValue);
