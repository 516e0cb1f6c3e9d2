using System.Security;
using System.Text;

namespace Hillrow.Rehearsal;

/// <summary>Builds an XMP packet in whatever shape a camera likes.</summary>
/// <remarks>XMP specification part 1 (2012), RDF/XML serialization.</remarks>
internal sealed class CardXmp
{
    private readonly StringBuilder attributes = new();
    private readonly StringBuilder elements = new();

    /// <param name="prefixes">Prefix and namespace of each, in pairs.</param>
    public CardXmp(params ReadOnlySpan<(string Prefix, string Uri)> prefixes)
    {
        foreach ((string prefix, string uri) in prefixes)
        {
            attributes.Append(' ').Append("xmlns:").Append(prefix).Append("=\"").Append(uri).Append('"');
        }
    }

    public CardXmp Attribute(string name, string value)
    {
        attributes.Append("\n    ").Append(name).Append("=\"").Append(SecurityElement.Escape(value)).Append('"');
        return this;
    }

    public CardXmp Element(string name, string value)
    {
        elements.Append("   <").Append(name).Append('>').Append(SecurityElement.Escape(value));
        elements.Append("</").Append(name).Append(">\n");
        return this;
    }

    public CardXmp Sequence(string name, IEnumerable<string> values)
    {
        elements.Append("   <").Append(name).Append("><rdf:Seq>");
        foreach (string value in values)
        {
            elements.Append("<rdf:li>").Append(SecurityElement.Escape(value)).Append("</rdf:li>");
        }

        elements.Append("</rdf:Seq></").Append(name).Append(">\n");
        return this;
    }

    /// <summary>A structure with fields of text.</summary>
    public CardXmp Structure(string name, params ReadOnlySpan<(string Name, string Value)> fields)
    {
        elements.Append("   <").Append(name).Append(" rdf:parseType=\"Resource\">");
        foreach ((string field, string value) in fields)
        {
            elements.Append('<').Append(field).Append('>').Append(SecurityElement.Escape(value));
            elements.Append("</").Append(field).Append('>');
        }

        elements.Append("</").Append(name).Append(">\n");
        return this;
    }

    public override string ToString() =>
        "<?xpacket begin=\"\uFEFF\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n"
        + "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n"
        + $"  <rdf:Description rdf:about=\"\"{attributes}>\n{elements}  </rdf:Description>\n"
        + " </rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"w\"?>";
}
