using System.Globalization;
using System.Text;
using Hillrow.TestSupport;

namespace Hillrow.Imaging.Checks;

/// <summary>A file with metadata in it, made for comparison with another reader.</summary>
public sealed record MetadataSpecimen(string Name, byte[] Bytes);

/// <summary>
/// Files of invented cameras: both byte orders, TIFF, BigTIFF and JPEG, every field type, standard and private tags,
/// and XMP written in each way the standard allows. Same seed, same files.
/// </summary>
public static class MetadataSpecimens
{
    /// <summary>Namespaces by the prefix used here.</summary>
    public static IReadOnlyDictionary<string, string> Namespaces { get; } =
        new Dictionary<string, string>
        {
            ["rig"] = "urn:example:rig",
            ["sky"] = "https://example.org/sky/2/",
            ["dc"] = "http://purl.org/dc/elements/1.1/",
            ["xmp"] = "http://ns.adobe.com/xap/1.0/",
            ["exif"] = "http://ns.adobe.com/exif/1.0/",
            ["tiff"] = "http://ns.adobe.com/tiff/1.0/",
        };

    public static IEnumerable<MetadataSpecimen> All(int seed)
    {
        // The seeded generator of System.Random is the same on every .NET version.
        Random random = new(seed);
        for (int form = 0; form < 4; form++)
        {
            foreach (bool bigEndian in new[] { false, true })
            {
                string order = bigEndian ? "mm" : "ii";
                string xmp = Xmp(random, form);
                yield return new MetadataSpecimen($"{order}-{form}.tif", Tiff(random, bigEndian, false, xmp, true));
                yield return new MetadataSpecimen($"{order}-big-{form}.tif", Tiff(random, bigEndian, true, xmp, true));
                byte[] exif = Tiff(random, bigEndian, false, null, false);
                yield return new MetadataSpecimen(
                    $"{order}-{form}.jpg",
                    JpegSpecimen.With(
                        form % 2 == 0 ? JpegSpecimen.Grey() : JpegSpecimen.ProgressiveColours(),
                        exif,
                        xmp
                    )
                );
            }
        }
    }

    private static byte[] Tiff(Random random, bool bigEndian, bool bigTiff, string? xmp, bool pixels)
    {
        TiffSpecimen file = new(bigEndian, bigTiff);
        SpecimenDirectory page = file.AddPage();
        if (pixels)
        {
            page.Pixels(file, 2, 3, 1, new PixelCoding(), (row, column, _) => row + column);
        }

        page.Text(271, Word(random)).Text(272, Word(random) + " " + Word(random)).Rational(282, (72, 1));
        page.Short(274, 1 + random.Next(8)).Text(305, Word(random)).Text(306, Date(random));
        page.Short(50001, [.. Numbers(random, 65536)]).Float(50005, random.NextSingle() * 100, -2.5f);
        page.SignedLong(50002, random.Next(), -random.Next()).SignedRational(50003, (-random.Next(999), 7), (3, 4));
        page.Double(50006, (random.NextDouble() * 1e6) - 3e5)
            .Bytes(50007, 7, [.. Encoding.ASCII.GetBytes(Word(random))]);
        page.Whole(50008, 6, 1, [-1, random.Next(100)]).Whole(50009, 8, 2, [-random.Next(30000), 5]);
        page.Bytes(50010, 1, (byte)random.Next(256), 3).Long(50011, 4_000_000_000 + random.Next(1000));
        page.Directory(34665, Exif(random)).Directory(34853, Gps(random));
        if (xmp is not null)
        {
            page.Bytes(700, 1, Encoding.UTF8.GetBytes(xmp));
        }

        return file.ToBytes();
    }

    private static SpecimenDirectory Exif(Random random) =>
        new SpecimenDirectory()
            .Rational(33434, (1, 30 + random.Next(4000)))
            .Rational(33437, (random.Next(100), 10))
            .Short(34855, 100 * (1 + random.Next(64)))
            .Bytes(36864, 7, "0231"u8.ToArray())
            .Text(36867, Date(random))
            .Text(36868, Date(random))
            .Text(36881, random.Next(2) == 0 ? "-05:00" : "+02:00")
            .Text(37521, random.Next(1000).ToString("000", CultureInfo.InvariantCulture))
            .SignedRational(37377, (random.Next(9000), 1000))
            .SignedRational(37380, (-random.Next(9), 3))
            .Rational(37386, (random.Next(9000), 1000))
            .SignedRational(37888, (random.Next(600) - 100, 10))
            .Short(41989, random.Next(200))
            .Text(42033, Word(random) + random.Next(99999).ToString(CultureInfo.InvariantCulture))
            .Rational(42034, (35, 1), (70, 2), (0, 0), (14, 10))
            .Short(50020, [.. Numbers(random, 4096)]);

