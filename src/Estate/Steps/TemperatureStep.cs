using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Mapping;
using Hillrow.Numerics;
using Hillrow.Plants;
using Hillrow.Radiometry;
using Hillrow.Sight;

namespace Hillrow.Estate;

/// <summary>
/// A thermal band → temperatures of ground and crowns, on the reflectance map's cells. Out: temperature.tif,
/// temperature-sigma.tif (both only where air temperature and humidity were told), brightness.tif, brightness-sigma.tif,
/// temperature-capture.tif, temperature-view.tif, temperature-shadow.tif, temperature.json, crowns.json, drift.json.
/// </summary>
internal static class TemperatureStep
{
    public const string Name = "temperature";
    public const string FiguresName = "temperature.json";
    public const string CrownsName = "crowns.json";
    public const string DriftName = "drift.json";
    public const string MapName = "temperature.tif";
    public const string SigmaName = "temperature-sigma.tif";

    /// <summary>Thermal frames have few pixels: eight at each edge would be a tenth of them.</summary>
    private const double FrameMarginPixels = 2;

    /// <summary>Windows of places are metres wide: finer heights tell nothing.</summary>
    private const double PostMetres = 1;

    private const double MarginMetres = 150;

    private static readonly Words Doing = new("taking temperatures", "tomando temperaturas", "medindo temperaturas");

    public static RunStep Of(SurveySubject subject)
    {
        MappingSettings settings = new() { FrameMarginPixels = FrameMarginPixels };
        return new RunStep(
            subject.Key(Name),
            Doing,
            "Thermal counts to brightness temperature; the band laid on the map by likeness; the sensor's drift by robust least squares over overlaps; emissivity by foliage, sky and air by the readings told; crowns with the soil in their pixels taken off; water stress index between the flight's coolest and hottest crowns",
            "Mesas-Carrascosa et al. 2018, doi 10.3390/rs10040615; Idso et al. 1981, doi 10.1016/0002-1571(81)90032-7; Jones 1999, doi 10.1016/S0168-1923(99)00030-1; docs/stages/5-mapping.md",
            [
                subject.OutputOf(IntakeStep.Name),
                subject.OutputOf(MappingStep.Name),
                subject.OutputOf(ReconstructionStep.Name),
                subject.OutputOf(PlantsStep.Name),
                subject.Card,
                subject.Camera,
            ],
            StepSettings.TextOf(new { settings = settings with { Threads = 1 }, air = subject.Settings.Air }),
            context => Work(context, settings, subject.Settings.Air)
        )
        {
            Weight = 8,
        };
    }

    public static StoredTemperature Figures(StepContext context, string input = Name) =>
        StageJson.Read<StoredTemperature>(Path.Combine(context.PathOf(input), FiguresName));

    /// <summary>Crowns by part of the plants' list, then by plant index.</summary>
    public static StoredCrownTemperatures Crowns(StepContext context, string input = Name) =>
        StageJson.Read<StoredCrownTemperatures>(Path.Combine(context.PathOf(input), CrownsName));

    private static StepResult Work(StepContext context, MappingSettings settings, AirReadings? air)
    {
        IntakeResult intake = IntakeStep.Read(context);
        CameraProfile profile = SurveySubject.Profile(context);
        Capture[] captures = [.. intake.Captures.Select(entry => entry.Capture)];
        StoredGeometry stored = ReconstructionStep.Geometry(context);
        Raster<float> surface = RasterFile.ReadWhole<float>(ReconstructionStep.SurfaceFile(context));
        using RasterFile map = RasterFile.Open(MappingStep.Files(context).Reflectance);
        IReadOnlyList<string> words = SurveySubject.BandWordsOf(context, map);
        (int red, int infrared) = (words.ToList().IndexOf("red"), words.ToList().IndexOf("nir"));
        if (red < 0 || infrared < 0)
        {
            return new StepResult(
                StageOutcome.Refused("A temperature map needs a red and a near infrared band to lie on.")
            );
        }

        BrightnessFrames raw = new(profile, SurveySubject.CardFolder(context), captures);
        if (!stored.Geometry.Captures.Any(capture => capture.Placed && raw.Has(capture.CaptureId, raw.Bands[0])))
        {
            return new StepResult(StageOutcome.Refused("No capture that was placed has a thermal frame."));
        }

        ThermalAlignment alignment = ThermalAligning.Align(
            stored.Geometry,
            raw,
            map,
            red,
            surface,
            context.Threads,
            context.Cancellation
        );
        context.Report(0.2);
        SurveyGeometry geometry = stored.Geometry with
        {
            Bands = [.. stored.Geometry.Bands.Select(band => band.Band == alignment.Band.Band ? alignment.Band : band)],
        };
        HeightField heights = HeightsOf(surface, geometry, context.Threads);
        ThermalDrift? drift = ThermalComparing.Find(
            new ThermalInput(profile, captures, raw, geometry, heights),
            context.Threads,
            context.Cancellation
        );
        context.Report(0.35);
        ThermalMaps files = ThermalMaps.In(context);
        MappingResult laid = MappingStage.Run(
            new MappingInput(
                geometry,
                new BrightnessFrames(profile, SurveySubject.CardFolder(context), captures, drift),
                surface,
                map.RequireLabel().Grid,
                files.Brightness
            )
            {
                TowardsSunLocal = MappingStep.Suns(stored, intake),
                Coding = ValueCoding.Temperature,
            },
            settings with
            {
                Threads = context.Threads,
            },
            context.Progress(0.35, 0.8),
            context.Cancellation
        );
        if (!laid.Outcome.Usable)
        {
            return new StepResult(laid.Outcome);
        }

        ThermalMeasuring measuring = new(profile, geometry, heights, drift, air, alignment);
        List<StoredPartTemperatures> parts = [];
        List<string> reasons = [.. laid.Outcome.Reasons, .. measuring.Faults()];
        StressBaseline? baseline = null;
        if (air is not null)
        {
            measuring.WriteMap(files, map, red, infrared, context.Threads, context.Cancellation);
            context.Report(0.9);
            (parts, baseline) = measuring.Crowns(context, files);
            if (!baseline.Holds)
            {
                reasons.Add($"No water stress index: {baseline.Reason}.");
            }
        }

        StoredTemperature figures = measuring.Figures(parts, baseline);
        StageJson.Write(context.NewFile(FiguresName), figures);
        if (drift is not null)
        {
            StageJson.Write(context.NewFile(DriftName), drift);
        }

        StageJson.Write(context.NewFile(CrownsName), new StoredCrownTemperatures(parts));
        return new StepResult(reasons.Count == 0 ? StageOutcome.Done : StageOutcome.Degraded([.. reasons]))
        {
            Figures =
            [
                new StepFigure("cellsMapped", laid.CellsMapped),
                new StepFigure("capturesUsed", laid.CapturesUsed),
                new StepFigure("alignmentTies", alignment.Ties),
                new StepFigure("alignmentRmsPixels", alignment.RmsPixels),
                new StepFigure("alignmentMovedPixels", alignment.MovedPixels),
                new StepFigure("looks", drift?.Looks ?? 0),
                new StepFigure("disagreementBeforeKelvin", figures.BeforeKelvin ?? double.NaN),
                new StepFigure("disagreementAfterKelvin", figures.AfterKelvin ?? double.NaN),
                new StepFigure("driftRangeKelvin", figures.DriftRangeKelvin ?? double.NaN),
                new StepFigure("levelSigmaKelvin", figures.LevelSigmaKelvin),
                new StepFigure("crowns", parts.Sum(part => part.Crowns.Count)),
                new StepFigure("crownMinusAirKelvin", figures.CrownMinusAirKelvin ?? double.NaN),
                new StepFigure("wetReferenceCelsius", figures.WetCelsius ?? double.NaN),
                new StepFigure("dryReferenceCelsius", figures.DryCelsius ?? double.NaN),
                new StepFigure("vapourPressureDeficitKilopascals", figures.DeficitKilopascals ?? double.NaN),
            ],
        };
    }

