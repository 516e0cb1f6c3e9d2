using Hillrow.Numerics.SpatialStatistics;
using Hillrow.Numerics.Statistics;
using Xunit;
using TestResult = Hillrow.Numerics.Statistics.TestResult;

namespace Hillrow.Numerics.Tests.Statistics;

public sealed class ResamplingTests
{
    private static readonly double[] Sample = Draw(400, 7);

    [Fact]
    public void PercentileInterval_AnyThreads_SameBits()
    {
        Interval one = Bootstrap.PercentileInterval(Sample, Quantiles.MedianInPlace, 500, 3);
        Assert.Equal(one, Bootstrap.PercentileInterval(Sample, Quantiles.MedianInPlace, 500, 3, threads: 4));
        Assert.InRange(Quantiles.Median(Sample), one.Low, one.High);
    }

    [Fact]
    public void MeanDifference_SmallSamples_AgreesWithAllArrangements()
    {
        double[] first = [1.2, 3.4, 2.2, 5.1];
        double[] second = [4.4, 6.1, 7.3, 5.9];
        TestResult one = PermutationTest.MeanDifference(first, second, 20000, 5);
        Assert.Equal(one, PermutationTest.MeanDifference(first, second, 20000, 5, threads: 3));

        double[] all = [.. first, .. second];
        int extreme = 0;
        for (int mask = 0; mask < 256; mask++)
        {
            if (int.PopCount(mask) == 4)
            {
                double part = all.Where((_, i) => ((mask >> i) & 1) == 1).Sum();
                extreme += Math.Abs((part / 4) - ((all.Sum() - part) / 4)) >= Math.Abs(one.Statistic) - 1e-12 ? 1 : 0;
            }
        }

        Assert.Equal(extreme / 70.0, one.PValue, 0.01); // 4 standard errors of 20,000 shuffles
    }

    [Fact]
    public void LocalPValues_HotSpot_SmallThereAndThreadFree()
    {
        double[] x = [.. Enumerable.Range(0, 400).Select(i => (double)(i % 20))];
        double[] y = [.. Enumerable.Range(0, 400).Select(i => (double)(i / 20))];
        double[] values = [.. Enumerable.Range(0, 400).Select(i => Sample[i] + (x[i] < 4 && y[i] < 4 ? 4 : 0))];
        NeighbourWeights weights = NeighbourSearch.WithinDistance(x, y, 1.5).WithSelf();
        double[] one = SpatialPermutation.LocalPValues(values, weights, 199, 11);
        Assert.Equal(one, SpatialPermutation.LocalPValues(values, weights, 199, 11, threads: 4));
        Assert.True(one[21] <= 0.02, $"{one[21]}");
    }

    [Fact]
    public void LocalPValues_NormalNoise_NearTheAnalyticOnes()
    {
        double[] x = [.. Enumerable.Range(0, 400).Select(i => (double)(i % 20))];
        double[] y = [.. Enumerable.Range(0, 400).Select(i => (double)(i / 20))];
        NeighbourWeights weights = NeighbourSearch.WithinDistance(x, y, 1.5);
        double[] permuted = SpatialPermutation.LocalPValues(Sample, weights, 1999, 17);
        double[] z = LocalAutocorrelation.Gi(Sample, weights);
        for (int i = 0; i < z.Length; i++)
        {
            // 4 standard errors of 1,999 shuffles, doubled for two tails: 0.09
            Assert.Equal(Hillrow.Numerics.Distributions.NormalDistribution.TwoTails(z[i]), permuted[i], 0.09);
        }
    }

    [Fact]
    public void RunningMoments_MergedOrAtOnce_Agree()
    {
        RunningMoments added = default;
        foreach (double value in Sample)
        {
            added.Add(value);
        }

        double[] many = Draw(100_001, 9);
        Assert.Equal(RunningMoments.Over(many), RunningMoments.Over(many, threads: 4));
        RunningMoments over = RunningMoments.Over(Sample);
        Assert.Equal(over.Mean, added.Mean, 1e-13);
        Assert.Equal(over.Variance, added.Variance, 1e-12);
        Assert.Equal(over.Skewness, added.Skewness, 1e-11);
        Assert.Equal(over.ExcessKurtosis, added.ExcessKurtosis, 1e-11);
        Assert.Equal(UnivariateSummary.Of(Sample).StandardDeviation, over.StandardDeviation, 1e-13);
    }

    [Fact]
    public void SelectInPlace_AnyOrder_IsTheSortedValue()
    {
        SplittableRandom random = new(4);
        for (int round = 0; round < 300; round++)
        {
            int count = 1 + random.NextInt32(60);
            double[] values = [.. Enumerable.Range(0, count).Select(_ => (double)random.NextInt32(1 + (round % 40)))];
            double[] sorted = [.. values.Order()];
            int rank = random.NextInt32(count);
            Assert.Equal(sorted[rank], Quantiles.SelectInPlace(values, rank));
            double p = random.NextDouble();
            Assert.Equal(Quantiles.QuantileOfSorted(sorted, p), Quantiles.Quantile(values, p), 1e-12);
        }
    }

    private static double[] Draw(int count, ulong seed)
    {
        SplittableRandom random = new(seed);
        return [.. Enumerable.Range(0, count).Select(_ => random.NextGaussian())];
    }
}
