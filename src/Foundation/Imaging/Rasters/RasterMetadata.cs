using System.Globalization;
using System.Text;
using System.Xml;

namespace Hillrow.Imaging;

/// <summary>Band names, units, scales and further items in the XML of tag 42112, as GDAL registered and reads it.</summary>
internal static class RasterMetadata
{
    /// <summary>Item that says what heights are measured from; the GeoKeys alone are read differently by programs.</summary>
    public const string HeightsItem = "HEIGHTS_ABOVE";

    /// <summary>The XML of a label, or null when there is nothing to say.</summary>
    public static string? Write(RasterLabel label)
    {
        StringBuilder text = new();
        XmlWriterSettings settings = new()
        {
            OmitXmlDeclaration = true,
            Indent = true,
            NewLineChars = "\n",
            CheckCharacters = true,
        };
        int items = 0;
        using (XmlWriter xml = XmlWriter.Create(text, settings))
        {
            xml.WriteStartElement("GDALMetadata");
            foreach ((string name, string value) in label.Items.OrderBy(item => item.Key, StringComparer.Ordinal))
            {
                Item(name, null, null, value);
            }

            if (label.Heights is { } heights)
            {
                Item(HeightsItem, null, null, heights.ToString());
            }

            for (int band = 0; band < label.Bands.Count; band++)
            {
                BandLabel of = label.Bands[band];
                if (of.Name.Length > 0)
                {
                    Item("DESCRIPTION", band, "description", of.Name);
                }

                if (of.IsScaled)
                {
                    Item("OFFSET", band, "offset", of.Offset.ToString("R", CultureInfo.InvariantCulture));
                    Item("SCALE", band, "scale", of.Scale.ToString("R", CultureInfo.InvariantCulture));
                }

                if (of.Unit.Length > 0)
                {
                    Item("UNITTYPE", band, "unittype", of.Unit);
                }
            }

            xml.WriteEndElement();

            void Item(string name, int? sample, string? role, string value)
            {
                items++;
                xml.WriteStartElement("Item");
                xml.WriteAttributeString("name", name);
                if (sample is { } band)
                {
                    xml.WriteAttributeString("sample", band.ToString(CultureInfo.InvariantCulture));
                    xml.WriteAttributeString("role", role);
                }

                xml.WriteString(value);
                xml.WriteEndElement();
            }
        }

        return items > 0 ? text.ToString() : null;
    }
}
