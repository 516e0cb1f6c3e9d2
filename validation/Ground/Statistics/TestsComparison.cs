using System.Text.Json;
using Hillrow.Numerics.Regression;
using Hillrow.Numerics.Statistics;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground.Statistics;

/// <summary>Tests of means, ranks, spread, trend; two proportions; adjusted p.</summary>
public static class TestsComparison
{
    /// <summary>The reference iterates its odds ratio to eps^¼ only (up to 4e-4 off the limit), by the same root finder.</summary>
    private static readonly double ReferenceOddsTolerance = Math.Pow(2.220446049250313e-16, 0.25);

    public static CheckTally Tests()
    {
        CheckBook book = CheckBook.Open("statistics", "tests.json");
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            if (check.Id.StartsWith("trend"))
            {
                Trend(book, check, tally);
            }
            else if (check.Out.TryGetProperty("term", out _))
            {
                Anova(book, check, tally);
            }
            else if (check.Out.TryGetProperty("pair", out _))
            {
                Tukey(book, check, tally);
            }
            else if (check.Out.TryGetProperty("t", out _))
            {
                Means(book, check, tally);
            }
            else
            {
                Single(book, check, tally);
            }
        }

        return tally;
    }

    public static CheckTally Proportions()
    {
        CheckBook book = CheckBook.Open("statistics", "two_proportions.json");
        CheckTally tally = new();
        (double, double) tolerance = book.Tolerance("all");
        foreach (CheckCase check in book.Cases)
        {
            double[] x = check.In.Numbers("x");
            double[] n = check.In.Numbers("n");
            if (x.Length > 2)
            {
                double[] counts = [.. x.Zip(n, (yes, all) => new[] { yes, all - yes }).SelectMany(row => row)];
                TestResult several = DistributionTests.ChiSquaredIndependence(counts, x.Length, 2);
                tally.Compare(check.Id, "chisq", several.Statistic, check.Out.Number("chisq"), tolerance);
                tally.Compare(check.Id, "p", several.PValue, check.Out.Number("p"), tolerance);
                continue;
            }

            TwoProportions two = new((int)x[0], (int)n[0], (int)x[1], (int)n[1]);
            Interval wilson1 = ProportionInterval.Wilson(x[0], n[0]);
            Interval wilson2 = ProportionInterval.Wilson(x[1], n[1]);
            Dictionary<string, double[]> got = new(StringComparer.Ordinal)
            {
                ["chisq"] = [two.ChiSquared().Statistic],
                ["p"] = [two.ChiSquared().PValue],
                ["ci_wald"] = [two.Wald().Low, two.Wald().High],
                ["chisq_yates"] = [two.ChiSquaredYates().Statistic],
                ["p_yates"] = [two.ChiSquaredYates().PValue],
                ["ci_wald_cc"] = [two.Wald(continuityCorrected: true).Low, two.Wald(continuityCorrected: true).High],
                ["z_pooled"] = [two.PooledZ],
                ["fisher_p"] = [two.FisherPValue()],
                ["fisher_or"] = [two.ConditionalOddsRatio(ReferenceOddsTolerance)],
                ["wilson1"] = [wilson1.Low, wilson1.High],
                ["wilson2"] = [wilson2.Low, wilson2.High],
                ["newcombe"] = [two.Newcombe().Low, two.Newcombe().High],
                ["diff"] = [two.Difference],
            };
            foreach (JsonProperty wanted in check.Out.EnumerateObject())
            {
                double[] want =
                    wanted.Value.ValueKind == JsonValueKind.Array ? wanted.Value.Numbers() : [wanted.Value.Number()];
                (double, double) allowed = wanted.Name.StartsWith("fisher") ? book.Tolerance("fisher") : tolerance;
                tally.CompareAll(check.Id, wanted.Name, got.GetValueOrDefault(wanted.Name, []), want, allowed);
            }
        }

        return tally;
    }

    public static CheckTally AdjustedP()
    {
        CheckBook book = CheckBook.Open("statistics", "p_adjust.json");
        CheckTally tally = new();
        (double, double) tolerance = book.Tolerance("all");
        foreach (CheckCase check in book.Cases)
        {
            double[] p = check.In.Numbers("p");
            double[] discovery = MultipleComparisons.BenjaminiHochberg(p);
            tally.CompareAll(check.Id, "BH", discovery, check.Out.Numbers("BH"), tolerance);
            tally.CompareAll(
                check.Id,
                "BY",
                MultipleComparisons.BenjaminiYekutieli(p),
                check.Out.Numbers("BY"),
                tolerance
            );
            tally.CompareAll(check.Id, "Holm", MultipleComparisons.Holm(p), check.Out.Numbers("holm"), tolerance);
            tally.CompareAll(
                check.Id,
                "Bonferroni",
                MultipleComparisons.Bonferroni(p),
                check.Out.Numbers("bonferroni"),
                tolerance
            );
            tally.Compare(
                check.Id,
                "rejected",
                discovery.Count(value => value <= 0.05),
                check.Out.Number("rejected_BH_05"),
                0
            );
        }

        return tally;
    }

    private static void Trend(CheckBook book, CheckCase check, CheckTally tally)
    {
        double[] y = check.In.Numbers("y");
        double[] x = check.In.TryGetProperty("x", out JsonElement given)
            ? given.Numbers()
            : [.. Enumerable.Range(0, y.Length).Select(i => (double)i)];
        TheilSenLine line = TheilSenLine.Fit(x, y);
        double pearson = Correlation.Pearson(x, y);
        (double, double) tolerance = book.Tolerance("statistic");
        tally.Compare(check.Id, "Theil-Sen", line.Slope, check.Out.Number("theil_sen"), tolerance);
        tally.Compare(check.Id, "intercept", line.Intercept, check.Out.Number("intercept_median"), tolerance);
        tally.Compare(check.Id, "tau", Correlation.KendallTauB(x, y), check.Out.Number("kendall_tau_b"), tolerance);
        tally.Compare(check.Id, "Spearman", Correlation.Spearman(x, y), check.Out.Number("spearman"), tolerance);
        tally.Compare(check.Id, "Pearson", pearson, check.Out.Number("pearson"), tolerance);
        tally.Compare(
            check.Id,
            "Pearson p",
            Correlation.PearsonPValue(pearson, y.Length),
            check.Out.Number("pearson_p"),
            book.Tolerance("p")
        );
    }

    /// <summary>The analysis by the terms that the case lists: "a:b" crosses the factors a and b.</summary>
    private static void Anova(CheckBook book, CheckCase check, CheckTally tally)
    {
        JsonElement data = book.Common.GetProperty(check.In.Text("data"));
        List<string> names = [];
        List<int[]> factors = [];
        double[] response = [];
        foreach (JsonProperty variable in data.EnumerateObject())
        {
            if (variable.Name is "yield" or "weight" or "breaks")
            {
                response = variable.Value.Numbers();
            }
            else
            {
                names.Add(variable.Name);
                factors.Add(CheckValues.Levels(variable.Value.Texts()));
            }
        }

        List<(string, int[])> terms = [];
        string[] wanted = check.Out.GetProperty("term").Texts();
        foreach (string term in wanted.SkipLast(1))
        {
            terms.Add((term.Trim(), [.. term.Trim().Split(':').Select(name => names.IndexOf(name))]));
        }

        IReadOnlyList<AnovaTerm> lines = FactorialAnova.Of(response, factors, terms);
        (double, double) tolerance = book.Tolerance("statistic");
        tally.CompareAll(
            check.Id,
            "df",
            [.. lines.Select(line => (double)line.Degrees)],
            check.Out.Numbers("df"),
            (0, 0)
        );
        tally.CompareAll(check.Id, "ss", [.. lines.Select(line => line.Squares)], check.Out.Numbers("ss"), tolerance);
        tally.CompareAll(
            check.Id,
            "ms",
            [.. lines.Select(line => line.MeanSquare)],
            check.Out.Numbers("ms"),
            tolerance
        );
        tally.CompareAll(check.Id, "F", [.. lines.Select(line => line.F)], check.Out.Numbers("F"), tolerance);
        tally.CompareAll(
            check.Id,
            "p",
            [.. lines.Select(line => line.PValue)],
            check.Out.Numbers("p"),
            book.Tolerance("p")
        );
    }

    private static void Tukey(CheckBook book, CheckCase check, CheckTally tally)
    {
        JsonElement data = book.Common.GetProperty(check.In.Text("data"));
        IReadOnlyList<PairDifference> pairs = OneWayAnova
            .Of(Groups(data.Numbers("weight"), data.GetProperty("group").Texts()))
            .HonestDifferences();

        // The interval rests on the studentised range, whose quantile the reference iterates to the tolerance of its p.
        (double, double) range = book.Tolerance("tukey_p");
        tally.CompareAll(
            check.Id,
            "diff",
            [.. pairs.Select(pair => pair.Difference)],
            check.Out.Numbers("diff"),
            book.Tolerance("statistic")
        );
        tally.CompareAll(check.Id, "lwr", [.. pairs.Select(pair => pair.Low)], check.Out.Numbers("lwr"), range);
        tally.CompareAll(check.Id, "upr", [.. pairs.Select(pair => pair.High)], check.Out.Numbers("upr"), range);
        tally.CompareAll(check.Id, "p", [.. pairs.Select(pair => pair.PValue)], check.Out.Numbers("p"), range);
    }

    private static void Means(CheckBook book, CheckCase check, CheckTally tally)
    {
        JsonElement data = book.Common.GetProperty(check.In.Text("data"));
        double[] first = data.Numbers("g1");
        double[] second = data.Numbers("g2");
        StudentTestResult result = check.Id switch
        {
            _ when check.Id.Contains("one_sample_g1", StringComparison.Ordinal) => StudentTests.OneSample(first),
            _ when check.Id.Contains("one_sample", StringComparison.Ordinal) => StudentTests.OneSample(second),
            _ when check.Id.Contains("paired", StringComparison.Ordinal) => StudentTests.Paired(first, second),
            _ when check.Id.Contains("welch", StringComparison.OrdinalIgnoreCase) => StudentTests.Welch(first, second),
            _ => StudentTests.Pooled(first, second),
        };
        (double, double) tolerance = book.Tolerance("statistic");
        tally.Compare(check.Id, "t", result.Statistic, check.Out.Number("t"), tolerance);
        tally.Compare(check.Id, "df", result.Degrees, check.Out.Number("df"), tolerance);
        tally.Compare(check.Id, "p", result.PValue, check.Out.Number("p"), book.Tolerance("p"));
        tally.CompareAll(check.Id, "ci", [result.Low, result.High], check.Out.Numbers("ci"), tolerance);
    }

    private static void Single(CheckBook book, CheckCase check, CheckTally tally)
    {
        JsonElement data = book.Common.GetProperty(check.In.Text("data"));
        (double statistic, double p) = check.Id switch
        {
            "plantgrowth-kruskal" => Pair(
                RankTests.KruskalWallis(data.Numbers("weight"), CheckValues.Levels(data.GetProperty("group").Texts()))
            ),
            "plantgrowth-bartlett" => Pair(
                DistributionTests.Bartlett(Groups(data.Numbers("weight"), data.GetProperty("group").Texts()))
            ),
            "plantgrowth-shapiro_resid" => Pair(DistributionTests.ShapiroWilk(Residuals(data))),
            _ when check.Id.StartsWith("sleep-wilcoxon") && check.Out.TryGetProperty("V", out _) => Pair(
                RankTests.SignedRank(
                    [.. data.Numbers("g1").Zip(data.Numbers("g2"), (a, b) => a - b)],
                    allowExact: false
                )
            ),
            _ when check.Id.StartsWith("sleep-wilcoxon") => Pair(
                RankTests.MannWhitney(data.Numbers("g1"), data.Numbers("g2"), allowExact: false)
            ),
            _ => (double.NaN, double.NaN),
        };
        JsonProperty named = check.Out.EnumerateObject().First(property => property.Name != "p");
        tally.Compare(check.Id, named.Name, statistic, named.Value.Number(), book.Tolerance("statistic"));
        tally.Compare(check.Id, "p", p, check.Out.Number("p"), book.Tolerance("p"));
    }

    private static double[] Residuals(JsonElement data)
    {
        double[][] groups = Groups(data.Numbers("weight"), data.GetProperty("group").Texts());
        return [.. groups.SelectMany(group => group.Select(value => value - group.Average()))];
    }

    private static (double Statistic, double PValue) Pair(RankTestResult result) => (result.Statistic, result.PValue);

    private static (double Statistic, double PValue) Pair(TestResult result) => (result.Statistic, result.PValue);

    private static double[][] Groups(double[] values, string[] groups) =>
        [
            .. values
                .Zip(groups)
                .GroupBy(pair => pair.Second, StringComparer.Ordinal)
                .Select(group => group.Select(pair => pair.First).ToArray()),
        ];
}
