using System.Text;
using System.Xml;

namespace Hillrow.Imaging;

/// <summary>Walks one rdf:RDF element and collects its simple values and lists under their paths.</summary>
internal sealed class XmpCollector(string name, XmpLimits limits)
{
    private readonly List<KeyValuePair<PropertyKey, PropertyValue>> properties = [];
    private readonly HashSet<PropertyKey> seen = [];
    private long characters;

    /// <summary>In the order of the packet; of a property that comes twice the first.</summary>
    public IReadOnlyList<KeyValuePair<PropertyKey, PropertyValue>> Properties => properties;

    /// <param name="reader">On the start of rdf:RDF; afterwards on its end.</param>
    public void ReadGraph(XmlReader reader)
    {
        foreach (XmlReader node in Children(reader))
        {
            ReadNode(node, "", "");
        }
    }

    /// <summary>A node element: rdf:Description or a typed node. Its attributes and children are properties.</summary>
    private void ReadNode(XmlReader reader, string rootUri, string path)
    {
        ReadAttributeProperties(reader, rootUri, path);
        foreach (XmlReader child in Children(reader))
        {
            ReadProperty(child, rootUri, path);
        }
    }

    private void ReadProperty(XmlReader reader, string rootUri, string path)
    {
        string uri = path.Length == 0 ? reader.NamespaceURI : rootUri;
        ReadValue(reader, uri, Join(path, uri, reader.NamespaceURI, reader.LocalName));
    }

    /// <summary>The value of a property element or list item that the reader stands on.</summary>
    private void ReadValue(XmlReader reader, string uri, string path)
    {
        string? resource = reader.GetAttribute("resource", XmpReader.Rdf);
        string? kind = reader.GetAttribute("parseType", XmpReader.Rdf);
        if (reader.GetAttribute("lang", XmpReader.Xml) is { } language)
        {
            Add(uri, path + "/@lang", [language]);
        }

        if (kind == "Resource")
        {
            ReadNode(reader, uri, path);
            return;
        }

        bool structured = ReadAttributeProperties(reader, uri, path);
        StringBuilder text = new();
        bool nested = false;
        if (!reader.IsEmptyElement)
        {
            int depth = reader.Depth;
            while (Next(reader) && reader.Depth > depth)
            {
                if (reader.NodeType == XmlNodeType.Element)
                {
                    ReadNested(reader, uri, path);
                    nested = true;
                }
                else if (
                    reader.NodeType
                    is XmlNodeType.Text
                        or XmlNodeType.CDATA
                        or XmlNodeType.SignificantWhitespace
                        or XmlNodeType.Whitespace
                )
                {
                    text.Append(reader.Value);
                }
            }
        }

        if (resource is not null)
        {
            Add(uri, path, [resource]);
        }
        else if (!nested && (!structured || text.Length > 0))
        {
            Add(uri, path, [text.ToString()]);
        }
    }

    private void ReadNested(XmlReader reader, string uri, string path)
    {
        if (reader.NamespaceURI == XmpReader.Rdf && reader.LocalName is "Seq" or "Bag" or "Alt")
        {
            ReadList(reader, uri, path);
        }
        else
        {
            ReadNode(reader, uri, path);
        }
    }

    /// <summary>Simple items become one value with many texts; structured ones get paths of their own.</summary>
    private void ReadList(XmlReader reader, string uri, string path)
    {
        List<string> simple = [];
        int item = 0;
        bool anySimple = false;
        foreach (XmlReader child in Children(reader))
        {
            item++;
            int before = properties.Count;
            string itemPath = FormattableString.Invariant($"{path}[{item}]");
            ReadValue(child, uri, itemPath);
            PropertyKey own = PropertyKey.Xmp(uri, itemPath);
            int place = properties.FindIndex(before, entry => entry.Key == own);
            if (place >= 0)
            {
                simple.Add(properties[place].Value.Texts[0]);
                anySimple = true;
                seen.Remove(own);
                properties.RemoveAt(place);
            }
            else
            {
                // Keeps later items at their places; a structure has no text of its own.
                simple.Add("");
            }
        }

        if (anySimple || item == 0)
        {
            Add(uri, path, [.. simple]);
        }
    }

    /// <summary>True when at least one attribute is a property.</summary>
    private bool ReadAttributeProperties(XmlReader reader, string rootUri, string path)
    {
        bool any = false;
        if (reader.MoveToFirstAttribute())
        {
            do
            {
                if (IsProperty(reader))
                {
                    string uri = path.Length == 0 ? reader.NamespaceURI : rootUri;
                    Add(uri, Join(path, uri, reader.NamespaceURI, reader.LocalName), [reader.Value]);
                    any = true;
                }
            } while (reader.MoveToNextAttribute());

            reader.MoveToElement();
        }

        return any;
    }

    private static bool IsProperty(XmlReader attribute) =>
        attribute.NamespaceURI is not (XmpReader.Rdf or XmpReader.Xml or XmpReader.Xmlns or "")
        || (attribute.NamespaceURI == XmpReader.Rdf && attribute.LocalName == "value");

    private string Join(string path, string rootUri, string uri, string local)
    {
        Spend(path.Length + uri.Length + local.Length);
        string step =
            uri == rootUri ? local
            : uri == XmpReader.Rdf && local == "value" ? ""
            : $"{{{uri}}}{local}";
        return path.Length == 0 || step.Length == 0 ? path + step : $"{path}/{step}";
    }

    private void Add(string uri, string path, string[] texts)
    {
        PropertyKey key = PropertyKey.Xmp(uri, path);
        if (path.Length == 0 || !seen.Add(key))
        {
            return;
        }

        Spend(texts.Sum(text => (long)text.Length));
        if (properties.Count >= limits.Properties)
        {
            throw XmpReader.Problem(
                name,
                FormattableString.Invariant($"holds more than {limits.Properties} values"),
                null
            );
        }

        properties.Add(new(key, PropertyValue.OfTexts(texts)));
    }

    private void Spend(long count)
    {
        characters += count;
        if (characters > limits.Characters)
        {
            throw XmpReader.Problem(
                name,
                FormattableString.Invariant($"needs more than {limits.Characters} characters for its names and values"),
                null
            );
        }
    }

    /// <summary>Stands on each child element in turn; whoever gets one must read it to its end.</summary>
    private IEnumerable<XmlReader> Children(XmlReader reader)
    {
        if (reader.IsEmptyElement)
        {
            yield break;
        }

        int depth = reader.Depth;
        while (Next(reader) && reader.Depth > depth)
        {
            if (reader.NodeType == XmlNodeType.Element)
            {
                yield return reader;
            }
        }
    }

    private bool Next(XmlReader reader)
    {
        bool more = reader.Read();
        return reader.Depth <= limits.Depth
            ? more
            : throw XmpReader.Problem(
                name,
                FormattableString.Invariant($"nests deeper than {limits.Depth} elements"),
                null
            );
    }
}
