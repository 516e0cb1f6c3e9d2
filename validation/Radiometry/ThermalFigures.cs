using System.Globalization;
using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Estate;
using Hillrow.Numerics.Statistics;
using Hillrow.Rehearsal;
using Hillrow.Validation.Chain;

namespace Hillrow.Validation.Radiometry;

/// <summary>
/// Temperatures of crowns after the whole job: an estate whose camera has a thermal sensor is flown once, brought in and run by the
/// public commands, and its observations are held against what the sensor truly saw. What is judged: docs/decisions/0038.
/// </summary>
public sealed class ThermalFigures : FigureSource
{
    private const string KeptFolderVariable = "HILLROW_RADIOMETRY_FLIGHTS";
    private const string Day = "2026-04-12";
    private const double Normal90 = 1.6448536269514722;

    /// <summary>A plant found farther from a true one is another.</summary>
    private const double SamePlantMetres = 0.6;

    /// <summary>Of a crown that a frame shows at the least, thermal pixels.</summary>
    private const double LeastPixels = 2;

    /// <summary>What a thermometer in the shade and a hygrometer are off by on this flight.</summary>
    private const double ThermometerOffKelvin = 0.4;
    private const double HumidityPercent = 60;

    public override string Area => "radiometry";

    public override int Order => 50;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        ulong seed = run.Quick ? 72 : run.DrawnSeed;
        string folder = Environment.GetEnvironmentVariable(KeptFolderVariable) ?? run.ScratchFolder;
        string root = Path.Combine(folder, FormattableString.Invariant($"thermal-{seed}"));
        TruthFolder truth = Flown(root, seed, run);
        EstateFolder estate = EstateFolder.Open(root);
        string how = FormattableString.Invariant(
            $"seed {seed}, one clear flight, rehearsed, run by the public commands"
        );
        List<(double Found, double Sigma, double Index, double True)> crowns = Crowns(estate, truth);
        if (crowns.Count == 0)
        {
            yield return new Figure("thermal.crownRmseKelvin", double.NaN, "no crown has a temperature; " + how);
            yield break;
        }

