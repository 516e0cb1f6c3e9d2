using System.Globalization;
using System.Xml;
using Hillrow.Earth;
using Hillrow.Numerics;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>Reads the polygons of KML placemarks, with their names and data.</summary>
/// <remarks>
/// Source: OGC 12-007r2 (KML 2.3): longitude, latitude[, height] on WGS 84. Entities and document types are forbidden,
/// which is where XML bombs live.
/// </remarks>
public static class KmlBoundaries
{
    private static readonly XmlReaderSettings Settings = new()
    {
        DtdProcessing = DtdProcessing.Prohibit,
        XmlResolver = null,
        MaxCharactersInDocument = BoundaryLimits.FileBytes,
        IgnoreComments = true,
        IgnoreProcessingInstructions = true,
    };

    /// <exception cref="InputProblemException">Damaged, cut short, or no KML.</exception>
    public static BoundarySet Read(byte[] bytes, string path)
    {
        try
        {
            using MemoryStream stream = new(bytes, writable: false);
            using XmlReader reader = XmlReader.Create(stream, Settings);
            return ReadDocument(reader, path);
        }
        catch (Exception fault)
            when (fault is XmlException or InvalidDataException or ArgumentException or InvalidOperationException)
        {
            throw BoundaryFile.Damaged(path, fault.Message, fault);
        }
    }

    private static BoundarySet ReadDocument(XmlReader reader, string path)
    {
        RingCollector collector = new();
        List<Boundary> boundaries = [];
        reader.MoveToContent();
        if (reader.LocalName != "kml")
        {
            throw new InvalidDataException("it does not start with a kml element");
        }

        int number = 0;
        bool links = false;
        while (reader.Read())
        {
            links |= reader.NodeType == XmlNodeType.Element && reader.LocalName == "NetworkLink";
            if (reader.NodeType == XmlNodeType.Element && reader.LocalName == "Placemark")
            {
                if (++number > BoundaryLimits.Features)
                {
                    throw new InvalidDataException($"it has more than {BoundaryLimits.Features} placemarks");
                }

                ReadPlacemark(reader, FormattableString.Invariant($"placemark {number}"), collector, boundaries);
            }
        }

        if (links)
        {
            collector.Notes.Add("it links to another file, which was not read: export the outlines themselves");
        }

        return new BoundarySet(path, ReferenceSystem.Wgs84Geographic, boundaries, collector.Notes);
    }

    private static void ReadPlacemark(
        XmlReader reader,
        string where,
        RingCollector collector,
        List<Boundary> boundaries
    )
    {
        Dictionary<string, string> attributes = new(StringComparer.OrdinalIgnoreCase);
        List<Polygon> polygons = [];
        if (reader.IsEmptyElement)
        {
            return;
        }

        int depth = reader.Depth;
        string dataName = "";
        bool other = false;
        while (reader.Read() && reader.Depth > depth)
        {
            if (reader.NodeType != XmlNodeType.Element)
            {
                continue;
            }

            switch (reader.LocalName)
            {
                case "name" when reader.Depth == depth + 1:
                    Keep(attributes, "name", TextOf(reader));
                    break;
                case "Data":
                    dataName = reader.GetAttribute("name") ?? "";
                    break;
                case "value" when dataName.Length > 0:
                    Keep(attributes, dataName, TextOf(reader));
                    dataName = "";
                    break;
                case "SimpleData":
                    string name = reader.GetAttribute("name") ?? "";
                    Keep(attributes, name, TextOf(reader));
                    break;
                case "Polygon":
                    ReadPolygon(reader, where, collector, polygons);
                    break;
                case "Point" or "LineString" or "Model":
                    other = true;
                    break;
            }
        }

        if (polygons.Count > 0)
        {
            boundaries.Add(new Boundary(where, attributes, polygons));
        }
        else if (other)
        {
            collector.Notes.Add($"{where}: is no polygon and was left out");
        }
    }

    private static void ReadPolygon(XmlReader reader, string where, RingCollector collector, List<Polygon> polygons)
    {
        if (reader.IsEmptyElement)
        {
            return;
        }

        int depth = reader.Depth;
        List<Coordinate>? outer = null;
        List<IReadOnlyList<Coordinate>> holes = [];
        bool inner = false;
        while (reader.Read() && reader.Depth > depth)
        {
            if (reader.NodeType != XmlNodeType.Element)
            {
                continue;
            }

            if (reader.LocalName is "outerBoundaryIs" or "innerBoundaryIs")
            {
                inner = reader.LocalName[0] == 'i';
            }
            else if (reader.LocalName == "coordinates")
            {
                List<Coordinate> ring = Coordinates(TextOf(reader), where);
                if (inner)
                {
                    holes.Add(ring);
                }
                else
                {
                    outer = ring;
                }
            }
        }

        if (outer is not null && collector.Polygon(where, [outer, .. holes]) is { } polygon)
        {
            polygons.Add(polygon);
        }
    }

    private static List<Coordinate> Coordinates(string text, string where)
    {
        List<Coordinate> points = [];
        foreach (
            string tuple in text.Split(
                (char[]?)null,
                StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries
            )
        )
        {
            string[] parts = tuple.Split(',');
            if (
                parts.Length < 2
                || !double.TryParse(parts[0], NumberStyles.Float, CultureInfo.InvariantCulture, out double longitude)
                || !double.TryParse(parts[1], NumberStyles.Float, CultureInfo.InvariantCulture, out double latitude)
                || Math.Abs(latitude) > 90.001
                || Math.Abs(longitude) > 360
            )
            {
                string shown = tuple[..Math.Min(40, tuple.Length)];
                throw new InvalidDataException(
                    $"{where} has the coordinates \"{shown}\", which are no longitude,latitude"
                );
            }

            points.Add(new Coordinate(longitude, latitude));
        }

        return points;
    }

    /// <summary>Text up to the element's end; the reader stays on the end, so that the caller's Read goes on after it.</summary>
    private static string TextOf(XmlReader reader)
    {
        if (reader.IsEmptyElement)
        {
            return "";
        }

        int depth = reader.Depth;
        System.Text.StringBuilder text = new();
        while (reader.Read() && reader.Depth > depth)
        {
            if (reader.NodeType is XmlNodeType.Text or XmlNodeType.CDATA or XmlNodeType.SignificantWhitespace)
            {
                text.Append(reader.Value);
            }
        }

        return text.ToString();
    }

    private static void Keep(Dictionary<string, string> attributes, string name, string value)
    {
        string trimmed = value.Trim();
        if (name.Length is > 0 and <= 200 && trimmed.Length is > 0 and <= BoundaryLimits.TextLength)
        {
            attributes.TryAdd(name, trimmed);
        }
    }
}