    private static HeightField HeightsOf(Raster<float> surface, SurveyGeometry geometry, int threads)
    {
        Vector3D[] places = [.. geometry.Captures.Select(capture => capture.Pose.CentreLocalMetres)];
        double west = places.Min(place => place.X) - MarginMetres;
        double north = places.Max(place => place.Y) + MarginMetres;
        LocalGrid area = new(
            west,
            north,
            PostMetres,
            (int)Math.Ceiling((north - places.Min(place => place.Y) + MarginMetres) / PostMetres),
            (int)Math.Ceiling((places.Max(place => place.X) + MarginMetres - west) / PostMetres)
        );
        return LocalHeights.Of(surface.Grid, surface.BandMemory(0), geometry.Frame, area, threads);
    }
}

/// <summary>Files of the step.</summary>
/// <param name="Brightness">The map as it was laid.</param>
/// <param name="Temperature">Of the surface.</param>
/// <param name="Sigma">Of that.</param>
internal sealed record ThermalMaps(MapFiles Brightness, string Temperature, string Sigma)
{
    public static ThermalMaps In(StepContext context) =>
        new(
            new MapFiles(
                context.NewFile("brightness.tif"),
                context.NewFile("brightness-sigma.tif"),
                context.NewFile("temperature-capture.tif"),
                context.NewFile("temperature-view.tif"),
                context.NewFile("temperature-shadow.tif"),
                ""
            ),
            context.NewFile(TemperatureStep.MapName),
            context.NewFile(TemperatureStep.SigmaName)
        );
}

/// <summary>What the report tells of a survey's temperatures; null what could not be had.</summary>
/// <param name="BeforeKelvin">Disagreement of captures about the same ground, drift in it.</param>
/// <param name="AfterKelvin">The same with drift and pattern taken off.</param>
/// <param name="DriftRangeKelvin">Warmest less coolest capture's zero.</param>
/// <param name="LevelSigmaKelvin">Standard error of the whole flight's level.</param>
/// <param name="AirCelsius">As told.</param>
/// <param name="DeficitKilopascals">Vapour pressure deficit of the air.</param>
/// <param name="CrownMinusAirKelvin">Median crown.</param>
/// <param name="WetCelsius">Coolest crowns: index 0.</param>
/// <param name="DryCelsius">Hottest crowns: index 1.</param>
internal sealed record StoredTemperature(
    double? BeforeKelvin,
    double? AfterKelvin,
    double? DriftRangeKelvin,
    double LevelSigmaKelvin,
    double? AirCelsius,
    double? DeficitKilopascals,
    double? CrownMinusAirKelvin,
    double? WetCelsius,
    double? DryCelsius
);

/// <param name="Parts">In the order of the plants' parts.</param>
internal sealed record StoredCrownTemperatures(IReadOnlyList<StoredPartTemperatures> Parts);

internal sealed record StoredPartTemperatures(IReadOnlyList<StoredCrownTemperature> Crowns);

/// <param name="Index">Of the plant within its part.</param>
/// <param name="Celsius">Of the crown.</param>
/// <param name="MinusAirKelvin">Crown less air.</param>
/// <param name="StressIndex">None without a baseline.</param>
internal sealed record StoredCrownTemperature(
    int Index,
    Measured Celsius,
    Measured MinusAirKelvin,
    Measured StressIndex
);