    private static SpecimenDirectory Gps(Random random) =>
        new SpecimenDirectory()
            .Bytes(0, 1, 2, 3, 0, 0)
            .Text(1, random.Next(2) == 0 ? "S" : "N")
            .Rational(2, (random.Next(90), 1), (random.Next(60), 1), (random.Next(60_000_000), 1_000_000))
            .Text(3, random.Next(2) == 0 ? "W" : "E")
            .Rational(4, (random.Next(180), 1), (random.Next(60_000), 1000), (0, 1))
            .Bytes(5, 1, (byte)random.Next(2))
            .Rational(6, (random.Next(4_000_000), 1000))
            .Rational(7, (random.Next(24), 1), (random.Next(60), 1), (random.Next(60_000), 1000))
            .Rational(11, (random.Next(100), 10))
            .Text(18, "WGS-84")
            .Text(29, Date(random)[..10])
            .Rational(31, (random.Next(5000), 1000));

    /// <summary>One content, four ways of writing: attributes, elements, inner nodes, a mixture.</summary>
    private static string Xmp(Random random, int form)
    {
        string band = Word(random);
        string gain = Decimal(random);
        string yaw = Decimal(random);
        string level = $"{Decimal(random)},{Decimal(random)}";
        string black = string.Concat(Numbers(random, 5000).Select(value => $"<rdf:li>{value}</rdf:li>"));
        string names = $"<rdf:li xml:lang=\"x-default\">{band} &amp; más</rdf:li>";
        string simple = form switch
        {
            0 => $"rig:Band=\"{band}\" rig:Gain=\"{gain}\" sky:Level=\"{level}\">",
            _ => $"><rig:Band>{band}</rig:Band><rig:Gain>{gain}</rig:Gain><sky:Level>{level}</sky:Level>",
        };
        string light = form switch
        {
            0 => $"<rig:Light rig:Yaw=\"{yaw}\" rig:Level=\"{level}\"/>",
            1 =>
                $"<rig:Light rdf:parseType=\"Resource\"><rig:Yaw>{yaw}</rig:Yaw><rig:Level>{level}</rig:Level></rig:Light>",
            2 =>
                $"<rig:Light><rdf:Description rig:Yaw=\"{yaw}\"><rig:Level>{level}</rig:Level></rdf:Description></rig:Light>",
            _ =>
                $"<rig:Light rdf:parseType=\"Resource\"><rig:Sun rdf:parseType=\"Resource\"><rig:Yaw>{yaw}</rig:Yaw></rig:Sun></rig:Light>",
        };
        string list = form switch
        {
            0 => "Seq",
            1 => "Bag",
            _ => "Seq",
        };
        string parts =
            form == 3
                ? ""
                : $"<rig:Parts><rdf:{list}><rdf:li rdf:parseType=\"Resource\"><rig:At>{yaw}</rig:At></rdf:li><rdf:li><rdf:Description rig:At=\"{gain}\"/></rdf:li></rdf:{list}></rig:Parts>";
        string names2 = string.Join(' ', Namespaces.Select(entry => $"xmlns:{entry.Key}=\"{entry.Value}\""));
        return $"""
            <?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?>
            <x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
            <rdf:Description rdf:about="" {names2} {simple}
            <rig:Black><rdf:{list}>{black}</rdf:{list}></rig:Black>{light}{parts}
            <sky:Link rdf:resource="urn:example:{band}"/><sky:Empty/><dc:title><rdf:Alt>{names}</rdf:Alt></dc:title>
            </rdf:Description>
            <rdf:Description rdf:about="" {names2}><xmp:CreatorTool>{Word(random)}</xmp:CreatorTool>
            <exif:GPSLatitude>11,30.752S</exif:GPSLatitude><tiff:Make>{Word(random)}</tiff:Make></rdf:Description>
            </rdf:RDF></x:xmpmeta>
            {new string(' ', 64)}<?xpacket end="w"?>
            """;
    }

    private static string Word(Random random) =>
        string.Concat(Enumerable.Range(0, 3 + random.Next(6)).Select(_ => (char)('a' + random.Next(26))));

    private static string Decimal(Random random) =>
        ((random.NextDouble() * 200) - 50).ToString("0.####", CultureInfo.InvariantCulture);

    private static string Date(Random random) =>
        FormattableString.Invariant(
            $"20{20 + random.Next(9)}:{1 + random.Next(12):00}:{1 + random.Next(28):00} {random.Next(24):00}:{random.Next(60):00}:{random.Next(60):00}"
        );

    private static IEnumerable<int> Numbers(Random random, int below) =>
        Enumerable.Range(0, 1 + random.Next(5)).Select(_ => random.Next(below));
}
