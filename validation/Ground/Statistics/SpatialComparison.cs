using System.Text.Json;
using Hillrow.Numerics.SpatialStatistics;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground.Statistics;

/// <summary>Global and local spatial autocorrelation.</summary>
public static class SpatialComparison
{
    public static CheckTally Global()
    {
        CheckBook book = CheckBook.Open("statistics", "spatial_global.json");
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            JsonElement data = book.Common.GetProperty(check.In.Text("data"));
            NeighbourWeights weights = NeighbourWeights.Binary(data.Lists("neighbours"));
            if (check.In.Text("weights") != "binary")
            {
                weights = weights.RowStandardised();
            }

            string statistic = check.In.Text("statistic");
            if (statistic.StartsWith("joincount"))
            {
                Check(book, check, "count", "", Joins(statistic, data, weights), tally);
                continue;
            }

            double[] values = data.Numbers(check.In.Text("variable"));
            switch (statistic)
            {
                case "moran":
                    Check(book, check, "I", "_randomisation", GlobalAutocorrelation.Moran(values, weights), tally);
                    Check(
                        book,
                        check,
                        "I",
                        "_normality",
                        GlobalAutocorrelation.Moran(values, weights, SpatialNull.Normality),
                        tally
                    );
                    break;
                case "geary":
                    Check(book, check, "C", "_randomisation", GlobalAutocorrelation.Geary(values, weights), tally);
                    Check(
                        book,
                        check,
                        "C",
                        "_normality",
                        GlobalAutocorrelation.Geary(values, weights, SpatialNull.Normality),
                        tally
                    );
                    break;
                case "getis_G":
                    Check(book, check, "G", "", GlobalAutocorrelation.GeneralG(values, weights), tally);
                    break;
                default:
                    tally.IsTrue(check.Id, $"no comparison for {statistic}", holds: false);
                    break;
            }
        }

        return tally;
    }

    public static CheckTally Local()
    {
        CheckBook book = CheckBook.Open("statistics", "spatial_local.json");
        CheckTally tally = new();
        JsonElement data = book.Common.GetProperty("columbus");
        NeighbourWeights binary = NeighbourWeights.Binary(data.Lists("neighbours"));
        double[] crime = data.Numbers("CRIME");
        double[] worth = data.Numbers("HOVAL");
        LocalMoran[] conditional = LocalAutocorrelation.Moran(crime, binary.RowStandardised());
        LocalMoran[] total = LocalAutocorrelation.Moran(crime, binary.RowStandardised(), LocalNull.Total);
        LocalMoran[] income = LocalAutocorrelation.Moran(data.Numbers("INC"), binary);
        double[] star = LocalAutocorrelation.GiStar(crime, binary.WithSelf());
        double[] plain = LocalAutocorrelation.Gi(crime, binary);
        double[] worthStar = LocalAutocorrelation.GiStar(worth, binary.WithSelf());
        foreach (CheckCase check in book.Cases)
        {
            int i = check.In.GetProperty("region").GetInt32();
            Dictionary<string, double> got = new(StringComparer.Ordinal)
            {
                ["CRIME_W_Ii"] = conditional[i].Statistic,
                ["CRIME_W_E"] = conditional[i].Expected,
                ["CRIME_W_Var"] = conditional[i].Variance,
                ["CRIME_W_Z"] = conditional[i].Z,
                ["CRIME_W_p_two_sided"] = conditional[i].PTwoSided,
                ["CRIME_W_uncond_E"] = total[i].Expected,
                ["CRIME_W_uncond_Var"] = total[i].Variance,
                ["CRIME_W_uncond_Z"] = total[i].Z,
                ["INC_B_Ii"] = income[i].Statistic,
                ["INC_B_Z"] = income[i].Z,
                ["CRIME_Gi_star_z"] = star[i],
                ["CRIME_Gi_z"] = plain[i],
                ["HOVAL_Gi_star_z"] = worthStar[i],
            };
            foreach (JsonProperty wanted in check.Out.EnumerateObject())
            {
                double value = got.GetValueOrDefault(wanted.Name, double.NaN);
                tally.Compare(check.Id, wanted.Name, value, wanted.Value.Number(), book.Tolerance("all"));
            }
        }

        return tally;
    }

    public static CheckTally Counties()
    {
        CheckBook book = CheckBook.Open("statistics", "spatial_sids_gistar.json");
        CheckTally tally = new();
        JsonElement data = book.Common.GetProperty("sids");
        NeighbourWeights weights = NeighbourWeights.Binary(data.Lists("neighbours")).WithSelf();
        double[] star = LocalAutocorrelation.GiStar(data.Numbers("freeman_tukey"), weights);
        foreach (CheckCase check in book.Cases)
        {
            int i = check.In.GetProperty("county").GetInt32();
            tally.Compare(check.Id, "Gi*", star[i], check.Out.Number("Gi_star_z"), book.Tolerance("Gi_star_z"));
        }

        return tally;
    }

    private static SpatialTestResult Joins(string statistic, JsonElement data, NeighbourWeights weights)
    {
        string kinds = statistic[(statistic.IndexOf(' ', StringComparison.Ordinal) + 1)..];
        bool low = kinds is "same_low" or "low:low";
        bool[] marked = Array.ConvertAll(data.Numbers("high"), high => high > 0.5 != low);
        return kinds is "same_high" or "same_low" or "high:high" or "low:low"
            ? GlobalAutocorrelation.JoinsWithin(marked, weights)
            : GlobalAutocorrelation.JoinsBetween(marked, weights);
    }

    private static void Check(
        CheckBook book,
        CheckCase check,
        string name,
        string suffix,
        SpatialTestResult got,
        CheckTally tally
    )
    {
        Compare(name, got.Statistic, "statistic");
        Compare("E" + name, got.Expected, "statistic");
        Compare("expected", got.Expected, "statistic");
        Compare("var" + suffix, got.Variance, "variance");
        Compare("z" + suffix, got.Z, "z");
        Compare("p_greater" + suffix, got.PGreater, "p");
        Compare("p_greater", suffix == "_normality" ? double.NaN : got.PGreater, "p");

        void Compare(string quantity, double value, string kind)
        {
            if (!double.IsNaN(value) && check.Out.TryGetProperty(quantity, out JsonElement wanted))
            {
                tally.Compare(check.Id, quantity, value, wanted.Number(), book.Tolerance(kind));
            }
        }
    }
}
