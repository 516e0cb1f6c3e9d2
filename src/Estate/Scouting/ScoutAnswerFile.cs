using System.Globalization;
using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Findings;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>
/// Reads answers that come back from a walk: CSV with a head line (comma or semicolon), or GeoJSON points with the same
/// words as properties. survey, plant and state must be there; cause, sample, who, answered, latitude, longitude and
/// note may.
/// </summary>
public static class ScoutAnswerFile
{
    private const long LargestBytes = 16L << 20;
    private const int MostAnswers = 100_000;
    private const int LongestText = 500;

    /// <exception cref="InputProblemException">Missing, damaged, or an answer at fault; the line is told.</exception>
    public static IReadOnlyList<ScoutAnswer> Read(string path)
    {
        if (!File.Exists(path) || new FileInfo(path).Length > LargestBytes)
        {
            throw new InputProblemException(
                path,
                File.Exists(path) ? "is too large for a walk's answers." : "does not exist.",
                "Name the CSV file that the walk page saved, or a GeoJSON file of answers."
            );
        }

        try
        {
            string text = File.ReadAllText(path).TrimStart('\uFEFF');
            IReadOnlyList<(string Where, Dictionary<string, string> Cells)> rows = text.TrimStart().StartsWith('{')
                ? FromGeoJson(text)
                : FromCsv(text, path);
            if (rows.Count > MostAnswers)
            {
                throw Wrong(path, $"has more than {MostAnswers} answers.");
            }

            return
            [
                .. rows.Where(row => Cell(row.Cells, "state").Length > 0)
                    .Select(row => Answer(path, row.Where, row.Cells)),
            ];
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
                $"cannot be read as answers ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
                "Save the answers again from the walk page.",
                fault
            );
        }
    }

    private static InputProblemException Wrong(string path, string problem) =>
        new(path, problem, "Put that line right and add the file again; nothing of it was stored.");

    private static List<(string, Dictionary<string, string>)> FromGeoJson(string text)
    {
        using JsonDocument document = JsonDocument.Parse(text);
        List<(string, Dictionary<string, string>)> rows = [];
        int number = 0;
        foreach (JsonElement feature in document.RootElement.GetProperty("features").EnumerateArray())
        {
            Dictionary<string, string> cells = new(StringComparer.OrdinalIgnoreCase);
            foreach (JsonProperty property in feature.GetProperty("properties").EnumerateObject())
            {
                cells[property.Name] = property.Value.ValueKind switch
                {
                    JsonValueKind.String => property.Value.GetString()!,
                    JsonValueKind.Number => property.Value.GetRawText(),
                    _ => "",
                };
            }

            if (
                feature.TryGetProperty("geometry", out JsonElement geometry)
                && geometry.ValueKind == JsonValueKind.Object
                && geometry.GetProperty("type").GetString() == "Point"
            )
            {
                JsonElement place = geometry.GetProperty("coordinates");
                cells["longitude"] = place[0].GetRawText();
                cells["latitude"] = place[1].GetRawText();
            }

            rows.Add(($"feature {++number}", cells));
        }

        return rows;
    }

    private static List<(string, Dictionary<string, string>)> FromCsv(string text, string path)
    {
        List<(int Line, List<string> Cells)> lines = CsvText.Rows(text);
        if (lines.Count == 0)
        {
            throw Wrong(path, "is empty.");
        }

        string[] names = [.. lines[0].Cells.Select(name => name.Trim().ToLowerInvariant())];
        string[] missing = [.. new[] { "survey", "plant", "state" }.Except(names)];
        if (missing.Length > 0)
        {
            throw Wrong(path, $"has no column {string.Join(", ", missing)} in its first line.");
        }

        return
        [
            .. lines
                .Skip(1)
                .Where(line => line.Cells.Exists(cell => cell.Length > 0))
                .Select(line =>
                {
                    Dictionary<string, string> cells = new(StringComparer.OrdinalIgnoreCase);
                    for (int at = 0; at < Math.Min(names.Length, line.Cells.Count); at++)
                    {
                        cells[names[at]] = line.Cells[at];
                    }

                    return ($"line {line.Line}", cells);
                }),
        ];
    }

    private static string Cell(Dictionary<string, string> cells, string name) =>
        cells.GetValueOrDefault(name, "").Trim();

    private static ScoutAnswer Answer(string path, string where, Dictionary<string, string> cells)
    {
        string Text(string name)
        {
            string text = Cell(cells, name);
            return text.Length <= LongestText && !text.Any(char.IsControl)
                ? text
                : throw Wrong(path, $"{where}: {name} is too long or has control characters.");
        }

        string survey = Text("survey");
        if (!SurveyFolder.IsId(survey))
        {
            throw Wrong(path, $"{where}: \"{survey}\" is not a survey's id.");
        }

        if (!long.TryParse(Cell(cells, "plant"), NumberStyles.None, CultureInfo.InvariantCulture, out long plant))
        {
            throw Wrong(path, $"{where}: \"{Cell(cells, "plant")}\" is not a plant's number.");
        }

        string state =
            ScoutAnswerWords.StateOf(Text("state"))
            ?? throw Wrong(
                path,
                $"{where}: state \"{Text("state")}\" is none of healthy, light, moderate, severe, dead, gone."
            );
        string cause = Text("cause").ToLowerInvariant();
        cause = cause.Length == 0 ? "unknown" : cause;
        if (!ScoutAnswerWords.Causes.Contains(cause))
        {
            throw Wrong(path, $"{where}: cause \"{cause}\" is none of {string.Join(", ", ScoutAnswerWords.Causes)}.");
        }

        string when = Text("answered");
        DateTimeOffset answered = default;
        if (
            when.Length > 0
            && !DateTimeOffset.TryParse(
                when,
                CultureInfo.InvariantCulture,
                DateTimeStyles.AssumeUniversal | DateTimeStyles.AdjustToUniversal,
                out answered
            )
        )
        {
            throw Wrong(path, $"{where}: \"{when}\" is not a time.");
        }

        return new ScoutAnswer(
            survey,
            plant,
            state == ScoutAnswerWords.Gone ? null : Enum.Parse<SeenState>(state, ignoreCase: true),
            cause,
            Text("sample"),
            Text("who"),
            answered,
            Place(path, where, cells),
            Text("note")
        );
    }

    private static GeographicPoint? Place(string path, string where, Dictionary<string, string> cells)
    {
        (string latitude, string longitude) = (Cell(cells, "latitude"), Cell(cells, "longitude"));
        if (latitude.Length == 0 || longitude.Length == 0)
        {
            return null;
        }

        return
            double.TryParse(latitude, NumberStyles.Float, CultureInfo.InvariantCulture, out double north)
            && double.TryParse(longitude, NumberStyles.Float, CultureInfo.InvariantCulture, out double east)
            && Math.Abs(north) <= 84
            && Math.Abs(east) <= 180
            ? new GeographicPoint(Angle.FromDegrees(north), Angle.FromDegrees(east))
            : throw Wrong(path, $"{where}: {latitude}, {longitude} is no place in degrees.");
    }
}
