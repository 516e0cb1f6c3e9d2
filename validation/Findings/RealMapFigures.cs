using Hillrow.Findings;
using Hillrow.Validation.Ground;
using Hillrow.Validation.Ground.Statistics;

namespace Hillrow.Validation.Findings;

/// <summary>Cluster statistics and the spread model on mapped plant diseases of real fields, and the reference cases.</summary>
public sealed class RealMapFigures : FigureSource
{
    /// <summary>
    /// Moran's I worked with R 4.2.2 and spdep 1.2.7 (opendata/disease-epiphy/PROVENANCE.md), rook neighbours, binary
    /// weights.
    /// </summary>
    private static readonly (string Map, double Time, double Moran)[] Worked =
    [
        ("citrus_ctv__IVI3and4", 1991, 0.13625),
        ("citrus_ctv__IVI3and4", 1992, 0.12008),
        ("citrus_ctv__IVI3and4", 1993, 0.17436),
        ("citrus_ctv__IVI3and4", 1994, 0.16194),
        ("citrus_ctv__IVI6and7", 1990, 0.06912),
        ("citrus_ctv__IVI6and7", 1991, 0.10751),
        ("citrus_ctv__IVI6and7", 1992, 0.14175),
        ("tomato_tswv__field_1929", 1, 0.03104),
        ("tomato_tswv__field_1929", 2, 0.03886),
        ("tomato_tswv__field_1929", 3, 0.05101),
        ("hop_viruses__HpLV", 1996, 0.18310),
        ("hop_viruses__HpLV", 1997, 0.22518),
    ];

    private const double Printed = 0.000_006;

    private static readonly string[] Spreading =
    [
        "citrus_ctv__IVI3and4",
        "citrus_ctv__IVI6and7",
        "citrus_ctv__El_Realengo",
        "tomato_tswv__field_1929",
        "hop_viruses__HpLV",
        "hop_viruses__HpMV",
        "hop_viruses__ApMV",
    ];

    public override string Area => "findings";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        yield return CheckShare.Of(
            "checks.statistics.shareHolding",
            [.. Comparisons.All.Select(comparison => comparison.Compare())]
        );
        if (DiseaseMaps.Folder is null)
        {
            yield return new Figure(
                "clusters.shareAgreeing",
                double.NaN,
                "opendata/disease-epiphy is not on this machine"
            );
            yield return new Figure(
                "spread.realMapStepsTold",
                double.NaN,
                "opendata/disease-epiphy is not on this machine"
            );
            yield break;
        }

        Share agreeing = new();
        foreach ((string map, double time, double wanted) in Worked)
        {
            double moran = DiseaseMaps.Moran([.. DiseaseMaps.Read(map).Where(plant => plant.Time.Equals(time))]);
            bool same = Math.Abs(moran - wanted) <= Printed;
            agreeing.Add(same);
            if (!same)
            {
                run.Say(FormattableString.Invariant($"  FAULT {map} {time}: Moran's I {moran:F5}, worked {wanted:F5}"));
            }
        }

        yield return new Figure(
            "clusters.shareAgreeing",
            agreeing.Value,
            $"{Worked.Length} maps: Moran's I equal to the printed five digits of R's spdep"
        );
        Share told = new();
        int better = 0;
        int steps = 0;
        foreach (string map in Spreading)
        {
            foreach ((double from, double to, InfectionModel? model) in Fits(map))
            {
                told.Add(model is null || double.IsFinite(model.AkaikeGain));
                better += model is { AkaikeGain: > 0 } ? 1 : 0;
                steps++;
                run.Say(
                    model is null
                        ? $"spread, {map} {from} to {to}: nobody fell ill"
                        : FormattableString.Invariant(
                            $"spread, {map} {from} to {to}: {model.NewlySick} of {model.Sound} fell ill; reach {model.ReachMetres:F2} planting distances ({model.ReachInterval.Low:F2} to {model.ReachInterval.High:F2}); Akaike better by {model.AkaikeGain:F1}"
                        )
                );
            }
        }

        yield return new Figure(
            "spread.realMapStepsTold",
            told.Value,
            $"steps between mapped dates of {Spreading.Length} maps whose spread model is told against a no-spread model by Akaike\'s criterion; spread explains more on {better} of {steps} (each step is printed)"
        );
    }

    private static IEnumerable<(double From, double To, InfectionModel? Model)> Fits(string map)
    {
        IReadOnlyList<MappedPlant> plants = DiseaseMaps.Read(map);
        double[] times = [.. plants.Select(plant => plant.Time).Distinct().Order()];
        for (int step = 0; step + 1 < times.Length; step++)
        {
            Dictionary<(int, int), bool> before = plants
                .Where(plant => plant.Time.Equals(times[step]))
                .ToDictionary(plant => (plant.Column, plant.Row), plant => plant.Ill);
            SpreadPlant[] both =
            [
                .. plants
                    .Where(plant => plant.Time.Equals(times[step + 1]) && before.ContainsKey((plant.Column, plant.Row)))
                    .Select(plant => new SpreadPlant(
                        plant.Column,
                        plant.Row,
                        before[(plant.Column, plant.Row)],
                        plant.Ill
                    )),
            ];
            yield return (times[step], times[step + 1], InfectionModel.Fit(both, 1, 0.3, 12));
        }
    }
}
