using System.Text;
using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Numerics;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>Reads polygons from GeoJSON.</summary>
/// <remarks>
/// Source: RFC 7946 (longitude, latitude on WGS 84), and the older <c>crs</c> member by EPSG name, which many programs
/// still write.
/// </remarks>
public static class GeoJsonBoundaries
{
    private const int DeepestNesting = 32;

    /// <exception cref="InputProblemException">Damaged, cut short, not GeoJSON, or in a system we do not know.</exception>
    public static BoundarySet Read(ReadOnlyMemory<byte> bytes, string path)
    {
        try
        {
            using JsonDocument document = JsonDocument.Parse(
                Utf8(bytes),
                new JsonDocumentOptions { MaxDepth = DeepestNesting }
            );
            return ReadRoot(document.RootElement, path);
        }
        catch (Exception fault)
            when (fault is JsonException or InvalidDataException or InvalidOperationException or FormatException)
        {
            // InvalidOperation: a text with broken escapes cannot be turned into characters.
            string what = fault switch
            {
                InvalidOperationException => "a text in it is not valid Unicode",
                JsonException broken => WhereBroken(broken),
                _ => fault.Message,
            };
            throw BoundaryFile.Damaged(path, what, fault);
        }
    }

    /// <summary>
    /// The text without its byte order mark, in UTF-8: RFC 8259 asks for that, but editors write marks and UTF-16 too.
    /// </summary>
    private static ReadOnlyMemory<byte> Utf8(ReadOnlyMemory<byte> bytes) =>
        bytes.Span switch
        {
            [0xEF, 0xBB, 0xBF, ..] => bytes[3..],
            [0xFF, 0xFE, ..] => Encoding.UTF8.GetBytes(Encoding.Unicode.GetString(bytes.Span[2..])),
            [0xFE, 0xFF, ..] => Encoding.UTF8.GetBytes(Encoding.BigEndianUnicode.GetString(bytes.Span[2..])),
            _ => bytes,
        };

    private static string WhereBroken(JsonException fault) =>
        fault is { LineNumber: { } line, BytePositionInLine: { } position }
            ? FormattableString.Invariant(
                $"it stops being JSON at line {line + 1}, byte {position + 1}; a GeoJSON file starts with {{ and ends with its closing }}"
            )
            : fault.Message;

    private static BoundarySet ReadRoot(JsonElement root, string path)
    {
        RingCollector collector = new();
        List<Boundary> boundaries = [];
        switch (TypeOf(root))
        {
            case "FeatureCollection":
                JsonElement features = Member(root, "features", JsonValueKind.Array);
                if (features.GetArrayLength() > BoundaryLimits.Features)
                {
                    throw new InvalidDataException($"it has more than {BoundaryLimits.Features} features");
                }

                int number = 0;
                foreach (JsonElement feature in features.EnumerateArray())
                {
                    AddFeature(feature, FormattableString.Invariant($"feature {++number}"), collector, boundaries);
                }

                break;
            case "Feature":
                AddFeature(root, "feature 1", collector, boundaries);
                break;
            case "":
                throw new InvalidDataException("it has no \"type\", so it is no GeoJSON");
            default:
                AddGeometry(root, "geometry 1", new Dictionary<string, string>(), collector, boundaries);
                break;
        }

        BoundarySet set = new(path, SystemOf(root, path), boundaries, collector.Notes);
        CheckDegrees(set);
        return set;
    }

    private static void AddFeature(
        JsonElement feature,
        string where,
        RingCollector collector,
        List<Boundary> boundaries
    )
    {
        if (TypeOf(feature) != "Feature")
        {
            throw new InvalidDataException($"{where} is no Feature");
        }

        Dictionary<string, string> attributes = new(StringComparer.OrdinalIgnoreCase);
        if (
            feature.TryGetProperty("properties", out JsonElement properties)
            && properties.ValueKind == JsonValueKind.Object
        )
        {
            foreach (JsonProperty property in properties.EnumerateObject())
            {
                string text = property.Value.ValueKind switch
                {
                    JsonValueKind.String => property.Value.GetString()!,
                    JsonValueKind.Number or JsonValueKind.True or JsonValueKind.False => property.Value.GetRawText(),
                    _ => "",
                };
                if (text.Length is > 0 and <= BoundaryLimits.TextLength)
                {
                    attributes[property.Name] = text;
                }
            }
        }

        if (feature.TryGetProperty("geometry", out JsonElement geometry) && geometry.ValueKind == JsonValueKind.Object)
        {
            AddGeometry(geometry, where, attributes, collector, boundaries);
        }
        else
        {
            collector.Notes.Add($"{where}: has no geometry and was left out");
        }
    }

