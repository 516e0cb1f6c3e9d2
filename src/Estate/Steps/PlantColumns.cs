using Hillrow.Plants;

namespace Hillrow.Estate;

/// <summary>The columns of observations.gpkg, and a plant's values in their order.</summary>
internal sealed class PlantColumns
{
    public const string GroundHeight = "ground_height_metres";
    public const string TopHeight = "top_height_metres";
    public const string CrownArea = "crown_area_square_metres";
    public const string FoliageDensity = "foliage_density";
    public const string Temperature = "temperature_celsius";
    public const string WaterStressIndex = "water_stress_index";
    public const string Sigma = "_sigma";
    public const string Mean = "_mean";

    private static readonly (string Name, string Unit, string What, Func<PlantRecord, Measured> Of)[] Measures =
    [
        (TopHeight, "m", "top of the plant above ground", plant => plant.TopHeightMetres),
        (
            "upper_height_metres",
            "m",
            "90th percentile of canopy height over the crown",
            plant => plant.UpperHeightMetres
        ),
        (CrownArea, "m2", "area of the crown", plant => plant.CrownAreaSquareMetres),
        ("long_diameter_metres", "m", "longest axis of the crown's ellipse", plant => plant.LongDiameterMetres),
        ("short_diameter_metres", "m", "shortest axis of the crown's ellipse", plant => plant.ShortDiameterMetres),
        ("volume_cubic_metres", "m3", "between ground and canopy top over the crown", plant => plant.VolumeCubicMetres),
        (FoliageDensity, "1", "share of the crown's outline that is foliage", plant => plant.FoliageDensity),
        ("stretch", "1", "top height over mean crown diameter", plant => plant.Stretch),
    ];

    private static readonly (string Name, string Unit, string What, Func<PlantRecord, double> Of)[] Plain =
    [
        ("row_number", "1", "row in the block", plant => plant.Row),
        ("place_in_row", "1", "position in the row, gaps counted", plant => plant.PositionInRow),
        ("place_sigma_metres", "m", "standard error of each coordinate", plant => plant.PlaceSigmaMetres),
        ("shadow_share", "1", "share of the crown in shadow", plant => plant.ShadowShare),
        ("sunlit_pixels", "1", "pixels behind the band values", plant => plant.SunlitPixels),
        (
            "quality",
            "1",
            "sum of: 1 touching, 2 shadowed, 4 cut, 8 off pattern, 16 small, 32 no height, 64 few pixels, 128 double, 256 known from before and inseparable now",
            plant => (double)plant.Quality
        ),
    ];

    private static readonly (string Name, string Unit, string What, Func<StoredCrownTemperature, Measured> Of)[] Heat =
    [
        (
            Temperature,
            "degree Celsius",
            "temperature of the crown, soil in its pixels taken off",
            crown => crown.Celsius
        ),
        ("canopy_minus_air_kelvin", "K", "crown less the air as it was told", crown => crown.MinusAirKelvin),
        (WaterStressIndex, "1", "0 as the flight's coolest crowns, 1 as its hottest", crown => crown.StressIndex),
    ];

    private readonly string[] bands;
    private readonly bool warm;

    private PlantColumns(string[] bands, bool warm)
    {
        this.bands = bands;
        this.warm = warm;
        List<ObservationColumn> columns = [];
        columns.AddRange(Plain.Select(entry => new ObservationColumn(entry.Name, entry.Unit, entry.What)));
        columns.Add(new ObservationColumn(GroundHeight, "m", "ground at the plant, above the WGS 84 ellipsoid"));
        foreach ((string name, string unit, string what, _) in Measures)
        {
            columns.Add(new ObservationColumn(name, unit, what));
            columns.Add(new ObservationColumn(name + Sigma, unit, $"standard error of {name}"));
        }

        foreach ((string name, string unit, string what, _) in warm ? Heat : [])
        {
            columns.Add(new ObservationColumn(name, unit, what));
            columns.Add(new ObservationColumn(name + Sigma, unit, $"standard error of {name}"));
        }

        foreach (string band in bands)
        {
            string name = Word(band);
            columns.Add(new ObservationColumn(name + Mean, "1", $"mean of {band} over the crown's sunlit pixels"));
            columns.Add(new ObservationColumn(name + Mean + Sigma, "1", $"standard error of {name}{Mean}"));
            columns.Add(new ObservationColumn(name + "_median", "1", $"median of {band} over the same pixels"));
            columns.Add(new ObservationColumn(name + "_deviation", "1", $"standard deviation between the pixels"));
        }

        Columns = columns;
    }

    public IReadOnlyList<ObservationColumn> Columns { get; }

    /// <summary>Columns for all bands and indices that any of the plants has.</summary>
    /// <param name="plants">Of the survey.</param>
    /// <param name="warm">Temperatures of crowns are known.</param>
    public static PlantColumns For(IEnumerable<PlantRecord> plants, bool warm = false) =>
        new(
            [
                .. plants
                    .SelectMany(plant => plant.Values.Select(value => value.Name))
                    .Distinct(StringComparer.Ordinal)
                    .OrderBy(name => name, StringComparer.Ordinal),
            ],
            warm
        );

    public double[] ValuesOf(PlantRecord plant, double groundHeightMetres, StoredCrownTemperature? crown = null)
    {
        List<double> values = [.. Plain.Select(entry => entry.Of(plant)), groundHeightMetres];
        foreach ((_, _, _, Func<PlantRecord, Measured> of) in Measures)
        {
            Measured measured = of(plant);
            values.Add(measured.Value);
            values.Add(measured.Sigma);
        }

        foreach ((_, _, _, Func<StoredCrownTemperature, Measured> of) in warm ? Heat : [])
        {
            Measured measured = crown is null ? Measured.None : of(crown);
            values.Add(measured.Value);
            values.Add(measured.Sigma);
        }

        foreach (string band in bands)
        {
            CrownValue? value = plant.Values.FirstOrDefault(entry => entry.Name == band);
            values.Add(value?.Mean.Value ?? double.NaN);
            values.Add(value?.Mean.Sigma ?? double.NaN);
            values.Add(value?.Median ?? double.NaN);
            values.Add(value?.Deviation ?? double.NaN);
        }

        return [.. values];
    }

    /// <summary>"red edge" → "red_edge".</summary>
    public static string Word(string name) =>
        string.Concat(name.ToLowerInvariant().Select(c => char.IsAsciiLetterOrDigit(c) ? c : '_'));
}
