using System.Globalization;
using System.Text.Json;
using Hillrow.Numerics.Regression;
using Hillrow.Numerics.Statistics;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground.Statistics;

/// <summary>Before–after, control–impact: plots, and the mixed, within-subject and change models.</summary>
public static class BaciComparison
{
    public static CheckTally Compare()
    {
        CheckBook book = CheckBook.Open("statistics", "baci.json");
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            if (check.In.TryGetProperty("rows_group_plot_period_date_value", out JsonElement rows))
            {
                Plots(book, check, rows, tally);
            }
            else if (check.In.Text("data") == "anorexia")
            {
                Models(book, check, Anorexia(book.Common.GetProperty("anorexia")), tally);
            }
            else
            {
                Models(book, check, Table(book.Common.GetProperty(check.In.Text("data"))), tally);
            }
        }

        return tally;
    }

    private static void Plots(CheckBook book, CheckCase check, JsonElement rows, CheckTally tally)
    {
        List<PlotMeasurement> measurements = [];
        Dictionary<string, int> plots = new(StringComparer.Ordinal);
        foreach (JsonElement row in rows.EnumerateArray())
        {
            string plot = row[1].ToString();
            plots.TryAdd(plot, plots.Count);
            measurements.Add(
                new PlotMeasurement(row[0].Number() > 0.5, plots[plot], row[2].Number() > 0.5, row[4].Number())
            );
        }

        StudentTestResult result = BeforeAfterControlImpact.OfPlots(measurements);
        (double, double) tolerance = book.Tolerance("estimates");
        tally.Compare(check.Id, "effect", result.Estimate, check.Out.Number("effect"), tolerance);
        tally.Compare(check.Id, "se", result.StandardError, check.Out.Number("se"), tolerance);
        tally.Compare(check.Id, "t", result.Statistic, check.Out.Number("t"), tolerance);
        tally.Compare(check.Id, "df", result.Degrees, check.Out.Number("df"), tolerance);
        tally.Compare(check.Id, "p", result.PValue, check.Out.Number("p"), book.Tolerance("p"));
        tally.CompareAll(check.Id, "ci", [result.Low, result.High], check.Out.Numbers("ci95"), tolerance);
    }

    /// <summary>Every fitted model in the output that has names of coefficients; the design follows from the names.</summary>
    private static void Models(CheckBook book, CheckCase check, Dictionary<string, string[]> table, CheckTally tally)
    {
        foreach (JsonProperty model in check.Out.EnumerateObject())
        {
            if (model.Value.ValueKind != JsonValueKind.Object || !model.Value.TryGetProperty("names", out var named))
            {
                Means(book, check, table, model, tally);
                continue;
            }

            string[] names = named.Texts();
            (double[] estimates, double[] errors, double degrees, double[] deviations) = model.Name.StartsWith("change")
                ? Change(table, names)
                : Fit(table, names, mixed: model.Value.EnumerateObject().Any(p => p.Name.StartsWith("sd_")));
            tally.CompareAll(
                check.Id,
                $"{model.Name} est",
                estimates,
                model.Value.Numbers("est"),
                book.Tolerance("estimates")
            );
            tally.CompareAll(
                check.Id,
                $"{model.Name} se",
                errors,
                model.Value.Numbers("se"),
                book.Tolerance("estimates")
            );
            if (deviations.Length > 0)
            {
                foreach (JsonProperty sd in model.Value.EnumerateObject().Where(p => p.Name.StartsWith("sd_")))
                {
                    double got = sd.Name.Contains("resid", StringComparison.Ordinal) ? deviations[1] : deviations[0];
                    tally.Compare(check.Id, sd.Name, got, sd.Value.Number(), book.Tolerance("lmer_sd"));
                }

                if (model.Value.TryGetProperty("reml_criterion", out JsonElement criterion))
                {
                    tally.Compare(
                        check.Id,
                        "criterion",
                        deviations[2],
                        criterion.Number(),
                        book.Tolerance("estimates")
                    );
                }
            }
            else if (model.Value.TryGetProperty("p", out JsonElement p))
            {
                double[] got =
                [
                    .. estimates.Select(
                        (estimate, i) =>
                            Hillrow.Numerics.Distributions.StudentTDistribution.TwoTails(estimate / errors[i], degrees)
                    ),
                ];
                tally.CompareAll(check.Id, $"{model.Name} p", got, p.Numbers(), book.Tolerance("p"));
            }

            if (model.Value.TryGetProperty("df", out JsonElement df) && df.ValueKind == JsonValueKind.Number)
            {
                tally.Compare(check.Id, $"{model.Name} df", degrees, df.Number(), 0);
            }
        }
    }

    private static void Means(
        CheckBook book,
        CheckCase check,
        Dictionary<string, string[]> table,
        JsonProperty model,
        CheckTally tally
    )
    {
        if (model.Name != "effect_by_means")
        {
            tally.IsTrue(check.Id, $"no comparison for {model.Name}", holds: false);
            return;
        }

        foreach (JsonProperty effect in model.Value.EnumerateObject())
        {
            double change = MeanChange(table, effect.Name) - MeanChange(table, "Cont");
            tally.Compare(check.Id, effect.Name, change, effect.Value.Number(), book.Tolerance("estimates"));
        }
    }

    private static double MeanChange(Dictionary<string, string[]> table, string group)
    {
        RunningMoments before = default;
        RunningMoments after = default;
        for (int row = 0; row < table["y"].Length; row++)
        {
            if (table["Treat"][row] == group && table["period"][row] == "after")
            {
                after.Add(Parse(table["y"][row]));
            }
            else if (table["Treat"][row] == group)
            {
                before.Add(Parse(table["y"][row]));
            }
        }

        return after.Mean - before.Mean;
    }

    private static (double[] Estimates, double[] Errors, double Degrees, double[] Deviations) Fit(
        Dictionary<string, string[]> table,
        string[] names,
        bool mixed
    )
    {
        double[] design = Design(table, names);
        double[] y = Array.ConvertAll(table["y"], Parse);
        int[] subjects = CheckValues.Levels(table["subject"]);
        if (mixed)
        {
            RandomInterceptFit fit = RandomInterceptModel.Fit(design, names.Length, y, subjects);
            return (
                fit.Coefficients,
                fit.StandardErrors,
                double.NaN,
                [fit.SubjectDeviation, fit.ResidualDeviation, fit.RestrictedCriterion]
            );
        }

        LinearFit within = BeforeAfterControlImpact.WithinSubjects(design, names.Length, y, subjects);
        return (within.Coefficients, within.StandardErrors, within.ResidualDegrees, []);
    }

    private static (double[] Estimates, double[] Errors, double Degrees, double[] Deviations) Change(
        Dictionary<string, string[]> table,
        string[] names
    )
    {
        int half = table["y"].Length / 2;
        Dictionary<string, string[]> first = table.ToDictionary(
            entry => entry.Key,
            entry => entry.Value[..half],
            StringComparer.Ordinal
        );
        double[] y = Array.ConvertAll(table["y"], Parse);
        double[] change = new double[half];
        for (int i = 0; i < half; i++)
        {
            change[i] = y[half + i] - y[i];
        }

        LinearFit fit = LinearRegression.Fit(Design(first, names), names.Length, change);
        return (fit.Coefficients, fit.StandardErrors, fit.ResidualDegrees, []);
    }

    /// <summary>"a:bLevel" is the product of variable a and the indicator of Level in b.</summary>
    private static double[] Design(Dictionary<string, string[]> table, string[] names)
    {
        int rows = table["y"].Length;
        double[] design = new double[rows * names.Length];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < names.Length; column++)
            {
                double product = 1;
                foreach (string part in names[column].Split(':'))
                {
                    product *= Factor(table, part, row);
                }

                design[(row * names.Length) + column] = product;
            }
        }

        return design;
    }

    private static double Factor(Dictionary<string, string[]> table, string part, int row)
    {
        if (part == "(Intercept)")
        {
            return 1;
        }

        foreach ((string name, string[] values) in table)
        {
            if (part.Equals(name, StringComparison.OrdinalIgnoreCase))
            {
                return Parse(values[row]);
            }

            if (part.StartsWith($"I({name} - ", StringComparison.OrdinalIgnoreCase))
            {
                return Parse(values[row]) - Parse(part[(name.Length + 5)..^1]);
            }

            if (part.StartsWith(name, StringComparison.OrdinalIgnoreCase))
            {
                return part[name.Length..].Equals(values[row], StringComparison.Ordinal) ? 1 : 0;
            }
        }

        throw new InvalidDataException($"No variable for the coefficient {part}.");
    }

    /// <summary>Two rows a person: all before, then all after.</summary>
    private static Dictionary<string, string[]> Anorexia(JsonElement data)
    {
        string[] group = data.GetProperty("Treat").Texts();
        string[] numbers = [.. Enumerable.Range(0, group.Length).Select(i => i.ToString(CultureInfo.InvariantCulture))];
        return new Dictionary<string, string[]>(StringComparer.Ordinal)
        {
            ["Treat"] = [.. group, .. group],
            ["period"] = [.. group.Select(_ => "before"), .. group.Select(_ => "after")],
            ["subject"] = [.. numbers, .. numbers],
            ["y"] = [.. data.GetProperty("before").Texts(), .. data.GetProperty("after").Texts()],
        };
    }

    private static Dictionary<string, string[]> Table(JsonElement data)
    {
        Dictionary<string, string[]> table = data.EnumerateObject()
            .ToDictionary(variable => variable.Name, variable => variable.Value.Texts(), StringComparer.Ordinal);
        table["y"] = table["distance"];
        return table;
    }

    private static double Parse(string text) => double.Parse(text, CultureInfo.InvariantCulture);
}