    private static void AddGeometry(
        JsonElement geometry,
        string where,
        Dictionary<string, string> attributes,
        RingCollector collector,
        List<Boundary> boundaries
    )
    {
        List<Polygon> polygons = [];
        if (Collect(geometry, where, collector, polygons, 0))
        {
            if (polygons.Count > 0)
            {
                boundaries.Add(new Boundary(where, attributes, polygons));
            }
        }
        else
        {
            collector.Notes.Add($"{where}: is a {TypeOf(geometry)}, no polygon, and was left out");
        }
    }

    /// <returns>False when it is neither a polygon nor a collection.</returns>
    private static bool Collect(
        JsonElement geometry,
        string where,
        RingCollector collector,
        List<Polygon> polygons,
        int depth
    )
    {
        switch (TypeOf(geometry))
        {
            case "Polygon":
                AddPolygon(Member(geometry, "coordinates", JsonValueKind.Array), where, collector, polygons);
                return true;
            case "MultiPolygon":
                foreach (JsonElement part in Member(geometry, "coordinates", JsonValueKind.Array).EnumerateArray())
                {
                    AddPolygon(part, where, collector, polygons);
                }

                return true;
            case "GeometryCollection" when depth < 4:
                foreach (JsonElement part in Member(geometry, "geometries", JsonValueKind.Array).EnumerateArray())
                {
                    Collect(part, where, collector, polygons, depth + 1);
                }

                return true;
            default:
                return false;
        }
    }

    private static void AddPolygon(JsonElement rings, string where, RingCollector collector, List<Polygon> polygons)
    {
        List<IReadOnlyList<Coordinate>> read = [];
        foreach (JsonElement ring in Items(rings, where))
        {
            List<Coordinate> points = [];
            foreach (JsonElement point in Items(ring, where))
            {
                if (
                    point.ValueKind != JsonValueKind.Array
                    || point.GetArrayLength() < 2
                    || point[0].ValueKind != JsonValueKind.Number
                    || point[1].ValueKind != JsonValueKind.Number
                )
                {
                    throw new InvalidDataException($"{where} has a position that is not two numbers");
                }

                points.Add(new Coordinate(point[0].GetDouble(), point[1].GetDouble()));
            }

            read.Add(points);
        }

        if (collector.Polygon(where, read) is { } polygon)
        {
            polygons.Add(polygon);
        }
    }

    private static IEnumerable<JsonElement> Items(JsonElement element, string where) =>
        element.ValueKind == JsonValueKind.Array
            ? element.EnumerateArray()
            : throw new InvalidDataException($"{where} has coordinates that are no list");

    private static string TypeOf(JsonElement element) =>
        element.ValueKind == JsonValueKind.Object
        && element.TryGetProperty("type", out JsonElement type)
        && type.ValueKind == JsonValueKind.String
            ? type.GetString()!
            : "";

    private static JsonElement Member(JsonElement element, string name, JsonValueKind kind) =>
        element.TryGetProperty(name, out JsonElement value) && value.ValueKind == kind
            ? value
            : throw new InvalidDataException($"it has no \"{name}\" of the right kind");

    private static ReferenceSystem SystemOf(JsonElement root, string path)
    {
        if (
            !root.TryGetProperty("crs", out JsonElement crs)
            || crs.ValueKind != JsonValueKind.Object
            || !crs.TryGetProperty("properties", out JsonElement properties)
            || properties.ValueKind != JsonValueKind.Object
            || !properties.TryGetProperty("name", out JsonElement name)
            || name.ValueKind != JsonValueKind.String
        )
        {
            return ReferenceSystem.Wgs84Geographic;
        }

        return ReferenceSystemText.FromName(name.GetString()!, path);
    }

    private static void CheckDegrees(BoundarySet set)
    {
        if (
            set.ReferenceSystem.IsGeographic
            && set.Boundaries.SelectMany(boundary => boundary.Polygons)
                .Any(polygon => polygon.EnvelopeInternal.MaxX > 360 || Math.Abs(polygon.EnvelopeInternal.MaxY) > 90.001)
        )
        {
            throw new InputProblemException(
                set.File,
                "its coordinates are no longitudes and latitudes, and it does not say which system they are in.",
                "Export it as WGS 84 longitude/latitude (RFC 7946), or as a GeoPackage, which names its system."
            );
        }
    }
}
