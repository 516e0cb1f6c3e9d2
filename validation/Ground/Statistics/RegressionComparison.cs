using System.Text.Json;
using Hillrow.Numerics.Regression;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground.Statistics;

/// <summary>Weighted, logistic, robust regression and growth curves.</summary>
public static class RegressionComparison
{
    public static CheckTally Ordinary()
    {
        CheckBook book = CheckBook.Open("statistics", "regression.json");
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            double[] y = check.In.Numbers("y");
            bool line = check.In.TryGetProperty("x", out JsonElement x);
            double[] design = line
                ? LinearRegression.DesignWithConstant(x.Numbers())
                : [.. check.In.Rows("design_rows").SelectMany(row => row)];
            int columns = design.Length / y.Length;
            if (check.Out.TryGetProperty("deviance", out JsonElement deviance))
            {
                // The reference stops at 1e-8 and takes the weights of the step before: its errors are 8e-5 off the limit.
                LogisticFit logistic = LogisticRegression.Fit(design, columns, y, tolerance: 1e-8);
                (double, double) tolerance = book.Tolerance("logit");
                tally.IsTrue(check.Id, "converged", logistic.Converged);
                tally.CompareAll(check.Id, "coef", logistic.Coefficients, check.Out.Numbers("coef"), tolerance);
                tally.CompareAll(check.Id, "se", logistic.StandardErrors, check.Out.Numbers("se"), tolerance);
                tally.Compare(check.Id, "deviance", logistic.Deviance, deviance.Number(), tolerance);
                tally.Compare(
                    check.Id,
                    "null deviance",
                    logistic.NullDeviance,
                    check.Out.Number("null_deviance"),
                    tolerance
                );
                continue;
            }

            double[] weights = [];
            if (check.In.TryGetProperty("weights", out JsonElement given))
            {
                // "1/speed": the one explanatory variable of the cars
                weights =
                    given.ValueKind == JsonValueKind.Array
                        ? given.Numbers()
                        : Array.ConvertAll(x.Numbers(), speed => 1 / speed);
            }

            LinearFit fit = LinearRegression.Fit(design, columns, y, weights);
            tally.CompareAll(check.Id, "coef", fit.Coefficients, check.Out.Numbers("coef"), book.Tolerance("coef"));
            tally.CompareAll(check.Id, "se", fit.StandardErrors, check.Out.Numbers("se"), book.Tolerance("se"));
            tally.Compare(check.Id, "sigma", fit.Sigma, check.Out.Number("sigma"), book.Tolerance("se"));
            tally.Compare(check.Id, "r2", fit.RSquared, check.Out.Number("r2"), book.Tolerance("se"));
        }

        return tally;
    }

    public static CheckTally Robust()
    {
        CheckBook book = CheckBook.Open("statistics", "robust_regression.json");
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            string data = check.In.Text("data");
            double[][] variables =
            [
                .. book
                    .Common.GetProperty("data")
                    .GetProperty(data)
                    .EnumerateObject()
                    .Select(variable => variable.Value.Numbers()),
            ];
            string[] names =
            [
                .. book
                    .Common.GetProperty("data")
                    .GetProperty(data)
                    .EnumerateObject()
                    .Select(variable => variable.Name),
            ];

            // "response ~ a + b"
            string[] formula = book
                .Common.GetProperty("formulas")
                .Text(data)
                .Split('~', StringSplitOptions.TrimEntries);
            double[] y = variables[Array.IndexOf(names, formula[0])];
            string[] terms = formula[1].Split('+', StringSplitOptions.TrimEntries);
            List<double> design = [];
            for (int row = 0; row < y.Length; row++)
            {
                design.Add(1);
                design.AddRange(terms.Select(term => variables[Array.IndexOf(names, term)][row]));
            }

            string psi = check.In.Text("psi");
            RobustLoss loss = psi switch
            {
                _ when psi.StartsWith("huber") => new HuberLoss(),
                _ when psi.StartsWith("bisquare") => new BisquareLoss(),
                _ => new HampelLoss(),
            };
            RobustFit fit = RobustRegression.Fit([.. design], terms.Length + 1, y, loss);
            tally.IsTrue(check.Id, "converged", fit.Converged);
            tally.CompareAll(check.Id, "coef", fit.Coefficients, check.Out.Numbers("coef"), book.Tolerance("coef"));
            tally.Compare(check.Id, "scale", fit.Scale, check.Out.Number("scale"), book.Tolerance("scale"));
            tally.CompareAll(check.Id, "weights", fit.Weights, check.Out.Numbers("weights"), book.Tolerance("weights"));
            tally.CompareAll(check.Id, "se", fit.StandardErrors, check.Out.Numbers("se"), book.Tolerance("se"));
        }

        return tally;
    }

    public static CheckTally Growth()
    {
        CheckBook book = CheckBook.Open("statistics", "growth_curves.json");
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            GrowthCurveKind kind = check.In.Text("model") switch
            {
                "logistic" => GrowthCurveKind.Logistic,
                "gompertz" => GrowthCurveKind.Gompertz,
                _ => GrowthCurveKind.Asymptotic,
            };
            CurveFitResult fit = GrowthCurve.Fit(kind, check.In.Numbers("x"), check.In.Numbers("y"));
            double[] parameters =
            [
                .. check.Out.GetProperty("params").EnumerateObject().Select(parameter => parameter.Value.Number()),
            ];
            tally.IsTrue(check.Id, "converged", fit.Converged);
            tally.CompareAll(check.Id, "parameters", fit.Parameters, parameters, book.Tolerance("params"));
            tally.CompareAll(check.Id, "se", fit.StandardErrors, check.Out.Numbers("se"), book.Tolerance("se"));
            tally.Compare(check.Id, "rss", fit.ResidualSumOfSquares, check.Out.Number("rss"), book.Tolerance("rss"));
            tally.Compare(check.Id, "sigma", fit.Sigma, check.Out.Number("sigma"), book.Tolerance("rss"));
            tally.Compare(check.Id, "aic", fit.Akaike, check.Out.Number("aic"), book.Tolerance("rss"));
        }

        return tally;
    }
}
