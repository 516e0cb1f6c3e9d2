using System.Globalization;
using Hillrow.Numerics.Distributions;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Numerics.Tests.Distributions;

public sealed class Distributions_MpmathTests
{
    private const double Relative = 1e-12; // asked of the room, tails included

    [Fact]
    public void Tails_EveryRow_HoldTwelveDigits()
    {
        CheckTally tally = new();
        foreach (string line in File.ReadLines(RepositoryFiles.Reference("distributions", "distributions.csv")).Skip(1))
        {
            string[] cells = line.Split(',');
            double[] n = [.. cells.Skip(1).Select(cell => double.Parse(cell, CultureInfo.InvariantCulture))];
            (double a, double b, double x, double want) = (n[0], n[1], n[2], n[3]);
            double got = cells[0] switch
            {
                "normal" => NormalDistribution.UpperTail(x),
                "t" => StudentTDistribution.UpperTail(x, a),
                "f" => FisherFDistribution.UpperTail(x, a, b),
                "chi2" => ChiSquaredDistribution.UpperTail(x, a),
                "beta" => BetaDistribution.LowerTail(x, a, b),
                "gammaLower" => GammaDistribution.LowerTail(x, a, 1),
                "logGamma" => GammaFunctions.LogGamma(x),
                "binomialLower" => BinomialDistribution.LowerTail((int)b, (int)a, x),
                "poissonLower" => PoissonDistribution.LowerTail((int)a, x),
                _ => double.NaN,
            };
            tally.Compare(line, cells[0], got, want, cells[0] == "logGamma" ? 1e-14 : 0, Relative);
        }

        Assert.True(tally.CaseCount > 50);
        Assert.True(tally.Failures.Count == 0, tally.Report());
    }

    [Theory]
    [InlineData(1e-200)]
    [InlineData(1e-9)]
    [InlineData(0.02)]
    [InlineData(0.3)]
    [InlineData(0.5)]
    [InlineData(0.7)]
    public void UpperQuantile_OfAnyTail_ComesBack(double q)
    {
        Near(q, NormalDistribution.UpperTail(NormalDistribution.UpperQuantile(q)));
        foreach (double degrees in (double[])[0.7, 1, 4, 33.3, 5000])
        {
            Near(q, StudentTDistribution.UpperTail(StudentTDistribution.UpperQuantile(q, degrees), degrees));
            Near(q, ChiSquaredDistribution.UpperTail(ChiSquaredDistribution.UpperQuantile(q, degrees), degrees));
            Near(q, BetaDistribution.LowerTail(BetaDistribution.Quantile(q, degrees, 2.5), degrees, 2.5));
        }
    }

    [Fact]
    public void Quantile_OutsideZeroToOne_Throws()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => NormalDistribution.Quantile(1.1));
        Assert.Throws<ArgumentOutOfRangeException>(() => ChiSquaredDistribution.Quantile(double.NaN, 3));
    }

    // Harter 1960: the published 5 % points of the studentised range, to the digits printed.
    [Theory]
    [InlineData(3, 10, 3.877)]
    [InlineData(2, 5, 3.635)]
    [InlineData(10, 20, 5.008)]
    public void StudentizedRange_FivePercentPoint_IsThePublishedOne(int means, double degrees, double wanted) =>
        Assert.Equal(wanted, StudentizedRangeDistribution.UpperQuantile(0.05, means, degrees), 0.0006);

    private static void Near(double want, double got) =>
        Assert.True(Math.Abs(got - want) <= 1e-11 * want, FormattableString.Invariant($"{got:R} for {want:R}"));
}
