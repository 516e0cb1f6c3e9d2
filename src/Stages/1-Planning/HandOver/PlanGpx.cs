using System.Globalization;
using System.Xml;

namespace Hillrow.Planning;

/// <summary>The plan as GPX 1.1: homes and marks as waypoints, each sortie as a route; elevations above sea level.</summary>
public static class PlanGpx
{
    public static string Of(PlanningResult plan, string name)
    {
        ArgumentNullException.ThrowIfNull(plan);
        PlanPlaces places = new(plan.Input.Frame);
        using MemoryStream bytes = new();
        using (XmlWriter gpx = XmlWriter.Create(bytes, XmlText.Settings))
        {
            gpx.WriteStartElement("gpx", "http://www.topografix.com/GPX/1/1");
            gpx.WriteAttributeString("version", "1.1");
            gpx.WriteAttributeString("creator", "Hillrow");
            gpx.WriteStartElement("metadata");
            gpx.WriteElementString("name", name);
            gpx.WriteEndElement();
            foreach (Sortie sortie in plan.Sorties.DistinctBy(sortie => sortie.Home.Name))
            {
                Point(gpx, "wpt", places.Of(sortie.Home.Place, sortie.HomeUpMetres), sortie.Home.Name, "home");
            }

            foreach (ProposedMark mark in plan.Marks)
            {
                Point(
                    gpx,
                    "wpt",
                    places.Of(mark.Place, mark.UpMetres),
                    mark.Name,
                    mark.IsCheckpoint ? "checkpoint" : "ground control"
                );
            }

            foreach (Sortie sortie in plan.Sorties)
            {
                gpx.WriteStartElement("rte");
                gpx.WriteElementString("name", $"Sortie {sortie.Number}");
                int number = 0;
                foreach (Waypoint point in Waypoint.Of(sortie))
                {
                    Point(
                        gpx,
                        "rtept",
                        places.Of(point.Sample.Place, point.Sample.UpMetres, sortie),
                        string.Create(CultureInfo.InvariantCulture, $"{sortie.Number}.{++number}"),
                        ""
                    );
                }

                gpx.WriteEndElement();
            }

            gpx.WriteEndElement();
        }

        return XmlText.Of(bytes);
    }

    private static void Point(XmlWriter gpx, string element, WorldPlace at, string name, string description)
    {
        gpx.WriteStartElement(element);
        gpx.WriteAttributeString("lat", at.LatitudeDegrees.ToString("0.00000000", CultureInfo.InvariantCulture));
        gpx.WriteAttributeString("lon", at.LongitudeDegrees.ToString("0.00000000", CultureInfo.InvariantCulture));
        gpx.WriteElementString("ele", at.SeaLevelMetres.ToString("0.00", CultureInfo.InvariantCulture));
        gpx.WriteElementString("name", name);
        if (description.Length > 0)
        {
            gpx.WriteElementString("desc", description);
        }

        gpx.WriteEndElement();
    }
}
