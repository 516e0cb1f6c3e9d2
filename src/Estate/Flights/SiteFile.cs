using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>One thing of a flying site as drawn in any GIS.</summary>
/// <param name="Kind">home, no-fly, obstacle or track.</param>
/// <param name="Name">As drawn.</param>
/// <param name="Shape">GeoJSON's word: Point, LineString or Polygon (outer ring only).</param>
/// <param name="Places">WGS 84.</param>
/// <param name="HeightMetres">Above ground, for obstacles.</param>
internal sealed record SiteFeature(
    string Kind,
    string Name,
    string Shape,
    IReadOnlyList<GeographicPoint> Places,
    double HeightMetres
);

/// <summary>
/// Reads a flying site: GeoJSON features with the property <c>kind</c> (home, no-fly, obstacle, track), obstacles with
/// <c>heightMetres</c> above ground.
/// </summary>
internal static class SiteFile
{
    private const long LargestBytes = 32L << 20;
    private const int MostPlaces = 200_000;

    private static readonly string[] Kinds = ["home", "no-fly", "obstacle", "track"];

    /// <exception cref="InputProblemException">Missing, damaged, or a feature at fault: all are told.</exception>
    public static IReadOnlyList<SiteFeature> Read(string path)
    {
        if (!File.Exists(path) || new FileInfo(path).Length > LargestBytes)
        {
            throw new InputProblemException(
                path,
                File.Exists(path) ? "is too large for a flying site." : "does not exist.",
                "Name a GeoJSON file of homes, no-fly areas, obstacles and tracks."
            );
        }

        try
        {
            using JsonDocument document = JsonDocument.Parse(File.ReadAllBytes(path));
            return Features(document.RootElement, path);
        }
        catch (Exception fault)
            when (fault
                    is JsonException
                        or InvalidOperationException
                        or KeyNotFoundException
                        or FormatException
                        or IOException
                        or UnauthorizedAccessException
                        or ArgumentException
            )
        {
            throw new InputProblemException(
                path,
                $"is no GeoJSON feature collection ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
                "Export the site again as GeoJSON (RFC 7946).",
                fault
            );
        }
    }

    private static List<SiteFeature> Features(JsonElement root, string path)
    {
        List<SiteFeature> found = [];
        List<string> problems = [];
        int number = 0;
        int places = 0;
        foreach (JsonElement feature in root.GetProperty("features").EnumerateArray())
        {
            number++;
            JsonElement properties = feature.GetProperty("properties");
            string kind = Text(properties, "kind");
            string name = Text(properties, "name") is { Length: > 0 } told ? told : $"{kind} {number}";
            if (!Kinds.Contains(kind))
            {
                problems.Add($"feature {number} has the kind \"{kind}\" (there are {string.Join(", ", Kinds)})");
                continue;
            }

            double height =
                properties.TryGetProperty("heightMetres", out JsonElement metres)
                && metres.ValueKind == JsonValueKind.Number
                    ? metres.GetDouble()
                    : double.NaN;
            if (kind == "obstacle" && !(height is > 0 and <= 1000))
            {
                problems.Add($"obstacle \"{name}\" has no heightMetres between 0 and 1000");
                continue;
            }

            foreach (SiteFeature one in Shapes(feature.GetProperty("geometry"), kind, name, height))
            {
                places += one.Places.Count;
                bool fits =
                    kind == "home" ? one.Shape == "Point"
                    : kind == "no-fly" ? one.Shape == "Polygon"
                    : kind != "track" || one.Shape == "LineString";
                if (!fits || places > MostPlaces)
                {
                    problems.Add(
                        fits
                            ? "it has too many points"
                            : $"{kind} \"{name}\" is a {one.Shape}, but must be a {(kind == "home" ? "Point" : kind == "track" ? "LineString" : "Polygon")}"
                    );
                    break;
                }

                found.Add(one);
            }
        }

        return problems.Count == 0
            ? found
            : throw new InputProblemException(
                path,
                string.Join("; ", problems.Take(8)) + ".",
                "Correct the features' properties in a GIS."
            );
    }

    private static IEnumerable<SiteFeature> Shapes(JsonElement geometry, string kind, string name, double height)
    {
        string type = geometry.GetProperty("type").GetString() ?? "";
        JsonElement at = geometry.GetProperty("coordinates");
        SiteFeature Make(string shape, IEnumerable<GeographicPoint> places) =>
            new(kind, name, shape, [.. places], height);
        switch (type)
        {
            case "Point":
                yield return Make("Point", [Place(at)]);
                break;
            case "LineString":
                yield return Make("LineString", at.EnumerateArray().Select(Place));
                break;
            case "Polygon":
                yield return Make("Polygon", Ring(at));
                break;
            case "MultiPolygon":
                foreach (JsonElement polygon in at.EnumerateArray())
                {
                    yield return Make("Polygon", Ring(polygon));
                }

                break;
            case "MultiLineString":
                foreach (JsonElement line in at.EnumerateArray())
                {
                    yield return Make("LineString", line.EnumerateArray().Select(Place));
                }

                break;
            case "MultiPoint":
                foreach (JsonElement point in at.EnumerateArray())
                {
                    yield return Make("Point", [Place(point)]);
                }

                break;
            default:
                throw new FormatException($"a geometry of the type \"{type}\"");
        }
    }

    private static IEnumerable<GeographicPoint> Ring(JsonElement polygon)
    {
        GeographicPoint[] ring = [.. polygon[0].EnumerateArray().Select(Place)];
        return ring.Length >= 4 ? ring.SkipLast(1) : throw new FormatException("a ring of fewer than four positions");
    }

    private static GeographicPoint Place(JsonElement position)
    {
        double longitude = position[0].GetDouble();
        double latitude = position[1].GetDouble();
        return Math.Abs(latitude) <= 84 && Math.Abs(longitude) <= 180
            ? GeographicPoint.FromDegrees(latitude, longitude)
            : throw new FormatException("a position outside the earth; GeoJSON has longitude first");
    }

    private static string Text(JsonElement properties, string key) =>
        properties.ValueKind == JsonValueKind.Object
        && properties.TryGetProperty(key, out JsonElement value)
        && value.ValueKind == JsonValueKind.String
            ? value.GetString()!
            : "";
}
