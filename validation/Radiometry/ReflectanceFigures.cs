using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Radiometry;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Radiometry;

/// <summary>Reflectance of rehearsed flights against what their frames truly show; measures and seeds: decision 0033.</summary>
public sealed class ReflectanceFigures : FigureSource
{
    private const double Ninety = 1.6449;
    private static readonly string[] BandWords = ["blue", "green", "red", "redEdge", "nearInfrared"];

    private readonly Dictionary<string, double> worst = [];
    private readonly IntervalStrata strata = new();
    private ValidationRun run = null!;
    private int covered;
    private int levels;

    public override string Area => "radiometry";

    public override int Order => 50;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        this.run = run;
        IReadOnlyList<ulong> seeds = JudgedFlights.Seeds(run);
        foreach (ulong seed in seeds)
        {
            Judge(seed);
        }

        foreach ((string name, double value) in worst)
        {
            yield return new Figure(name, value, $"worst flight of {seeds.Count} seeds");
        }

        yield return new Figure(
            "cloudNoSensor.levelCoverageOf90",
            covered / (double)levels,
            $"{levels} levels: seeds, bands and certificates"
        );
        (string Name, double Coverage, double WidthRatio)[] found = [.. strata.Results()];
        foreach ((string name, double coverage, double width) in found)
        {
            run.Say(FormattableString.Invariant($"    {name}: {100 * coverage:F1} % covered, width {width:F2}"));
        }

