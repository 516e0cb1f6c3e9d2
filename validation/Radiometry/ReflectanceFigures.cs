using Hillrow.Radiometry;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Radiometry;

/// <summary>Reflectance of rehearsed flights against what their frames truly show; measures and seeds: decision 0033.</summary>
public sealed class ReflectanceFigures : FigureSource
{
    private static readonly string[] BandWords = ["blue", "green", "red", "redEdge", "nearInfrared"];

    public override string Area => "radiometry";

    public override int Order => 50;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        IReadOnlyList<ulong> seeds = run.Quick ? JudgedFlights.DevelopmentSeeds : JudgedFlights.JudgingSeeds;
        Dictionary<string, double> worst = [];
        foreach (ulong seed in seeds)
        {
            IReadOnlyDictionary<string, JudgedFlight> flights = JudgedFlights.Of(run, seed);
            foreach (JudgedFlight flight in flights.Values)
            {
                FlightSamples samples = FlightSamples.Of(flight, Calibrated(flight, run));
                string group = flight.Name == JudgedFlights.Cloud ? "cloud" : "clear";
                Tell(run, worst, group, samples, $"seed {seed}, {flight.Name}");
            }
        }

        foreach ((string name, double value) in worst)
        {
            yield return new Figure(name, value, $"worst flight of {seeds.Count} seeds");
        }
    }

    private static ReflectanceFrames Calibrated(JudgedFlight flight, ValidationRun run)
    {
        RadiometryInput input = flight.Input;
        Calibration first = RadiometryStage.Run(input, RadiometrySettings.Default).Calibration;
        Calibration adjusted = LightAdjusting.Adjust(
            new OverlapInput(input.Profile, input.Captures, first, Frames(first), flight.Geometry, flight.Surface),
            OverlapSettings.Default
        );
        foreach (string remark in adjusted.Remarks)
        {
            run.Say("    " + remark);
        }

        foreach (OverlapAgreement agreement in adjusted.Light!.Agreements)
        {
            run.Say(
                $"    {agreement} {adjusted.Light.Lenses.First(one => one.Band == agreement.Band)} {adjusted.Light.Angles.First(one => one.Band == agreement.Band)}"
            );
        }

        return Frames(adjusted);

        ReflectanceFrames Frames(Calibration calibration) =>
            new(calibration, input.Profile, input.CaptureRoot, input.Captures);
    }

    private static void Tell(
        ValidationRun run,
        Dictionary<string, double> worst,
        string group,
        FlightSamples samples,
        string what
    )
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

        void Keep(string name, double value) => worst[name] = Math.Max(worst.GetValueOrDefault(name), value);
    }
}
