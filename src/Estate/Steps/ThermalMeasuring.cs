using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Numerics;
using Hillrow.Plants;
using Hillrow.Radiometry;
using Hillrow.Sight;

namespace Hillrow.Estate;

/// <summary>From a laid thermal map to surface temperatures, crowns and figures.</summary>
internal sealed class ThermalMeasuring
{
    /// <summary>Crowns with one of these tell no reference.</summary>
    private const PlantQuality IllDefined =
        PlantQuality.Cut | PlantQuality.Small | PlantQuality.Shadowed | PlantQuality.Double | PlantQuality.OffPattern;

    private readonly CameraProfile profile;
    private readonly ThermalDrift? drift;
    private readonly AirReadings? air;
    private readonly ThermalAlignment alignment;
    private readonly double heightMetres;
    private readonly double pixelMetres;

    public ThermalMeasuring(
        CameraProfile profile,
        SurveyGeometry geometry,
        HeightField heights,
        ThermalDrift? drift,
        AirReadings? air,
        ThermalAlignment alignment
    )
    {
        (this.profile, this.drift, this.air, this.alignment) = (profile, drift, air, alignment);
        double[] above =
        [
            .. geometry
                .Captures.Where(capture => capture.Placed)
                .Select(capture => capture.Pose.CentreLocalMetres)
                .Select(centre => centre.Z - heights.HeightAt(centre.X, centre.Y))
                .Where(double.IsFinite)
                .DefaultIfEmpty(50)
                .Order(),
        ];
        heightMetres = Math.Max(1, above[above.Length / 2]);
        pixelMetres = heightMetres * geometry.FrameOf(geometry.Captures[0], alignment.Band).PixelAngleRadians;
    }

    private double LevelSigmaKelvin =>
        drift?.LevelSigmaKelvin ?? profile.ThermalBand?.Thermal?.AccuracyKelvin ?? ThermalScale.UsualAccuracyKelvin;

    public IEnumerable<string> Faults()
    {
        if (!alignment.Found)
        {
            yield return $"The thermal band could not be laid on the map ({alignment.Ties} places alike): its nominal lens and mount are used, so temperatures may belong to the plant beside.";
        }

        if (drift is null)
        {
            yield return "Thermal frames overlap too little to be compared: the sensor's drift stays in the temperatures.";
        }

        if (air is null)
        {
            yield return "Air temperature and humidity were not told: there are brightness temperatures only, none of surfaces and crowns. Write them in survey.toml: [air] temperature_celsius and humidity_percent.";
        }
    }

    public void WriteMap(
        ThermalMaps files,
        RasterFile map,
        int red,
        int infrared,
        int threads,
        CancellationToken cancel
    )
    {
        CameraBand band = profile.ThermalBand!;
        SurfaceTemperature surface = new(
            new ThermalAir(air!.TemperatureCelsius, air.HumidityPercent / 100),
            new RadianceTable(ThermalBandLimits.OfNanometres(band.CentreNanometres, band.WidthNanometres))
        );
        using RasterFile brightness = RasterFile.Open(files.Brightness.Reflectance);
        using RasterFile sigma = RasterFile.Open(files.Brightness.Sigma);
        using RasterFile view = RasterFile.Open(files.Brightness.View);
        TemperatureMap.Write(
            new TemperatureInput(brightness, sigma, view, map, red, infrared, pixelMetres, heightMetres, surface.Of),
            files.Temperature,
            files.Sigma,
            threads,
            cancel
        );
    }

    public (List<StoredPartTemperatures> Parts, StressBaseline Baseline) Crowns(StepContext context, ThermalMaps files)
    {
        StoredPlants plants = PlantsStep.Read(context);
        using RasterFile temperature = RasterFile.Open(files.Temperature);
        using RasterFile sigma = RasterFile.Open(files.Sigma);
        MapLayer degrees = MapLayer.Of(temperature);
        MapLayer errors = MapLayer.Of(sigma, code => ValueCoding.Temperature.DecodeSigma((byte)code));
        List<IReadOnlyList<CrownTemperature>> found = [];
        List<CrownTemperature> sound = [];
        for (int part = 0; part < plants.Parts.Count; part++)
        {
            string file = Path.Combine(
                context.PathOf(PlantsStep.Name),
                FormattableString.Invariant($"crowns/{part + 1}.tif")
            );
            IReadOnlyList<CrownTemperature> crowns = File.Exists(file)
                ? CrownTemperatures.Of(RasterFile.ReadWhole<int>(file), degrees, errors, pixelMetres, LevelSigmaKelvin)
                : [];
            found.Add(crowns);
            Dictionary<int, PlantRecord> byIndex = plants.Parts[part].Found.Plants.ToDictionary(plant => plant.Index);
            sound.AddRange(
                crowns.Where(crown =>
                    byIndex.TryGetValue(crown.Index, out PlantRecord? plant)
                    && (plant.Quality & IllDefined) == PlantQuality.Good
                )
            );
        }

        StressBaseline baseline = WaterStress.Baseline(sound);
        return (
            [
                .. found.Select(crowns => new StoredPartTemperatures([
                    .. crowns.Select(crown => new StoredCrownTemperature(
                        crown.Index,
                        crown.Celsius,
                        new Measured(
                            crown.Celsius.Value - air!.TemperatureCelsius,
                            double.Hypot(crown.Celsius.Sigma, ThermalAir.AirSigmaKelvin)
                        ),
                        baseline.Holds ? WaterStress.Index(crown, baseline) : Measured.None
                    )),
                ])),
            ],
            baseline
        );
    }

    public StoredTemperature Figures(IReadOnlyList<StoredPartTemperatures> parts, StressBaseline? baseline)
    {
        double[] minusAir =
        [
            .. parts.SelectMany(part => part.Crowns).Select(crown => crown.MinusAirKelvin.Value).Order(),
        ];
        return new StoredTemperature(
            drift?.BeforeKelvin,
            drift?.AfterKelvin,
            drift?.Captures.Max(capture => capture.OffsetKelvin) - drift?.Captures.Min(capture => capture.OffsetKelvin),
            LevelSigmaKelvin,
            air?.TemperatureCelsius,
            air is null ? null : MoistAir.DeficitKilopascals(air.TemperatureCelsius, air.HumidityPercent / 100),
            minusAir.Length == 0 ? null : minusAir[minusAir.Length / 2],
            baseline is { Holds: true } ? baseline.WetCelsius.Value : null,
            baseline is { Holds: true } ? baseline.DryCelsius.Value : null
        );
    }
}
