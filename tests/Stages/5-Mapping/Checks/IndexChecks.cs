using System.Text.Json;
using Hillrow.Mapping;
using Hillrow.TestSupport;

namespace Hillrow.Mapping.Checks;

/// <summary>The catalogue against tests/Reference/indices and against the worked values of its own table.</summary>
public static class IndexChecks
{
    public static readonly IReadOnlyList<FormulaBand> FiveBands =
    [
        new("blue", 475, 32),
        new("green", 560, 27),
        new("red", 668, 14),
        new("rededge", 717, 12),
        new("nir", 842, 57),
    ];

    private static readonly double[] WorkedAt = [0.03, 0.08, 0.04, 0.20, 0.45];

    public static CheckTally Book()
    {
        CheckTally tally = new();
        CheckBook book = CheckBook.Open("indices", "indices.json");
        JsonElement tolerance = book.Tolerance.GetProperty("value");
        foreach (CheckCase entry in book.Cases)
        {
            double Number(string name) => entry.In.GetProperty(name).GetDouble();
            double[] bands = [Number("B"), Number("G"), Number("R"), Number("RE"), Number("N")];
            IndexFormula formula = IndexCatalogue.Find(entry.In.GetProperty("index").GetString()!).Over(FiveBands);
            JsonElement wanted = entry.Out.GetProperty("value");
            tally.Compare(
                entry.Id,
                "value",
                formula.Evaluate(bands),
                wanted.ValueKind == JsonValueKind.Number ? wanted.GetDouble() : double.NaN,
                tolerance.GetProperty("abs").GetDouble(),
                tolerance.GetProperty("rel").GetDouble()
            );
        }

        return tally;
    }

    /// <summary>Worked values to 1e-6, and the behaviour under a common factor on all bands that the table claims.</summary>
    public static CheckTally Table()
    {
        CheckTally tally = new();
        foreach (VegetationIndex index in IndexCatalogue.All)
        {
            Dictionary<string, double> parameters = new() { ["lowest"] = 0.1, ["highest"] = 0.6 };
            IndexFormula formula = index.Over(FiveBands, parameters);
            double value = formula.Evaluate(WorkedAt);
            if (index.Worked is { } worked)
            {
                tally.Compare(index.Name, "worked value", value, worked, 1e-6);
            }

            double scaled = formula.Evaluate([.. WorkedAt.Select(band => band * 1.3)]);
            bool same = Math.Abs(scaled - value) <= 1e-12 * Math.Abs(value);
            tally.IsTrue(
                index.Name,
                $"scale invariance is {same}, the table says {index.IsScaleInvariant}",
                same == index.IsScaleInvariant
            );
        }

        return tally;
    }

    /// <summary>Identities of ANCHORS section k on random spectra.</summary>
    public static CheckTally Identities(ulong seed)
    {
        CheckTally tally = new();
        Numerics.SplittableRandom random = new(seed);
        for (int spectrum = 0; spectrum < 200; spectrum++)
        {
            double[] bands = [.. Enumerable.Range(0, 5).Select(_ => random.NextDouble(0.01, 0.6))];
            double Of(string name) => IndexCatalogue.Find(name).Over(FiveBands).Evaluate(bands);
            string id = FormattableString.Invariant($"spectrum {spectrum}");
            tally.Compare(id, "MCARI1 = MTVI1", Of("MCARI1"), Of("MTVI1"), 1e-12, 1e-10);
            tally.Compare(id, "MCARI2 = MTVI2", Of("MCARI2"), Of("MTVI2"), 1e-12, 1e-10);
            tally.Compare(id, "NDWI = -GNDVI", Of("NDWI"), -Of("GNDVI"), 1e-15, 1e-12);
            tally.Compare(id, "IPVI = (1 + NDVI) / 2", Of("IPVI"), (1 + Of("NDVI")) / 2, 1e-14, 1e-12);
            tally.Compare(id, "NDVI = (SR - 1) / (SR + 1)", Of("NDVI"), (Of("SR") - 1) / (Of("SR") + 1), 1e-12, 1e-10);
        }

        return tally;
    }
}