        double[] off = [.. crowns.Select(crown => crown.Found - crown.True)];
        double middle = off.Order().ElementAt(off.Length / 2);
        yield return new Figure(
            "thermal.crownRmseKelvin",
            Math.Sqrt(off.Average(value => value * value)),
            $"crown against the mean of what all frames truly saw of it, {crowns.Count} crowns; {how}"
        );
        yield return new Figure(
            "thermal.crownWithinFlightKelvin",
            1.4826 * off.Select(value => Math.Abs(value - middle)).Order().ElementAt(off.Length / 2),
            $"robust spread of the same about their middle ({middle.ToString("0.00", CultureInfo.InvariantCulture)} K); {how}"
        );
        yield return new Figure(
            "thermal.coverageOf90",
            crowns.Average(crown => Math.Abs(crown.Found - crown.True) <= Normal90 * crown.Sigma ? 1.0 : 0),
            $"share of crowns within 1.645 stated standard errors; {how}"
        );
        double[] indexed = [.. crowns.Where(crown => double.IsFinite(crown.Index)).Select(crown => crown.Index)];
        double[] trueOnes = [.. crowns.Where(crown => double.IsFinite(crown.Index)).Select(crown => crown.True)];
        yield return new Figure(
            "thermal.stressRank",
            indexed.Length < 10 ? double.NaN : Correlation.Spearman(indexed, trueOnes),
            $"rank correlation of the water stress index with the true crown less air, {indexed.Length} crowns; {how}"
        );
        (double before, double left) = Drift(estate, truth);
        yield return new Figure(
            "thermal.driftLeftKelvin",
            left,
            FormattableString.Invariant(
                $"standard deviation of found less true zero of the captures about its mean; the zero itself varied by {before:0.00} K; {how}"
            )
        );
    }

    private static TruthFolder Flown(string root, ulong seed, ValidationRun run)
    {
        string text = seed.ToString(CultureInfo.InvariantCulture);
        string card = root + "-cards/" + Day;
        string kept = TruthFolder.Beside(root);
        if (!File.Exists(Path.Combine(root, "estate.toml")))
        {
            HillrowProcess.Must("rehearse", "estate", root, "--seed", text, "--hectares", "0.3", "--thermal");
        }

        HillrowProcess.Must([
            "rehearse",
            "fly",
            root,
            "--date",
            Day,
            "--start",
            "15:30",
            "--captures",
            "30",
            "--rays",
            "1",
            "--card",
            card,
        ]);
        run.Say($"  flown: seed {seed}, thermal");
        TruthFolder truth = TruthFolder.Open(kept);
        if (!Directory.Exists(Path.Combine(root, "surveys", Day)))
        {
            using JsonDocument first = Heat(truth, 2);
            double air = first.RootElement.GetProperty("airKelvin").GetDouble() - MoistAir.ZeroCelsiusKelvin;
            HillrowProcess.Must(
                "survey",
                "add",
                root,
                card,
                "--link",
                "--air-temperature",
                (air + ThermometerOffKelvin).ToString("0.0", CultureInfo.InvariantCulture),
                "--humidity",
                HumidityPercent.ToString(CultureInfo.InvariantCulture)
            );
        }

        HillrowProcess.Must("run", root);
        return truth;
    }

    private static JsonDocument Heat(TruthFolder truth, int number) =>
        JsonDocument.Parse(File.ReadAllText(truth.PathOf(FrameTruthFiles.CrownHeatFile(Day, number))));

    private static List<(double Found, double Sigma, double Index, double True)> Crowns(
        EstateFolder estate,
        TruthFolder truth
    )
    {
        if (SurveyProductsReader.FileOf(estate, Day, ObservationsFile.FileName) is not { } file)
        {
            return [];
        }

        (IReadOnlyList<ObservationColumn> columns, IReadOnlyList<PlantObservation> plants) = ObservationsFile.Read(
            file
        );
        List<string> names = [.. columns.Select(column => column.Name)];
        int celsius = names.IndexOf("temperature_celsius");
        int sigma = names.IndexOf("temperature_celsius_sigma");
        int index = names.IndexOf("water_stress_index");
        if (celsius < 0)
        {
            return [];
        }

        Dictionary<int, double> seen = Seen(truth);
        IReadOnlyList<PlantTruth> real = truth.ReadLines<PlantTruth>(Day + "/plants.jsonl");
        List<(double, double, double, double)> crowns = [];
        foreach (PlantObservation plant in plants)
        {
            PlantTruth near = real.MinBy(one =>
                double.Hypot(
                    one.EastingMetres - plant.Place.EastingMetres,
                    one.NorthingMetres - plant.Place.NorthingMetres
                )
            )!;
            double far = double.Hypot(
                near.EastingMetres - plant.Place.EastingMetres,
                near.NorthingMetres - plant.Place.NorthingMetres
            );
            if (
                far <= SamePlantMetres
                && double.IsFinite(plant.Values[celsius])
                && seen.TryGetValue(near.Number, out double kelvin)
            )
            {
                crowns.Add(
                    (
                        plant.Values[celsius],
                        plant.Values[sigma],
                        plant.Values[index],
                        kelvin - MoistAir.ZeroCelsiusKelvin
                    )
                );
            }
        }

        return crowns;
    }

    /// <summary>By plant: what all frames saw of it, weighted by pixels.</summary>
    private static Dictionary<int, double> Seen(TruthFolder truth)
    {
        Dictionary<int, (double Sum, double Weight)> sums = [];
        int captures = truth.Read<FlightTruth>(Day + "/flight.json").Captures;
        for (int number = 1; number <= captures; number++)
        {
            using JsonDocument heat = Heat(truth, number);
            foreach (JsonElement crown in heat.RootElement.GetProperty("crowns").EnumerateArray())
            {
                double pixels = crown.GetProperty("pixels").GetDouble();
                if (pixels >= LeastPixels)
                {
                    int plant = crown.GetProperty("plant").GetInt32();
                    (double sum, double weight) = sums.GetValueOrDefault(plant);
                    sums[plant] = (sum + (pixels * crown.GetProperty("surfaceKelvin").GetDouble()), weight + pixels);
                }
            }
        }

        return sums.ToDictionary(entry => entry.Key, entry => entry.Value.Sum / entry.Value.Weight);
    }

    private static (double Before, double Left) Drift(EstateFolder estate, TruthFolder truth)
    {
        if (SurveyProductsReader.FileOf(estate, Day, "drift.json") is not { } file)
        {
            return (double.NaN, double.NaN);
        }

        using JsonDocument found = JsonDocument.Parse(File.ReadAllText(file));
        List<double> real = [];
        List<double> off = [];
        foreach (JsonElement capture in found.RootElement.GetProperty("captures").EnumerateArray())
        {
            // A card's captures are numbered by the camera; the truth goes by the same numbers.
            int number = int.Parse(capture.GetProperty("captureId").GetString()!, CultureInfo.InvariantCulture);
            using JsonDocument heat = Heat(truth, number);
            real.Add(heat.RootElement.GetProperty("driftKelvin").GetDouble());
            off.Add(capture.GetProperty("offsetKelvin").GetDouble() - real[^1]);
        }

        return (Deviation(real), Deviation(off));
    }

    private static double Deviation(List<double> values)
    {
        double mean = values.Average();
        return Math.Sqrt(values.Average(value => (value - mean) * (value - mean)));
    }
}
