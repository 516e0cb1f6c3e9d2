using System.Globalization;
using System.Text.Json;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Reads surveyed points from a GeoJSON feature collection (RFC 7946).</summary>
/// <remarks>
/// Each feature is a Point with longitude, latitude and height; its properties carry what the columns of points.csv
/// do: id, and if known role, sigma_horizontal, sigma_height, height_reference; height when the point has none. The
/// standard gives heights above the WGS 84 ellipsoid.
/// </remarks>
internal static class GeoJsonPoints
{
    private static readonly string[] Properties =
    [
        "id",
        "role",
        "sigma_horizontal",
        "sigma_height",
        "height_reference",
        "height",
    ];

    /// <param name="bytes">UTF-8, with or without a byte order mark.</param>
    /// <param name="file">For messages.</param>
    /// <exception cref="InputProblemException">It is no GeoJSON, or no collection of points.</exception>
    public static IReadOnlyList<ControlLine> Read(ReadOnlyMemory<byte> bytes, string file)
    {
        try
        {
            ReadOnlyMemory<byte> text = bytes.Span.StartsWith("\uFEFF"u8) ? bytes[3..] : bytes;
            using JsonDocument document = JsonDocument.Parse(text);
            return
                document.RootElement.ValueKind == JsonValueKind.Object
                && document.RootElement.TryGetProperty("features", out JsonElement features)
                && features.ValueKind == JsonValueKind.Array
                ? [.. features.EnumerateArray().Select((feature, index) => LineOf(feature, Where(file, index)))]
                : throw new InputProblemException(
                    file,
                    "it is no feature collection.",
                    "Save the points as a GeoJSON FeatureCollection."
                );
        }
        catch (Exception problem) when (problem is JsonException or InvalidOperationException)
        {
            // Texts with broken escapes show only when they are taken out.
            throw new InputProblemException(file, $"it is no JSON: {problem.Message}", "Save the points again.");
        }
    }

    private static string Where(string file, int index) =>
        string.Create(CultureInfo.InvariantCulture, $"{file}, feature {index + 1}");

    private static ControlLine LineOf(JsonElement feature, string where)
    {
        JsonElement[] place = PlaceOf(feature, where);
        Dictionary<string, string> cells = new(StringComparer.Ordinal)
        {
            ["longitude"] = Text(place[0]),
            ["latitude"] = Text(place[1]),
        };
        if (feature.TryGetProperty("properties", out JsonElement told) && told.ValueKind == JsonValueKind.Object)
        {
            foreach (string name in Properties)
            {
                if (told.TryGetProperty(name, out JsonElement value))
                {
                    cells[name] = Text(value);
                }
            }
        }

        if (place.Length > 2)
        {
            cells["height"] = Text(place[2]);
        }

        return new ControlLine(where, [.. cells.Keys], [.. cells.Values]);
    }

    private static JsonElement[] PlaceOf(JsonElement feature, string where) =>
        feature.ValueKind == JsonValueKind.Object
        && feature.TryGetProperty("geometry", out JsonElement shape)
        && shape.ValueKind == JsonValueKind.Object
        && shape.TryGetProperty("type", out JsonElement type)
        && type.ValueKind == JsonValueKind.String
        && type.ValueEquals("Point")
        && shape.TryGetProperty("coordinates", out JsonElement coordinates)
        && coordinates.ValueKind == JsonValueKind.Array
        && coordinates.GetArrayLength() >= 2
            ? [.. coordinates.EnumerateArray()]
            : throw new InputProblemException(
                where,
                "it is no point with longitude and latitude.",
                "Keep only points in the file."
            );

    private static string Text(JsonElement value) =>
        value.ValueKind switch
        {
            JsonValueKind.String => value.GetString() ?? "",
            JsonValueKind.Null => "",
            _ => value.GetRawText(),
        };
}