        yield return Strata(
            "sigma.leastCoverageOf90",
            found.Min(one => one.Coverage),
            found,
            one => one.Coverage >= 0.85
        );
        yield return Strata(
            "sigma.largestCoverageOf90",
            found.Max(one => one.Coverage),
            found,
            one => one.Coverage <= 0.95
        );
        yield return Strata(
            "sigma.largestWidthRatio",
            found.Max(one => one.WidthRatio),
            found,
            one => one.WidthRatio <= 1.3
        );
    }

    private static Figure Strata(
        string name,
        double value,
        (string, double Coverage, double WidthRatio)[] found,
        Func<(string, double Coverage, double WidthRatio), bool> holds
    ) => new(name, value, $"{found.Count(holds)} of {found.Length} strata hold");

    private void Judge(ulong seed)
    {
        IReadOnlyDictionary<string, JudgedFlight> flights = JudgedFlights.Of(run, seed);
        Dictionary<string, IReadOnlyDictionary<int, double>> normalised = [];
        Dictionary<string, IReadOnlyDictionary<int, double>> real = [];
        Dictionary<string, IReadOnlyDictionary<int, double>> sunlit = [];
        Dictionary<string, IReadOnlyDictionary<int, double>> sunlitReal = [];
        Dictionary<string, IReadOnlyDictionary<int, double>> lit = [];
        foreach (JudgedFlight flight in flights.Values)
        {
            bool cloud = flight.Name == JudgedFlights.Cloud;
            double[] certificate = CertificateOf(flight);
            (ReflectanceFrames frames, Calibration calibration, _) = Calibrated(flight, flight.Input);
            FlightSamples samples = FlightSamples.Of(flight, frames);
            Tell(cloud ? "cloud" : "clear", samples, $"seed {seed}, {flight.Name}");
            strata.Add(samples, cloud, certificate);
            if (!cloud)
            {
                NormalisedFrames even = new(frames, calibration.Light!, flight.Geometry, flight.Input.Captures);
                FlightSamples turned = FlightSamples.Of(flight, frames, even);
                normalised[flight.Name] = turned.PlantNdvi();
                real[flight.Name] = samples.PlantNdvi(ofTruth: true);
                sunlit[flight.Name] = turned.SunlitNdvi();
                sunlitReal[flight.Name] = samples.SunlitNdvi(ofTruth: true);
                lit[flight.Name] = LitCrowns.Ndvi(flight, frames);
                continue;
            }

            RadiometryInput before = flight.Input with { PanelCaptureIds = [flight.Input.PanelCaptureIds[0]] };
            Tell(
                "cloudPanelBefore",
                FlightSamples.Of(flight, Calibrated(flight, before).Frames),
                $"seed {seed}, cloud, panel before"
            );
            WithoutSensor(flight, certificate, seed);
        }

        Pair("normalised.oppositeLight", normalised, real, JudgedFlights.Afternoon);
        Pair("normalised.sunZenith20", normalised, real, JudgedFlights.Noon);
        Pair("normalisedSunlit.oppositeLight", sunlit, sunlitReal, JudgedFlights.Afternoon);
        Pair("normalisedSunlit.sunZenith20", sunlit, sunlitReal, JudgedFlights.Noon);
        Pair("litLeaves.oppositeLight", lit, sunlitReal, JudgedFlights.Afternoon);
        Pair("litLeaves.sunZenith20", lit, sunlitReal, JudgedFlights.Noon);

        void Pair(
            string name,
            Dictionary<string, IReadOnlyDictionary<int, double>> found,
            Dictionary<string, IReadOnlyDictionary<int, double>> actual,
            string other
        )
        {
            const string One = JudgedFlights.Morning;
            (double mean, double sd, int count) = Differences(found[One], found[other]);
            (double realMean, double realSd, _) = Differences(actual[One], actual[other]);
            Keep($"{name}.ndviMean", Math.Abs(mean));
            Keep($"{name}.ndviSd", sd);
            run.Say(
                FormattableString.Invariant(
                    $"  seed {seed}, {name}: {count} plants, mean {mean:F4}, sd {sd:F4}; of the truth at its own angles {realMean:F4}, {realSd:F4}"
                )
            );
        }
    }

    private static (double Mean, double Sd, int Count) Differences(
        IReadOnlyDictionary<int, double> one,
        IReadOnlyDictionary<int, double> other
    )
    {
        double[] differences =
        [
            .. one.Where(plant => other.ContainsKey(plant.Key)).Select(plant => other[plant.Key] - plant.Value),
        ];
        double mean = differences.Average();
        double sd = Math.Sqrt(differences.Average(value => (value - mean) * (value - mean)));
        return (mean, sd, differences.Length);
    }

    private void WithoutSensor(JudgedFlight flight, double[] certificate, ulong seed)
    {
        RadiometryInput blind = flight.Input with
        {
            Captures =
            [
                .. flight.Input.Captures.Select(capture =>
                    capture with
                    {
                        Frames = [.. capture.Frames.Select(frame => frame with { Irradiance = null })],
                    }
                ),
            ],
        };
        (ReflectanceFrames frames, _, StageOutcome outcome) = Calibrated(flight, blind);
        FlightSamples samples = FlightSamples.Of(flight, frames);
        string what = $"seed {seed}, cloud, no sensor";
        Tell("cloudNoSensor", samples, what);
        worst["cloudNoSensor.shareMarkedDegraded"] = Math.Min(
            worst.GetValueOrDefault("cloudNoSensor.shareMarkedDegraded", 1),
            outcome.Verdict == StageVerdict.Degraded ? 1 : 0
        );
        Keep("cloudNoSensor.overlapRms", samples.OverlapRms());
        for (int band = 0; band < RigBand.Five.Count; band++)
        {
            double real = samples.CrownMean(band);
            double found = real + samples.CrownBias(band);
            foreach (double error in IntervalStrata.CertificateErrors)
            {
                double off = (found * (1 + error) / certificate[band]) - real;
                covered += Math.Abs(off) <= Ninety * samples.CrownCommonSigma(band) ? 1 : 0;
                levels++;
            }
        }
    }

    /// <summary>Certified over true reflectance of the panel, by band.</summary>
    private static double[] CertificateOf(JudgedFlight flight)
    {
        PanelBoard panel = flight.Model.Panel;
        return [.. panel.CertifiedReflectance.Zip(panel.TrueReflectance, (said, real) => Math.Round(said, 4) / real)];
    }

    private (ReflectanceFrames Frames, Calibration Calibration, StageOutcome Outcome) Calibrated(
        JudgedFlight flight,
        RadiometryInput input
    )
    {
        RadiometryResult result = RadiometryStage.Run(input, RadiometrySettings.Default);
        Calibration adjusted = LightAdjusting.Adjust(
            new OverlapInput(
                input.Profile,
                input.Captures,
                result.Calibration,
                Frames(result.Calibration),
                flight.Geometry,
                flight.Surface
            ),
            OverlapSettings.Default
        );
        foreach (OverlapAgreement band in adjusted.Light!.Agreements)
        {
            run.Say(
                FormattableString.Invariant(
                    $"    {band.Band}: agreement {100 * band.Before:F1} to {100 * band.After:F1} %, level sigma {100 * band.LevelSigma:F1} %, areas apart by {100 * band.Shaded:F1} %"
                )
            );
        }

        return (Frames(adjusted), adjusted, result.Outcome);

        ReflectanceFrames Frames(Calibration calibration) =>
            new(calibration, input.Profile, input.CaptureRoot, input.Captures);
    }

    private void Tell(string group, FlightSamples samples, string what)
    {
        List<string> words = [];
        for (int band = 0; band < RigBand.Five.Count; band++)
        {
            double bias = samples.CrownBias(band);
            double rmse = samples.PixelRmse(band);
            Keep($"{group}.crownBias.{BandWords[band]}", Math.Abs(bias));
            Keep($"{group}.pixelRmse.{BandWords[band]}", rmse);
            words.Add(
                FormattableString.Invariant(
                    $"{BandWords[band]} {samples.CrownMean(band):F4} bias {bias:F4} rmse {rmse:F4} sigma {samples.CrownCommonSigma(band):F4}"
                )
            );
        }

        double ndvi = samples.NdviError();
        double overlap = samples.OverlapRms();
        Keep($"{group}.ndviError", ndvi);
        run.Say(
            FormattableString.Invariant(
                $"  {what}: {string.Join("; ", words)}; NDVI {ndvi:F4}; overlap {100 * overlap:F1} %"
            )
        );
    }

    private void Keep(string name, double value) => worst[name] = Math.Max(worst.GetValueOrDefault(name), value);
}
