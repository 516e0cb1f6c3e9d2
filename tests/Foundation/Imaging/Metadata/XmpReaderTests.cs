using System.Text;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Imaging.Tests;

public sealed class XmpReaderTests
{
    private const string Rig = "urn:example:rig";

    [Theory]
    [InlineData("<rdf:Description rig:Gain=\"1.5\"/>", "Gain", "1.5")]
    [InlineData("<rdf:Description><rig:Gain>1.5</rig:Gain></rdf:Description>", "Gain", "1.5")]
    [InlineData("<rdf:Description><rig:Gain><![CDATA[1.5]]></rig:Gain></rdf:Description>", "Gain", "1.5")]
    [InlineData("<rdf:Description><rig:At rdf:resource=\"urn:x\"/></rdf:Description>", "At", "urn:x")]
    [InlineData("<rdf:Description><rig:Sun rig:Pitch=\"2\"/></rdf:Description>", "Sun/Pitch", "2")]
    [InlineData("<rig:Typed><rig:Sun rig:Pitch=\"2\"/></rig:Typed>", "Sun/Pitch", "2")]
    [InlineData(
        "<rdf:Description><rig:Q rdf:parseType=\"Resource\"><rdf:value>5</rdf:value></rig:Q></rdf:Description>",
        "Q",
        "5"
    )]
    [InlineData(
        "<rdf:Description><rig:L rdf:parseType=\"Resource\"><o:X xmlns:o=\"urn:o\">1</o:X></rig:L></rdf:Description>",
        "L/{urn:o}X",
        "1"
    )]
    [InlineData(
        "<rdf:Description><rig:P><rdf:Bag><rdf:li>x</rdf:li><rdf:li rig:A=\"3\"/></rdf:Bag></rig:P></rdf:Description>",
        "P[2]/A",
        "3"
    )]
    public void Read_EveryWayOfWriting_FindsValue(string graph, string path, string value) =>
        Assert.Equal(value, Read(graph)[PropertyKey.Xmp(Rig, path)].Text(0));

    [Theory]
    [InlineData("Seq")]
    [InlineData("Bag")]
    [InlineData("Alt")]
    public void Read_List_KeepsItemsInOrder(string kind)
    {
        PropertyValue list = Read(
            $"<rdf:Description><rig:B><rdf:{kind}><rdf:li>4096</rdf:li><rdf:li/><rdf:li>1,2</rdf:li></rdf:{kind}></rig:B></rdf:Description>"
        )[PropertyKey.Xmp(Rig, "B")];
        Assert.Equal(["4096", "", "1,2"], list.Texts);
    }

    [Fact]
    public void Read_Language_IsQualifier()
    {
        IReadOnlyDictionary<PropertyKey, PropertyValue> read = Read(
            "<rdf:Description><rig:T><rdf:Alt><rdf:li xml:lang=\"x-default\">rojo</rdf:li></rdf:Alt></rig:T></rdf:Description>"
        );
        Assert.Equal(["rojo"], read[PropertyKey.Xmp(Rig, "T")].Texts);
        Assert.Equal(["x-default"], read[PropertyKey.Xmp(Rig, "T[1]/@lang")].Texts);
    }

    [Fact]
    public void Read_Utf16AndPaddingAndJunkBehind_Reads()
    {
        string text = Packet("<rdf:Description rig:Gain=\"1.5\"/>") + new string(' ', 100) + "\0\0 <<";
        byte[] bytes = [.. Encoding.BigEndianUnicode.GetPreamble(), .. Encoding.BigEndianUnicode.GetBytes(text)];
        Assert.Equal(PropertyKey.Xmp(Rig, "Gain"), Assert.Single(XmpReader.Read(bytes, "x")).Key);
    }

    [Theory]
    [InlineData("", "is empty")]
    [InlineData("<x/>", "no rdf:RDF")]
    [InlineData("<a><b></a>", "not well-formed")]
    [InlineData("<!DOCTYPE x [<!ENTITY a \"b\">]><x>&a;</x>", "not well-formed")]
    public void Read_NotXmp_SaysSo(string text, string part)
    {
        InputProblemException fault = Assert.Throws<InputProblemException>(() =>
            XmpReader.Read(Encoding.UTF8.GetBytes(text), "frame.tif")
        );
        Assert.Contains(part, fault.Message, StringComparison.Ordinal);
        Assert.StartsWith("frame.tif: its XMP packet", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_LongNamesDeepDown_StopsAtLimit()
    {
        string name = new('n', 100_000);
        string graph =
            string.Concat(Enumerable.Repeat($"<rig:{name} rdf:parseType=\"Resource\">", 25))
            + string.Concat(Enumerable.Range(0, 200).Select(i => $"<rig:a{i}/>"))
            + string.Concat(Enumerable.Repeat($"</rig:{name}>", 25));
        InputProblemException fault = Assert.Throws<InputProblemException>(() =>
            Read($"<rdf:Description>{graph}</rdf:Description>")
        );
        Assert.Contains("characters", fault.Message, StringComparison.Ordinal);
    }

    private static string Packet(string graph) =>
        $"<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\" xmlns:rig=\"{Rig}\">{graph}</rdf:RDF></x:xmpmeta>";

    private static Dictionary<PropertyKey, PropertyValue> Read(string graph) =>
        new(XmpReader.Read(Encoding.UTF8.GetBytes(Packet(graph)), "x"));
}
