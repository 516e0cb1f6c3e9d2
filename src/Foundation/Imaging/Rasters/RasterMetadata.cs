using System.Globalization;
using System.Text;
using System.Xml;
using Hillrow.Earth;

namespace Hillrow.Imaging;

/// <summary>Band names, units, scales and further items in the XML of tag 42112, as GDAL registered and reads it.</summary>
/// <param name="Bands">One label a band; "band 1" … where the file names none.</param>
/// <param name="Statistics">One entry a band, null where the file has none.</param>
/// <param name="Items">What belongs to the whole raster.</param>
/// <param name="Heights">What our own item says of heights.</param>
internal sealed record RasterMetadata(
    IReadOnlyList<BandLabel> Bands,
    IReadOnlyList<BandStatistics?> Statistics,
    IReadOnlyDictionary<string, string> Items,
    VerticalReference? Heights
)
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

                xml.WriteString(Escape(value));
                xml.WriteEndElement();
            }
        }

        return items > 0 ? text.ToString() : null;
    }

    /// <summary>Reads the XML of a directory, if it has any.</summary>
    /// <exception cref="Hillrow.Numerics.InputProblemException">The XML is none, or a scale or offset is no number.</exception>
    public static RasterMetadata Read(TiffDirectory directory, int bandCount)
    {
        Dictionary<string, string> items = [];
        Dictionary<string, string>[] ofBands =
        [
            .. Enumerable.Range(0, bandCount).Select(_ => new Dictionary<string, string>()),
        ];
        if (directory.Text(TiffTags.GdalMetadata) is { Length: > 0 } text)
        {
            ReadItems(directory, text, items, ofBands);
        }

        VerticalReference? heights =
            items.Remove(HeightsItem, out string? reference) && Enum.TryParse(reference, out VerticalReference known)
                ? known
                : null;
        return new RasterMetadata(
            [.. ofBands.Select((of, band) => LabelOf(directory, of, band))],
            [.. ofBands.Select(StatisticsOf)],
            items,
            heights
        );
    }

    private static void ReadItems(
        TiffDirectory directory,
        string text,
        Dictionary<string, string> items,
        Dictionary<string, string>[] ofBands
    )
    {
        try
        {
            using XmlReader xml = XmlReader.Create(
                new StringReader(text),
                new XmlReaderSettings { DtdProcessing = DtdProcessing.Prohibit, XmlResolver = null }
            );
            while (xml.Read())
            {
                if (xml.NodeType != XmlNodeType.Element || xml.Name != "Item")
                {
                    continue;
                }

                string? name = xml.GetAttribute("name");
                string? sample = xml.GetAttribute("sample");
                string? domain = xml.GetAttribute("domain");
                string? role = xml.GetAttribute("role");
                using XmlReader content = xml.ReadSubtree();
                content.Read();
                string value = Unescape(content.ReadElementContentAsString());
                if (name is null || domain is not null)
                {
                    continue;
                }

                if (sample is null)
                {
                    items[name] = value;
                }
                else if (
                    int.TryParse(sample, CultureInfo.InvariantCulture, out int band)
                    && band >= 0
                    && band < ofBands.Length
                )
                {
                    ofBands[band][role ?? name] = value;
                }
            }
        }
        catch (XmlException fault)
        {
            throw directory.File.Damaged($"its metadata (tag 42112) are not XML: {fault.Message}");
        }
    }

    // GDAL escapes the texts once more inside the XML and undoes that on reading; without it an "&" is cut off there.
    private static string Escape(string text) =>
        text.Replace("&", "&amp;").Replace("<", "&lt;").Replace(">", "&gt;").Replace("\"", "&quot;");

    private static string Unescape(string text) =>
        text.Replace("&lt;", "<")
            .Replace("&gt;", ">")
            .Replace("&quot;", "\"")
            .Replace("&apos;", "'")
            .Replace("&amp;", "&");

    private static BandLabel LabelOf(TiffDirectory directory, Dictionary<string, string> of, int band)
    {
        double scale = Number("scale", 1);
        return new BandLabel(
            of.GetValueOrDefault("description") is { Length: > 0 } name ? name : $"band {band + 1}",
            of.GetValueOrDefault("unittype") ?? "",
            scale.Equals(0.0) ? 1 : scale,
            Number("offset", 0)
        );

        double Number(string role, double absent) =>
            !of.TryGetValue(role, out string? text) ? absent
            : double.TryParse(text, CultureInfo.InvariantCulture, out double value) && double.IsFinite(value) ? value
            : throw directory.File.Damaged($"the {role} of band {band + 1} (tag 42112) is no number.");
    }

    private static BandStatistics? StatisticsOf(Dictionary<string, string> of)
    {
        return
            Number("STATISTICS_MINIMUM") is { } minimum
            && Number("STATISTICS_MAXIMUM") is { } maximum
            && Number("STATISTICS_MEAN") is { } mean
            && Number("STATISTICS_STDDEV") is { } deviation
            ? new BandStatistics(minimum, maximum, mean, deviation)
            : null;

        double? Number(string name) =>
            of.TryGetValue(name, out string? text)
            && double.TryParse(text, CultureInfo.InvariantCulture, out double value)
                ? value
                : null;
    }
}
