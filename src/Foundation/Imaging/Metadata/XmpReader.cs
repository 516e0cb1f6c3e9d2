using System.Runtime.InteropServices;
using System.Xml;
using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>How much XMP is believed.</summary>
/// <param name="Bytes">Of the packet; 16 MiB is a hundred times any camera's.</param>
/// <param name="Depth">Of nested elements.</param>
/// <param name="Properties">Simple values in all.</param>
/// <param name="Characters">Of all paths and values together: long names deep down would multiply otherwise.</param>
public sealed record XmpLimits(int Bytes = 16 << 20, int Depth = 40, int Properties = 50_000, int Characters = 32 << 20)
{
    public static XmpLimits Default { get; } = new();
}

/// <summary>Reads the properties of an XMP packet, whatever its namespaces and whichever way they are written.</summary>
/// <remarks>
/// Source: ISO 16684-1:2019 (XMP data model and RDF/XML form). Properties may be attributes or elements, values may
/// be text, rdf:resource, structures (rdf:parseType="Resource", an inner rdf:Description, or attributes alone) and
/// rdf:Seq, rdf:Bag, rdf:Alt of any of these. No document type, no entities but the five of XML, no outside fetch.
/// See docs/decisions/0007-own-xmp-reader.md.
/// </remarks>
public static class XmpReader
{
    internal const string Rdf = "http://www.w3.org/1999/02/22-rdf-syntax-ns#";
    internal const string Xml = "http://www.w3.org/XML/1998/namespace";
    internal const string Xmlns = "http://www.w3.org/2000/xmlns/";

    /// <param name="packet">The packet's bytes, UTF-8, UTF-16 or UTF-32, padding allowed.</param>
    /// <param name="name">Of the file, for messages.</param>
    /// <exception cref="InputProblemException">Not well-formed, not RDF, a document type, or beyond the limits.</exception>
    public static IReadOnlyList<KeyValuePair<PropertyKey, PropertyValue>> Read(
        ReadOnlyMemory<byte> packet,
        string name,
        XmpLimits? limits = null
    )
    {
        limits ??= XmpLimits.Default;
        ReadOnlySpan<byte> content = packet.Span.TrimEnd((byte)0);
        if (content.Length > limits.Bytes)
        {
            throw Problem(
                name,
                FormattableString.Invariant($"is {content.Length} bytes long, above {limits.Bytes}"),
                null
            );
        }

        if (content.IsEmpty)
        {
            throw Problem(name, "is empty", null);
        }

        XmlReaderSettings settings = new()
        {
            DtdProcessing = DtdProcessing.Prohibit,
            XmlResolver = null,
            MaxCharactersInDocument = limits.Bytes,
            MaxCharactersFromEntities = 1 << 16,
            IgnoreComments = true,
            IgnoreProcessingInstructions = true,
        };
        XmpCollector collector = new(name, limits);
        bool found = false;
        try
        {
            using XmlReader reader = XmlReader.Create(Stream(packet), settings);
            while (reader.Read())
            {
                if (reader.Depth > limits.Depth)
                {
                    throw Problem(
                        name,
                        FormattableString.Invariant($"nests deeper than {limits.Depth} elements"),
                        null
                    );
                }

                if (reader.NodeType == XmlNodeType.Element && reader.NamespaceURI == Rdf && reader.LocalName == "RDF")
                {
                    found = true;
                    collector.ReadGraph(reader);
                    // Padding, trailers and junk after the graph are nobody's metadata.
                    break;
                }
            }
        }
        catch (Exception fault) when (fault is XmlException or ArgumentException or OverflowException)
        {
            throw Problem(name, $"is not well-formed XML ({Short(fault.Message)})", fault);
        }

        return found ? collector.Properties : throw Problem(name, "holds no rdf:RDF element", null);
    }

    internal static InputProblemException Problem(string name, string what, Exception? cause) =>
        new(
            name,
            $"its XMP packet {what}.",
            "Copy the file from the card again; if it stays so, its XMP properties cannot be used.",
            cause
        );

    private static MemoryStream Stream(ReadOnlyMemory<byte> packet) =>
        MemoryMarshal.TryGetArray(packet, out ArraySegment<byte> part)
            ? new MemoryStream(part.Array!, part.Offset, part.Count, writable: false)
            : new MemoryStream(packet.ToArray());

    private static string Short(string message)
    {
        string clean = string.Concat(message.Select(letter => char.IsControl(letter) ? ' ' : letter));
        return clean.Length <= 160 ? clean.TrimEnd('.') : clean[..160] + "…";
    }
}
