using System.Globalization;
using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>A place of a survey with what a person says of it.</summary>
/// <param name="Place">On WGS 84.</param>
/// <param name="Word">One of <see cref="LabelWords"/>.</param>
public sealed record PlaceLabel(GeographicPoint Place, string Word);

/// <summary>What a label may say.</summary>
public static class LabelWords
{
    /// <summary>A plant of the crop stands there; whether thin or healthy is kept for people to read.</summary>
    public static IReadOnlyList<string> Plants { get; } = ["plant", "healthy", "thin"];

    /// <summary>No plant of the crop stands there.</summary>
    public static IReadOnlyList<string> Others { get; } = ["weed", "empty"];

    public static bool IsPlant(string word) => Plants.Contains(word);
}

/// <summary>
/// Reads labelled places: CSV with a head line (comma or semicolon; latitude, longitude, label), or GeoJSON points with a
/// property label. Labels are plant, healthy, thin; weed, empty.
/// </summary>
public static class LabelFile
{
    private const long LargestBytes = 16L << 20;
    private const string Remedy = "Put it right and give the file again; nothing of it was stored.";

    /// <exception cref="InputProblemException">Missing, damaged, or a line at fault, which is told.</exception>
    public static IReadOnlyList<PlaceLabel> Read(string path)
    {
        if (!File.Exists(path) || new FileInfo(path).Length > LargestBytes)
        {
            throw new InputProblemException(
                path,
                File.Exists(path) ? "is too large for labels." : "does not exist.",
                "Name a CSV file with latitude, longitude and label, or GeoJSON points with a label."
            );
        }

        try
        {
            string text = File.ReadAllText(path).TrimStart('\uFEFF');
            IReadOnlyList<PlaceLabel> labels = text.TrimStart().StartsWith('{')
                ? FromGeoJson(path, text)
                : FromCsv(path, text);
            return labels.Count > 0 ? labels : throw new InputProblemException(path, "holds no label.", Remedy);
        }
        catch (Exception fault)
            when (fault
                    is IOException
                        or UnauthorizedAccessException
                        or JsonException
                        or InvalidOperationException
                        or KeyNotFoundException
            )
        {
            throw new InputProblemException(
                path,
                $"cannot be read as labels ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
                "Save it again as CSV or GeoJSON points.",
                fault
            );
        }
    }

    private static List<PlaceLabel> FromGeoJson(string path, string text)
    {
        using JsonDocument document = JsonDocument.Parse(text);
        List<PlaceLabel> labels = [];
        int number = 0;
        foreach (JsonElement feature in document.RootElement.GetProperty("features").EnumerateArray())
        {
            string where = $"feature {++number}";
            JsonElement geometry = feature.GetProperty("geometry");
            if (geometry.GetProperty("type").GetString() != "Point")
            {
                throw new InputProblemException(path, $"{where} is no point.", Remedy);
            }

            JsonElement place = geometry.GetProperty("coordinates");
            string word = feature.GetProperty("properties").GetProperty("label").GetString() ?? "";
            labels.Add(Label(path, where, place[1].GetRawText(), place[0].GetRawText(), word));
        }

        return labels;
    }

    private static List<PlaceLabel> FromCsv(string path, string text)
    {
        List<(int Line, List<string> Cells)> lines = CsvText.Rows(text);
        string[] names = lines.Count == 0 ? [] : [.. lines[0].Cells.Select(name => name.Trim().ToLowerInvariant())];
        int[] columns = [.. new[] { "latitude", "longitude", "label" }.Select(name => Array.IndexOf(names, name))];
        return columns.Contains(-1)
            ? throw new InputProblemException(
                path,
                "has no columns latitude, longitude and label in its first line.",
                Remedy
            )
            :
            [
                .. lines
                    .Skip(1)
                    .Where(line => line.Cells.Exists(cell => cell.Length > 0))
                    .Select(line =>
                        line.Cells.Count > columns.Max()
                            ? Label(
                                path,
                                $"line {line.Line}",
                                line.Cells[columns[0]],
                                line.Cells[columns[1]],
                                line.Cells[columns[2]]
                            )
                            : throw new InputProblemException(path, $"line {line.Line} is too short.", Remedy)
                    ),
            ];
    }

    private static PlaceLabel Label(string path, string where, string latitude, string longitude, string text)
    {
        string word = text.Trim().ToLowerInvariant();
        bool isPlace =
            double.TryParse(latitude, NumberStyles.Float, CultureInfo.InvariantCulture, out double north)
            & double.TryParse(longitude, NumberStyles.Float, CultureInfo.InvariantCulture, out double east);
        return !LabelWords.Plants.Contains(word) && !LabelWords.Others.Contains(word)
                ? throw new InputProblemException(
                    path,
                    $"{where}: label \"{text}\" is none of {string.Join(", ", LabelWords.Plants.Concat(LabelWords.Others))}.",
                    Remedy
                )
            : isPlace && Math.Abs(north) <= 84 && Math.Abs(east) <= 180
                ? new PlaceLabel(GeographicPoint.FromDegrees(north, east), word)
            : throw new InputProblemException(
                path,
                $"{where}: {latitude}, {longitude} is no place in degrees.",
                Remedy
            );
    }
}
