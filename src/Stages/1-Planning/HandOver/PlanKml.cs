using System.Globalization;
using System.Text;
using System.Xml;

namespace Hillrow.Planning;

/// <summary>The plan as KML 2.3 (OGC 12-007r2): blocks, routes with absolute heights above sea level, homes, marks.</summary>
public static class PlanKml
{
    private const string Namespace = "http://www.opengis.net/kml/2.3";

    public static string Of(PlanningResult plan, string name)
    {
        ArgumentNullException.ThrowIfNull(plan);
        PlanPlaces places = new(plan.Input.Frame);
        using MemoryStream bytes = new();
        using (XmlWriter kml = XmlWriter.Create(bytes, XmlText.Settings))
        {
            kml.WriteStartElement("kml", Namespace);
            kml.WriteAttributeString("version", "2.3");
            kml.WriteStartElement("Document");
            kml.WriteElementString("name", name);
            kml.WriteElementString("description", string.Join("\n", PlanCautions.Always));
            foreach (PlanBlock block in plan.Input.Blocks)
            {
                Area(kml, places, block.Name, block.Parts, "ff33aa33");
            }

            foreach (NoFlyArea area in plan.Input.NoFly)
            {
                Area(kml, places, area.Name, [area.Outline], "ff0000ff");
            }

            foreach (Sortie sortie in plan.Sorties)
            {
                Route(kml, places, sortie);
            }

            foreach (ProposedMark mark in plan.Marks)
            {
                Point(
                    kml,
                    places.Of(mark.Place, mark.UpMetres),
                    mark.Name,
                    mark.IsCheckpoint ? "checkpoint" : "ground control"
                );
            }

            kml.WriteEndElement();
            kml.WriteEndElement();
        }

        return XmlText.Of(bytes);
    }

    private static void Route(XmlWriter kml, PlanPlaces places, Sortie sortie)
    {
        kml.WriteStartElement("Folder");
        kml.WriteElementString("name", $"Sortie {sortie.Number}");
        Point(kml, places.Of(sortie.Home.Place, sortie.HomeUpMetres), sortie.Home.Name, "take-off and landing");
        kml.WriteStartElement("Placemark");
        kml.WriteElementString("name", $"Route of sortie {sortie.Number}");
        kml.WriteElementString("description", "Heights above sea level (EGM96).");
        kml.WriteStartElement("LineString");
        kml.WriteElementString("altitudeMode", "absolute");
        kml.WriteElementString(
            "coordinates",
            string.Join(
                ' ',
                Waypoint
                    .Of(sortie)
                    .Select(point => places.Of(point.Sample.Place, point.Sample.UpMetres, sortie))
                    .Select(at => Position(at, at.SeaLevelMetres))
            )
        );
        kml.WriteEndElement();
        kml.WriteEndElement();
        kml.WriteEndElement();
    }

    private static void Area(
        XmlWriter kml,
        PlanPlaces places,
        string name,
        IReadOnlyList<PlanPolygon> parts,
        string colour
    )
    {
        kml.WriteStartElement("Placemark");
        kml.WriteElementString("name", name);
        kml.WriteStartElement("Style");
        kml.WriteStartElement("LineStyle");
        kml.WriteElementString("color", colour);
        kml.WriteEndElement();
        kml.WriteStartElement("PolyStyle");
        kml.WriteElementString("fill", "0");
        kml.WriteEndElement();
        kml.WriteEndElement();
        kml.WriteStartElement("MultiGeometry");
        foreach (PlanPolygon part in parts)
        {
            kml.WriteStartElement("Polygon");
            Ring(kml, places, "outerBoundaryIs", part.Outer);
            foreach (IReadOnlyList<PlanPoint> hole in part.Holes)
            {
                Ring(kml, places, "innerBoundaryIs", hole);
            }

            kml.WriteEndElement();
        }

        kml.WriteEndElement();
        kml.WriteEndElement();
    }

    private static void Ring(XmlWriter kml, PlanPlaces places, string side, IReadOnlyList<PlanPoint> ring)
    {
        kml.WriteStartElement(side);
        kml.WriteStartElement("LinearRing");
        kml.WriteElementString(
            "coordinates",
            string.Join(' ', ring.Append(ring[0]).Select(point => Position(places.Of(point, 0), 0)))
        );
        kml.WriteEndElement();
        kml.WriteEndElement();
    }

    private static void Point(XmlWriter kml, WorldPlace at, string name, string description)
    {
        kml.WriteStartElement("Placemark");
        kml.WriteElementString("name", name);
        kml.WriteElementString("description", description);
        kml.WriteStartElement("Point");
        kml.WriteElementString("coordinates", Position(at, at.SeaLevelMetres));
        kml.WriteEndElement();
        kml.WriteEndElement();
    }

    private static string Position(WorldPlace at, double metres) =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"{at.LongitudeDegrees:0.00000000},{at.LatitudeDegrees:0.00000000},{metres:0.00}"
        );
}

/// <summary>How XML is written: UTF-8, indented, no characters that XML forbids.</summary>
internal static class XmlText
{
    public static XmlWriterSettings Settings { get; } =
        new()
        {
            Indent = true,
            Encoding = new UTF8Encoding(encoderShouldEmitUTF8Identifier: false),
            OmitXmlDeclaration = false,
        };

    public static string Of(MemoryStream bytes) => Encoding.UTF8.GetString(bytes.ToArray()) + "\n";
}
