using System.Globalization;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Numerics;
using Tomlyn.Model;

namespace Hillrow.Estate;

/// <summary>What survey.toml says: the camera that was flown, or what the map that was brought instead holds.</summary>
/// <param name="Camera">Camera profile, relative to the estate: "cameras/NAME.toml"; null where a map was brought.</param>
/// <param name="Map">Bands of the map that was brought; null where captures were.</param>
/// <param name="Air">As read at the flight; null when not told.</param>
public sealed record SurveySettings(string? Camera, BroughtBands? Map = null, AirReadings? Air = null);

/// <summary>Reads and writes a survey's settings.</summary>
public static class SurveyToml
{
    public const string FileName = "survey.toml";

    private const int LongestBytes = 1 << 16;
    private const string CameraKey = "camera";
    private const string MapKey = "map";
    private const string BandsKey = "bands";
    private const string OneKey = "reflectance_one";
    private const string AirKey = "air";

    public static string Write(SurveySettings settings)
    {
        if (settings.Map is not { } map)
        {
            return $"""
                # A survey of Hillrow.
                # The camera's profile, relative to the estate.
                camera = "{settings.Camera}"
                {AirText(settings.Air)}
                """;
        }

        string one = map.ReflectanceOne is { } value
            ? string.Create(CultureInfo.InvariantCulture, $"{OneKey} = {value:0.0###############}\n")
            : "# Its numbers are no reflectance.\n";
        return $"""
            # A survey of Hillrow that came as a map (maps/), not as captures.
            [map]
            # Each band of the file in its order.
            bands = [{string.Join(", ", map.Bands.Select(band => $"\"{band}\""))}]
            {one}
            """;
    }

    /// <exception cref="InputProblemException">The file is missing, too long, no TOML, or says something unknown.</exception>
    public static SurveySettings Read(string path)
    {
        FileInfo file = new(path);
        if (!file.Exists || file.Length > LongestBytes)
        {
            throw new InputProblemException(
                path,
                file.Exists ? $"{file.Length} bytes are no settings file." : "does not exist.",
                "Add the survey with `hillrow survey add`, or restore the file."
            );
        }

        TomlTable root = TomlText.Read(File.ReadAllText(path), path);
        string? unknown = root.Keys.FirstOrDefault(key => key is not (CameraKey or MapKey or AirKey));
        if (unknown is not null)
        {
            throw new InputProblemException(
                path,
                $"does not know \"{unknown}\".",
                $"There is: {CameraKey} and [{AirKey}], or [{MapKey}]."
            );
        }

        if (root.TryGetValue(MapKey, out object? map) && !root.ContainsKey(CameraKey))
        {
            return new SurveySettings(null, MapOf(map, path));
        }

        return
            root.TryGetValue(CameraKey, out object? value)
            && !root.ContainsKey(MapKey)
            && value is string camera
            && camera.Length is > 0 and < 200
            && !camera.Any(char.IsControl)
            ? new SurveySettings(camera) { Air = root.TryGetValue(AirKey, out object? air) ? AirOf(air, path) : null }
            : throw new InputProblemException(
                path,
                "does not name the camera.",
                "Write camera = \"cameras/NAME.toml\"."
            );
    }

    private static string AirText(AirReadings? air) =>
        air is null
            ? ""
            : string.Create(
                CultureInfo.InvariantCulture,
                $"""

                # The air beside the crop, in the shade, during the flight.
                [{AirKey}]
                {AirReadings.TemperatureKey} = {air.TemperatureCelsius:0.0##}
                {AirReadings.HumidityKey} = {air.HumidityPercent:0.0##}

                """
            );

    private static AirReadings AirOf(object? value, string path)
    {
        double celsius = double.NaN;
        double percent = double.NaN;
        bool right =
            value is TomlTable table
            && table.Keys.All(key => key is AirReadings.TemperatureKey or AirReadings.HumidityKey)
            && Number(table, AirReadings.TemperatureKey, out celsius)
            && Number(table, AirReadings.HumidityKey, out percent);
        return right
            ? new AirReadings(celsius, percent).Checked(path)
            : throw new InputProblemException(
                path,
                $"[{AirKey}] does not tell the air.",
                $"Write {AirReadings.TemperatureKey} and {AirReadings.HumidityKey}, both numbers."
            );

        static bool Number(TomlTable of, string key, out double number)
        {
            number = double.NaN;
            if (!of.TryGetValue(key, out object? found) || found is not (double or long))
            {
                return false;
            }

            number = Convert.ToDouble(found, CultureInfo.InvariantCulture);
            return true;
        }
    }

    private static BroughtBands MapOf(object? value, string path)
    {
        double? one = null;
        bool right =
            value is TomlTable table
            && table.Keys.All(key => key is BandsKey or OneKey)
            && (
                !table.TryGetValue(OneKey, out object? number)
                || (number is double or long && (one = Convert.ToDouble(number, CultureInfo.InvariantCulture)) > 0)
            )
            && table.TryGetValue(BandsKey, out object? bands)
            && bands is TomlArray { Count: > 0 and < 1000 } array
            && array.All(band => band is string word && BandWords.IsOne(word));
        return right
            ? new BroughtBands(
                [.. ((TomlArray)((TomlTable)value!)[BandsKey]).Select(band => (string)band!)],
                one is { } known && double.IsFinite(known) ? known : null
            )
            : throw new InputProblemException(
                path,
                $"[{MapKey}] does not say what its bands are.",
                $"Write {BandsKey} = [\"red\", \"green\", \"blue\", \"nir\"], and {OneKey} = NUMBER when its numbers are reflectance."
            );
    }
}
