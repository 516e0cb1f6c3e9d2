using System.Globalization;
using Hillrow.Numerics.Regression;
using Hillrow.Numerics.Statistics;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground.Statistics;

/// <summary>NIST StRD: univariate, one-way analysis of variance, linear and nonlinear regression.</summary>
public static class NistComparison
{
    public static CheckTally Univariate()
    {
        CheckBook book = CheckBook.Open("statistics", "nist_univariate.json");
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            double[] values = check.In.TryGetProperty("values", out var listed)
                ? listed.Numbers()
                : ByRule(check.In.Text("rule"));
            UnivariateSummary summary = UnivariateSummary.Of(values);
            tally.Compare(check.Id, "n", summary.Count, check.Out.Number("n"), 0);
            tally.Compare(check.Id, "mean", summary.Mean, check.Out.Number("mean"), book.Tolerance("mean"));
            tally.Compare(check.Id, "sd", summary.StandardDeviation, check.Out.Number("sd"), book.Tolerance("sd"));
            if (check.Out.TryGetProperty("lag1_autocorrelation", out var lag))
            {
                tally.Compare(check.Id, "lag 1", summary.Lag1Autocorrelation, lag.Number(), book.Tolerance("sd"));
            }
        }

        return tally;
    }

    public static CheckTally Anova()
    {
        CheckBook book = CheckBook.Open("statistics", "nist_anova.json");
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            double[][] groups = [.. check.In.GetProperty("groups").EnumerateObject().Select(g => g.Value.Numbers())];
            OneWayAnova anova = OneWayAnova.Of(groups);

            // Stated in words in the file: data with 7 and 13 equal leading digits are already rounded.
            double relative = check.Id switch
            {
                _ when check.Id.EndsWith("04") || check.Id.EndsWith("05") || check.Id.EndsWith("06") => 1e-4,
                _ when check.Id.EndsWith("07") || check.Id.EndsWith("08") || check.Id.EndsWith("09") => 1e-1,
                _ => book.Tolerance("F").Relative,
            };
            tally.Compare(check.Id, "df between", anova.BetweenDegrees, check.Out.Number("df_between"), 0);
            tally.Compare(check.Id, "df within", anova.WithinDegrees, check.Out.Number("df_within"), 0);
            tally.Compare(check.Id, "F", anova.F, check.Out.Number("F"), 0, relative);
            tally.Compare(check.Id, "ss between", anova.BetweenSquares, check.Out.Number("ss_between"), 0, relative);
            tally.Compare(check.Id, "ss within", anova.WithinSquares, check.Out.Number("ss_within"), 0, relative);
            tally.Compare(check.Id, "r2", anova.RSquared, check.Out.Number("r2"), 0, relative);
            tally.Compare(
                check.Id,
                "residual sd",
                anova.ResidualDeviation,
                check.Out.Number("residual_sd"),
                0,
                relative
            );
        }

        return tally;
    }

    public static CheckTally Linear()
    {
        CheckBook book = CheckBook.Open("statistics", "nist_linear.json");
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            double[][] rows = check.In.Rows("design_rows");
            LinearFit fit = LinearRegression.Fit(
                [.. rows.SelectMany(row => row)],
                rows[0].Length,
                check.In.Numbers("y")
            );

            // The file asks for 6 to 9 digits, by set; nine are asked of every set here.
            tally.CompareAll(check.Id, "beta", fit.Coefficients, check.Out.Numbers("beta"), (0, 1e-9));

            // A certified zero cannot be met relatively: an exact fit leaves rounding of the last digits.
            tally.CompareAll(
                check.Id,
                "se",
                fit.StandardErrors,
                check.Out.Numbers("se"),
                (1e-12, book.Tolerance("se").Relative)
            );
            tally.Compare(
                check.Id,
                "residual sd",
                fit.Sigma,
                check.Out.Number("residual_sd"),
                1e-12,
                book.Tolerance("residual_sd").Relative
            );
            tally.Compare(check.Id, "r2", fit.RSquared, check.Out.Number("r2"), 0, 1e-9);
        }

        return tally;
    }

    public static CheckTally Nonlinear()
    {
        CheckBook book = CheckBook.Open("statistics", "nist_nonlinear.json");
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            foreach (string start in new[] { "start1", "start2" })
            {
                double[] from = check.In.Numbers(start);
                CurveModel? model = from.Length switch
                {
                    2 => NistCurves.Saturation,
                    3 => NistCurves.Logistic,
                    4 => NistCurves.PowerLogistic,
                    _ => null,
                };
                tally.IsTrue(check.Id, $"no curve for {check.In.Text("model")}", model is not null);
                if (model is null)
                {
                    continue;
                }

                CurveFitResult fit = CurveFit.Fit(model, check.In.Numbers("x"), check.In.Numbers("y"), from);
                tally.IsTrue(check.Id, $"{start}: not converged", fit.Converged);
                tally.CompareAll(
                    check.Id,
                    $"{start}: parameters",
                    fit.Parameters,
                    check.Out.Numbers("params"),
                    book.Tolerance("params")
                );
                tally.CompareAll(
                    check.Id,
                    $"{start}: se",
                    fit.StandardErrors,
                    check.Out.Numbers("se"),
                    book.Tolerance("se")
                );
                tally.Compare(
                    check.Id,
                    $"{start}: rss",
                    fit.ResidualSumOfSquares,
                    check.Out.Number("rss"),
                    book.Tolerance("rss")
                );
            }
        }

        return tally;
    }

    /// <summary>"NumAccK: first value A, then (B, C) repeated N times".</summary>
    private static double[] ByRule(string rule)
    {
        string[] words = rule.Split([' ', ',', '(', ')'], StringSplitOptions.RemoveEmptyEntries);
        double[] numbers =
        [
            .. words
                .Where(word => double.TryParse(word, CultureInfo.InvariantCulture, out _))
                .Select(word => double.Parse(word, CultureInfo.InvariantCulture)),
        ];
        List<double> values = [numbers[0]];
        for (int i = 0; i < (int)numbers[3]; i++)
        {
            values.Add(numbers[1]);
            values.Add(numbers[2]);
        }

        return [.. values];
    }
}
