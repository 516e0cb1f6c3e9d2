using System.Globalization;
using System.Text;
using System.Xml;
using Hillrow.Earth;

namespace Hillrow.Handover;

/// <summary>Layers as one OGC KML 2.2 document, a folder each; shapes lie on the ground.</summary>
public static class KmlLayers
{
    private const string Namespace = "http://www.opengis.net/kml/2.2";

    /// <param name="title">Of the document.</param>
    /// <param name="layers">In the order of drawing.</param>
    /// <param name="destination">UTF-8.</param>
    public static void Write(string title, IReadOnlyList<Layer> layers, Stream destination)
    {
        ArgumentNullException.ThrowIfNull(layers);
        using XmlWriter xml = XmlWriter.Create(
            destination,
            new XmlWriterSettings
            {
                Indent = true,
                NewLineChars = "\n",
                Encoding = new UTF8Encoding(false),
            }
        );
        xml.WriteStartElement("kml", Namespace);
        xml.WriteStartElement("Document");
        xml.WriteElementString("name", title);
        foreach (Layer layer in layers)
        {
            xml.WriteStartElement("Folder");
            xml.WriteElementString("name", layer.Name);
            foreach (LayerFeature feature in layer.Checked().Features)
            {
                Placemark(xml, layer, feature);
            }

            xml.WriteEndElement();
        }

        xml.WriteEndElement();
        xml.WriteEndElement();
    }

    private static void Placemark(XmlWriter xml, Layer layer, LayerFeature feature)
    {
        xml.WriteStartElement("Placemark");
        xml.WriteElementString("name", Text(feature.Values[0]));
        xml.WriteStartElement("ExtendedData");
        for (int at = 0; at < layer.Columns.Count; at++)
        {
            xml.WriteStartElement("Data");
            xml.WriteAttributeString("name", layer.Columns[at].Name);
            xml.WriteElementString("value", Text(feature.Values[at]));
            xml.WriteEndElement();
        }

        xml.WriteEndElement();
        switch (feature.Shape)
        {
            case PlaceShape place:
                xml.WriteStartElement("Point");
                xml.WriteElementString("coordinates", Coordinates(layer.System, [place.Place]));
                xml.WriteEndElement();
                break;
            case WayShape way:
                xml.WriteStartElement("LineString");
                xml.WriteElementString("tessellate", "1");
                xml.WriteElementString("coordinates", Coordinates(layer.System, way.Points));
                xml.WriteEndElement();
                break;
            case AreaShape area:
                xml.WriteStartElement("MultiGeometry");
                foreach (GridPolygon polygon in area.Polygons)
                {
                    xml.WriteStartElement("Polygon");
                    Ring(xml, layer.System, "outerBoundaryIs", RingTurn.Anticlockwise(polygon.Outer));
                    foreach (IReadOnlyList<GridPoint> hole in polygon.Holes)
                    {
                        Ring(xml, layer.System, "innerBoundaryIs", RingTurn.Clockwise(hole));
                    }

                    xml.WriteEndElement();
                }

                xml.WriteEndElement();
                break;
            default:
                throw new InvalidOperationException($"KML cannot hold a {feature.Shape.GetType().Name}.");
        }

        xml.WriteEndElement();
    }

    private static void Ring(XmlWriter xml, ReferenceSystem system, string element, IReadOnlyList<GridPoint> ring)
    {
        xml.WriteStartElement(element);
        xml.WriteStartElement("LinearRing");
        xml.WriteElementString("coordinates", Coordinates(system, ring.Append(ring[0])));
        xml.WriteEndElement();
        xml.WriteEndElement();
    }

    private static string Text(object? value) => Convert.ToString(value, CultureInfo.InvariantCulture) ?? "";

    private static string Coordinates(ReferenceSystem system, IEnumerable<GridPoint> points) =>
        string.Join(
            ' ',
            points.Select(point =>
            {
                GeographicPoint place = system.ToWgs84(point);
                return string.Create(
                    CultureInfo.InvariantCulture,
                    $"{place.Longitude.Degrees:F7},{place.Latitude.Degrees:F7}"
                );
            })
        );
}
