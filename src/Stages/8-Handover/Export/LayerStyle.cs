using System.Globalization;
using System.Text;
using System.Xml;

namespace Hillrow.Handover;

/// <summary>One class of a layer's style.</summary>
/// <param name="Title">As the legend says it.</param>
/// <param name="Column">Column that decides, or null for all features.</param>
/// <param name="Value">Its value.</param>
/// <param name="Mark">circle, square, triangle, x or star, for places.</param>
/// <param name="Fill">#rrggbb or null for none.</param>
/// <param name="Stroke">#rrggbb.</param>
/// <param name="Size">Of a mark, or width of a line, pixels.</param>
public sealed record StyleRule(
    string Title,
    string? Column,
    string? Value,
    string Mark,
    string? Fill,
    string Stroke,
    double Size
);

/// <summary>Styles as OGC SLD 1.0.0, read by any GIS; shapes differ beside colours, for grey prints.</summary>
public static class LayerStyle
{
    private const string Sld = "http://www.opengis.net/sld";
    private const string Filter = "http://www.opengis.net/ogc";

    public static void Write(string name, LayerKind kind, IReadOnlyList<StyleRule> rules, Stream destination)
    {
        ArgumentNullException.ThrowIfNull(rules);
        using XmlWriter xml = Begin(name, destination);
        foreach (StyleRule rule in rules)
        {
            xml.WriteStartElement("Rule", Sld);
            xml.WriteElementString("Name", Sld, rule.Title);
            xml.WriteElementString("Title", Sld, rule.Title);
            if (rule.Column is not null)
            {
                xml.WriteStartElement("ogc", "Filter", Filter);
                xml.WriteStartElement("PropertyIsEqualTo", Filter);
                xml.WriteElementString("PropertyName", Filter, rule.Column);
                xml.WriteElementString("Literal", Filter, rule.Value);
                xml.WriteEndElement();
                xml.WriteEndElement();
            }

            Symbol(xml, kind, rule);
            xml.WriteEndElement();
        }

        End(xml);
    }

    /// <summary>A raster's colours, low to high, evenly spaced over the range.</summary>
    public static void WriteRamp(
        string name,
        double low,
        double high,
        IReadOnlyList<string> colours,
        Stream destination
    )
    {
        ArgumentNullException.ThrowIfNull(colours);
        using XmlWriter xml = Begin(name, destination);
        xml.WriteStartElement("Rule", Sld);
        xml.WriteStartElement("RasterSymbolizer", Sld);
        xml.WriteStartElement("ColorMap", Sld);
        for (int at = 0; at < colours.Count; at++)
        {
            double value = low + ((high - low) * at / (colours.Count - 1));
            xml.WriteStartElement("ColorMapEntry", Sld);
            xml.WriteAttributeString("color", colours[at]);
            xml.WriteAttributeString("quantity", value.ToString("0.####", CultureInfo.InvariantCulture));
            xml.WriteAttributeString("label", value.ToString("0.##", CultureInfo.InvariantCulture));
            xml.WriteEndElement();
        }

        xml.WriteEndElement();
        xml.WriteEndElement();
        xml.WriteEndElement();
        End(xml);
    }

    private static XmlWriter Begin(string name, Stream destination)
    {
        XmlWriter xml = XmlWriter.Create(
            destination,
            new XmlWriterSettings
            {
                Indent = true,
                NewLineChars = "\n",
                Encoding = new UTF8Encoding(false),
            }
        );
        xml.WriteStartElement("StyledLayerDescriptor", Sld);
        xml.WriteAttributeString("version", "1.0.0");
        xml.WriteStartElement("NamedLayer", Sld);
        xml.WriteElementString("Name", Sld, name);
        xml.WriteStartElement("UserStyle", Sld);
        xml.WriteStartElement("FeatureTypeStyle", Sld);
        return xml;
    }

    private static void End(XmlWriter xml)
    {
        for (int depth = 0; depth < 4; depth++)
        {
            xml.WriteEndElement();
        }
    }

    private static void Symbol(XmlWriter xml, LayerKind kind, StyleRule rule)
    {
        if (kind == LayerKind.Places)
        {
            xml.WriteStartElement("PointSymbolizer", Sld);
            xml.WriteStartElement("Graphic", Sld);
            xml.WriteStartElement("Mark", Sld);
            xml.WriteElementString("WellKnownName", Sld, rule.Mark);
            Fill(xml, rule);
            Stroke(xml, rule.Stroke, 1);
            xml.WriteEndElement();
            xml.WriteElementString("Size", Sld, rule.Size.ToString(CultureInfo.InvariantCulture));
            xml.WriteEndElement();
            xml.WriteEndElement();
            return;
        }

        xml.WriteStartElement(kind == LayerKind.Ways ? "LineSymbolizer" : "PolygonSymbolizer", Sld);
        if (kind == LayerKind.Areas)
        {
            Fill(xml, rule);
        }

        Stroke(xml, rule.Stroke, rule.Size);
        xml.WriteEndElement();
    }

    private static void Fill(XmlWriter xml, StyleRule rule)
    {
        if (rule.Fill is null)
        {
            return;
        }

        xml.WriteStartElement("Fill", Sld);
        Parameter(xml, "fill", rule.Fill);
        xml.WriteEndElement();
    }

    private static void Stroke(XmlWriter xml, string colour, double width)
    {
        xml.WriteStartElement("Stroke", Sld);
        Parameter(xml, "stroke", colour);
        Parameter(xml, "stroke-width", width.ToString(CultureInfo.InvariantCulture));
        xml.WriteEndElement();
    }

    private static void Parameter(XmlWriter xml, string name, string value)
    {
        xml.WriteStartElement("CssParameter", Sld);
        xml.WriteAttributeString("name", name);
        xml.WriteString(value);
        xml.WriteEndElement();
    }
}
