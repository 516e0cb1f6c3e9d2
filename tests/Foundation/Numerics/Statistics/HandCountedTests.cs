using Hillrow.Numerics.Statistics;
using Xunit;

namespace Hillrow.Numerics.Tests.Statistics;

/// <summary>Small cases whose answer is counted or solved by hand; the reasoning stands beside each.</summary>
public sealed class HandCountedTests
{
    private const double Tight = 1e-12;

    [Fact]
    public void SignedRank_FiveRises_IsTwoOfThirtyTwoSignPatterns()
    {
        RankTestResult result = RankTests.SignedRank([1, 2, 3, 4, 5]);
        Assert.True(result.Exact);
        Assert.Equal(15, result.Statistic, Tight);
        Assert.Equal(2.0 / 32, result.PValue, Tight);
    }

    [Fact]
    public void MannWhitney_ThreeBelowThree_IsTwoOfTwentyOrders()
    {
        RankTestResult result = RankTests.MannWhitney([1, 2, 3], [4, 5, 6]);
        Assert.True(result.Exact);
        Assert.Equal(0, result.Statistic, Tight);
        Assert.Equal(2.0 / 20, result.PValue, Tight);
    }

    [Fact]
    public void KolmogorovSmirnov_HalfOverlap_DistanceIsCounted()
    {
        // After 2 both of the second sample's lower half are still to come: 2/4 against 0/4.
        Hillrow.Numerics.Statistics.TestResult result = DistributionTests.KolmogorovSmirnov(
            [1, 2, 3, 4],
            [3.5, 4.5, 5, 6]
        );
        Assert.Equal(0.75, result.Statistic, Tight);
        Assert.InRange(result.PValue, 0.05, 0.5);
    }

    [Fact]
    public void ClopperPearson_NoneOfTen_UpperEndSolvesTheBinomial()
    {
        // (1 − p)^10 = 0.025
        Interval interval = ProportionInterval.ClopperPearson(0, 10);
        Assert.Equal(0, interval.Low, Tight);
        Assert.Equal(1 - Math.Pow(0.025, 0.1), interval.High, 1e-10);
    }

    [Fact]
    public void Wilson_DesignEffect_IsTheIntervalOfFewerTrials()
    {
        Interval clumped = ProportionInterval.Wilson(40, 200, designEffect: 4);
        Interval fewer = ProportionInterval.Wilson(10, 50);
        Assert.Equal(fewer.Low, clumped.Low, Tight);
        Assert.Equal(fewer.High, clumped.High, Tight);
    }

    [Fact]
    public void Weighted_EqualWeights_AreThePlainStatistics()
    {
        double[] values = [3, 1, 4, 1, 5, 9, 2, 6];
        double[] weights = [2, 2, 2, 2, 2, 2, 2, 2];
        Assert.Equal(values.Average(), WeightedStatistics.Mean(values, weights), Tight);
        double variance = values.Sum(value => Math.Pow(value - values.Average(), 2)) / (values.Length - 1);
        Assert.Equal(variance, WeightedStatistics.Variance(values, weights), Tight);
        Assert.Equal(8, WeightedStatistics.EffectiveCount(weights), Tight);
        Assert.Equal(Quantiles.Median(values), WeightedStatistics.Quantile(values, weights, 0.5), Tight);
    }

    [Fact]
    public void WeightedQuantile_HeavyValue_Wins() =>
        Assert.Equal(7, WeightedStatistics.Quantile([1, 7, 9], [1, 10, 1], 0.5), Tight);

    [Fact]
    public void Histogram_EdgesAndOutside_AreCountedWhereSaid()
    {
        Histogram histogram = Histogram.Of([-1.0, 0, 0.5, 1, 1.5, 2, 2.5, double.NaN], 0, 2, 2);
        Assert.Equal([2, 3], histogram.Counts);
        Assert.Equal(1, histogram.Below);
        Assert.Equal(1, histogram.Above);
        Assert.Equal(1, histogram.Missing);
        Histogram twice = Histogram.Merge(histogram, histogram);
        Assert.Equal([4, 6], twice.Counts);
        Assert.Equal(10, twice.Total);
    }
}
