using System.Globalization;
using System.Text;
using System.Xml;
using Hillrow.Earth;

namespace Hillrow.Handover;

/// <summary>The walk list in open formats: a table, a route for a receiver, a layer for a globe.</summary>
public static class WalkFiles
{
    private const string Gpx = "http://www.topografix.com/GPX/1/1";
    private const string Kml = "http://www.opengis.net/kml/2.2";

    /// <summary>
    /// RFC 4180, UTF-8: one line a stop, with empty columns for the answer, so that the table filled in is a file of answers.
    /// </summary>
    public static void WriteCsv(WalkContent content, Stream destination)
    {
        ArgumentNullException.ThrowIfNull(content);
        ReportTexts texts = ReportTexts.Of(content.Language);
        StringBuilder table = new(
            "stop,survey,plant,block,patch,latitude,longitude,task,state,cause,sample,who,answered,note\r\n"
        );
        foreach (WalkRow stop in content.Stops)
        {
            table.Append(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{stop.Number},{content.Survey},{stop.Plant},{Quoted(stop.Block)},{Quoted(stop.Patch)},{stop.Place.Latitude.Degrees:F7},{stop.Place.Longitude.Degrees:F7},{Quoted(texts["walk." + stop.Task])},,,,,,\r\n"
                )
            );
        }

        destination.Write(Encoding.UTF8.GetBytes(table.ToString()));
    }

    /// <summary>GPX 1.1: every stop a waypoint, the round a track.</summary>
    public static void WriteGpx(WalkContent content, Stream destination)
    {
        ArgumentNullException.ThrowIfNull(content);
        ReportTexts texts = ReportTexts.Of(content.Language);
        using XmlWriter xml = Writer(destination);
        xml.WriteStartElement("gpx", Gpx);
        xml.WriteAttributeString("version", "1.1");
        xml.WriteAttributeString("creator", "Hillrow");
        xml.WriteStartElement("metadata");
        xml.WriteElementString("name", Title(content, texts));
        xml.WriteEndElement();
        foreach (WalkRow stop in content.Stops)
        {
            xml.WriteStartElement("wpt");
            Place(xml, stop.Place);
            xml.WriteElementString("name", stop.Number.ToString(CultureInfo.InvariantCulture));
            xml.WriteElementString("desc", Description(stop, texts));
            xml.WriteElementString("type", stop.Task);
            xml.WriteEndElement();
        }

        xml.WriteStartElement("trk");
        xml.WriteElementString("name", Title(content, texts));
        xml.WriteStartElement("trkseg");
        foreach (GeographicPoint place in content.Way)
        {
            xml.WriteStartElement("trkpt");
            Place(xml, place);
            xml.WriteEndElement();
        }

        xml.WriteEndElement();
        xml.WriteEndElement();
        xml.WriteEndElement();
    }

    /// <summary>OGC KML 2.2: every stop a placemark, the round a line on the ground.</summary>
    public static void WriteKml(WalkContent content, Stream destination)
    {
        ArgumentNullException.ThrowIfNull(content);
        ReportTexts texts = ReportTexts.Of(content.Language);
        using XmlWriter xml = Writer(destination);
        xml.WriteStartElement("kml", Kml);
        xml.WriteStartElement("Document");
        xml.WriteElementString("name", Title(content, texts));
        foreach (WalkRow stop in content.Stops)
        {
            xml.WriteStartElement("Placemark");
            xml.WriteElementString("name", stop.Number.ToString(CultureInfo.InvariantCulture));
            xml.WriteElementString("description", Description(stop, texts));
            xml.WriteStartElement("Point");
            xml.WriteElementString("coordinates", Coordinates(stop.Place));
            xml.WriteEndElement();
            xml.WriteEndElement();
        }

        xml.WriteStartElement("Placemark");
        xml.WriteElementString("name", texts["walk.way"]);
        xml.WriteStartElement("LineString");
        xml.WriteElementString("tessellate", "1");
        xml.WriteElementString("coordinates", string.Join(' ', content.Way.Select(Coordinates)));
        xml.WriteEndElement();
        xml.WriteEndElement();
        xml.WriteEndElement();
        xml.WriteEndElement();
    }

    internal static string Title(WalkContent content, ReportTexts texts) =>
        texts.Fill("walk.title", content.EstateName, texts.Date(content.SurveyDate));

    private static string Description(WalkRow stop, ReportTexts texts)
    {
        string where = texts.Fill("walk.plant", stop.Block, stop.Plant);
        string steep = stop.IsSteep ? $" {texts["walk.steep"]}" : "";
        return $"{where}. {texts["walk." + stop.Task]}{steep}";
    }

    private static string Quoted(string text) =>
        text.AsSpan().IndexOfAny(",\"\r\n") < 0 ? text : $"\"{text.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";

    private static XmlWriter Writer(Stream destination) =>
        XmlWriter.Create(
            destination,
            new XmlWriterSettings
            {
                Indent = true,
                NewLineChars = "\n",
                Encoding = new UTF8Encoding(encoderShouldEmitUTF8Identifier: false),
                CloseOutput = false,
            }
        );

    private static void Place(XmlWriter xml, GeographicPoint place)
    {
        xml.WriteAttributeString("lat", place.Latitude.Degrees.ToString("F7", CultureInfo.InvariantCulture));
        xml.WriteAttributeString("lon", place.Longitude.Degrees.ToString("F7", CultureInfo.InvariantCulture));
    }

    private static string Coordinates(GeographicPoint place) =>
        string.Create(CultureInfo.InvariantCulture, $"{place.Longitude.Degrees:F7},{place.Latitude.Degrees:F7}");
}
