using Hillrow.Findings;
using Hillrow.Numerics;
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

    /// <summary>In planting distances.</summary>
    private const double ShortestReach = 0.3;
    private const double LongestReach = 12;
    private const double KnownReach = 1.5;
    private const int Deals = 20;
    private const int LeastCases = 15;

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
                "spread.realMapsFalselyTold",
                double.NaN,
                "opendata/disease-epiphy is not on this machine"
            );
            yield return new Figure(
                "spread.realMapsReachHeld",
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
        int better = 0;
        Share falsely = new();
        Share held = new();
        List<(double From, double To, string Map, SpreadPlant[] Plants)> steps = [.. Spreading.SelectMany(Steps)];
        for (int at = 0; at < steps.Count; at++)
        {
            (double from, double to, string map, SpreadPlant[] plants) = steps[at];
            InfectionModel? model = InfectionModel.Fit(plants, 1, ShortestReach, LongestReach);
            better += model is { AkaikeGain: > 0 } ? 1 : 0;
            run.Say(
                model is null
                    ? $"spread, {map} {from} to {to}: nobody fell ill"
                    : FormattableString.Invariant(
                        $"spread, {map} {from} to {to}: {model.NewlySick} of {model.Sound} fell ill; reach {model.ReachMetres:F2} planting distances ({model.ReachInterval.Low:F2} to {model.ReachInterval.High:F2}); Akaike better by {model.AkaikeGain:F1}"
                    )
            );
            SplittableRandom draw = new SplittableRandom(run.DrawnSeed).Split((ulong)at);
            for (int deal = 0; deal < (run.Quick ? 5 : Deals); deal++)
            {
                SplittableRandom own = draw.Split((ulong)deal);
                if (
                    InfectionModel.Fit(AtRandom(plants, own.Split("random")), 1, ShortestReach, LongestReach) is
                    { } none
                )
                {
                    falsely.Add(none.AkaikeGain > 0);
                }

                if (ByReach(plants, own.Split("reach")) is { } dealt)
                {
                    InfectionModel? known = InfectionModel.Fit(dealt, 1, ShortestReach, LongestReach);
                    held.Add(
                        known is not null
                            && known.ReachInterval.Low <= KnownReach
                            && known.ReachInterval.High >= KnownReach
                    );
                }
            }
        }

        run.Say(
            FormattableString.Invariant($"spread explains more than chance on {better} of {steps.Count} real steps")
        );
        string how = FormattableString.Invariant(
            $"{steps.Count} steps between mapped dates of {Spreading.Length} real maps, {(run.Quick ? 5 : Deals)} deals each (drawn seed {run.DrawnSeed})"
        );
        yield return new Figure(
            "spread.realMapsFalselyTold",
            falsely.Value,
            $"{how}: as many new cases dealt out at random among the sound plants; share where spread is told"
        );
        yield return new Figure(
            "spread.realMapsReachHeld",
            held.Value,
            FormattableString.Invariant(
                $"{how}: new cases dealt out by a reach of {KnownReach} planting distances; share whose 95 % interval holds it"
            )
        );
    }

    /// <summary>The same number of new cases, anywhere among the sound plants: no spread by construction.</summary>
    private static SpreadPlant[] AtRandom(SpreadPlant[] plants, SplittableRandom draw)
    {
        int[] sound = [.. Enumerable.Range(0, plants.Length).Where(at => !plants[at].WasSick)];
        int ill = sound.Count(at => plants[at].IsSick);
        SpreadPlant[] dealt = [.. plants];
        for (int at = 0; at < sound.Length; at++)
        {
            int other = at + draw.NextInt32(sound.Length - at);
            (sound[at], sound[other]) = (sound[other], sound[at]);
            dealt[sound[at]] = dealt[sound[at]] with { IsSick = at < ill };
        }

        return dealt;
    }

    /// <summary>
    /// New cases by a known hazard: three quarters of as many as there really were by contact, a quarter from outside.
    /// Null when there are too few sick plants or cases for a reach to show.
    /// </summary>
    private static SpreadPlant[]? ByReach(SpreadPlant[] plants, SplittableRandom draw)
    {
        SpreadPlant[] sick = [.. plants.Where(plant => plant.WasSick)];
        SpreadPlant[] sound = [.. plants.Where(plant => !plant.WasSick)];
        double wanted = sound.Count(plant => plant.IsSick);
        if (sick.Length < LeastCases || wanted < LeastCases || wanted > 0.7 * sound.Length)
        {
            return null;
        }

        double[] pressure =
        [
            .. sound.Select(plant =>
                sick.Sum(other =>
                    Math.Exp(
                        -Math.Sqrt(
                            Math.Pow(plant.EastMetres - other.EastMetres, 2)
                                + Math.Pow(plant.NorthMetres - other.NorthMetres, 2)
                        ) / KnownReach
                    )
                )
            ),
        ];
        double contact = 0.75 * wanted / pressure.Sum();
        double outside = 0.25 * wanted / sound.Length;
        int at = 0;
        return
        [
            .. plants.Select(plant =>
                plant.WasSick
                    ? plant
                    : plant with
                    {
                        IsSick = draw.NextDouble() < 1 - Math.Exp(-outside - (contact * pressure[at++])),
                    }
            ),
        ];
    }

    private static IEnumerable<(double From, double To, string Map, SpreadPlant[] Plants)> Steps(string map)
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
            yield return (times[step], times[step + 1], map, both);
        }
    }
}
