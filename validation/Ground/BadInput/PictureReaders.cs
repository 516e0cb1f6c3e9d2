using System.Text;
using Hillrow.Imaging;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground;

/// <summary>Pixels of TIFF frames in every coding.</summary>
public sealed class TiffPixelReader : ReaderUnderMutation
{
    public override string Name => "TIFF pixels";

    public override IReadOnlyList<SampleFile> Seeds() =>
        [
            Seed("plain16", new PixelCoding { RowsPerStrip = 4 }),
            Seed(
                "lzw",
                new PixelCoding
                {
                    Compression = 5,
                    Predictor = 2,
                    RowsPerStrip = 4,
                }
            ),
            Seed("deflate-tiles", new PixelCoding { Compression = 8, TileEdge = 16 }),
            Seed("packbits12", new PixelCoding { Compression = 32773, Bits = 12 }),
            Seed("packed10", new PixelCoding { Bits = 10 }),
            Seed(
                "wide12",
                new PixelCoding
                {
                    Bits = 12,
                    Wide = true,
                    Compression = 32946,
                }
            ),
            Seed(
                "float",
                new PixelCoding
                {
                    Bits = 32,
                    Format = 3,
                    Compression = 8,
                    Predictor = 3,
                    Planar = true,
                }
            ),
        ];

    public override IReadOnlyList<SampleFile> BadFiles()
    {
        TiffSpecimen absurd = new(false, false);
        SpecimenDirectory page = absurd.AddPage();
        page.Long(256, 60_000).Long(257, 60_000).Short(258, 16).Short(259, 8).Short(277, 1);
        page.Blocks.Add(new byte[100]);
        TiffSpecimen huge = new(true, true);
        page = huge.AddPage();
        page.Long8(256, 1L << 40).Long8(257, 1L << 40).Short(258, 16).Short(277, 1);
        page.Blocks.Add(new byte[100]);
        TiffSpecimen bomb = new(false, false);
        // Sixteen megabytes of zeros in some kilobytes, said to be four thousand times as much.
        page = bomb.AddPage().Pixels(bomb, 2_000, 2_000, 1, new PixelCoding { Compression = 8 }, (_, _, _) => 0);
        page.Entries.RemoveAll(entry => entry.Tag == 277);
        page.Short(277, 4096);
        return
        [
            new SampleFile("absurd-size.tif", absurd.ToBytes()),
            new SampleFile("absurd-big.tif", huge.ToBytes()),
            new SampleFile("bomb.tif", bomb.ToBytes()),
        ];
    }

    public override void Read(byte[] bytes, string path) => ReadPages(bytes, path);

    internal static void ReadPages(byte[] bytes, string path)
    {
        using PictureFile file = PictureFile.Open(bytes, path);
        for (int page = 0; page < Math.Min(file.Pages.Count, 8); page++)
        {
            _ = file.Read(page);
        }
    }

    private static SampleFile Seed(string name, PixelCoding coding)
    {
        TiffSpecimen specimen = new(name.Length % 2 == 0, false);
        for (int page = 0; page < 2; page++)
        {
            specimen
                .AddPage()
                .Pixels(specimen, 12, 20, 3, coding, (row, column, band) => (row * 31) + (column * 7) + (band * 100));
        }

        return new SampleFile(name + ".tif", specimen.ToBytes());
    }
}

/// <summary>JPEG frames, decoded.</summary>
public sealed class JpegReader : ReaderUnderMutation
{
    public override string Name => "JPEG";

    public override IReadOnlyList<SampleFile> Seeds() =>
        [new("grey.jpg", JpegSpecimen.Grey()), new("colours.jpg", JpegSpecimen.ProgressiveColours())];

    public override IReadOnlyList<SampleFile> BadFiles()
    {
        byte[] absurd = JpegSpecimen.Grey();
        int frame = Array.IndexOf(absurd, (byte)0xC0, 20) - 1;
        absurd.AsSpan(frame + 5, 4).Fill(0xFF);
        return [new SampleFile("absurd.jpg", absurd), new SampleFile("no-end.jpg", JpegSpecimen.Grey()[..^2])];
    }

    public override void Read(byte[] bytes, string path) => TiffPixelReader.ReadPages(bytes, path);
}

/// <summary>EXIF, GPS and XMP properties of TIFF and JPEG files, and the standard map on them.</summary>
public sealed class ExifReader : ReaderUnderMutation
{
    public override string Name => "EXIF";

    // Metadata stand at a JPEG's start and are good even when the picture is cut off.
    public override bool RefusesHalf => false;

    public override IReadOnlyList<SampleFile> Seeds() =>
        [
            new("exif-ii.tif", Specimen(false)),
            new("exif-mm.tif", Specimen(true)),
            new("exif-ii.jpg", JpegSpecimen.With(JpegSpecimen.Grey(), Specimen(false), XmpPacketReader.Packet)),
            new("exif-mm.jpg", JpegSpecimen.With(JpegSpecimen.Grey(), Specimen(true), null)),
        ];

    public override void Read(byte[] bytes, string path)
    {
        foreach (PropertyBag page in PropertyBag.ReadPages(bytes, path))
        {
            foreach (PropertyValue value in page.Properties.Values)
            {
                _ = value.ToString();
                _ = value.Count > 0 ? value.Number(value.Count - 1) : null;
            }

            _ = MetadataMap.Standard.Evaluate(page, path);
        }
    }

    private static byte[] Specimen(bool bigEndian)
    {
        TiffSpecimen specimen = new(bigEndian, false);
        SpecimenDirectory exif = new SpecimenDirectory()
            .Rational(33434, (1, 250))
            .Text(36867, "2026:03:14 09:26:53")
            .Text(37521, "125")
            .Bytes(37510, 7, [.. "ASCII\0\0\0panel before"u8]);
        SpecimenDirectory gps = new SpecimenDirectory()
            .Text(1, "S")
            .Rational(2, (11, 1), (30, 1), (4512, 100))
            .Text(3, "W")
            .Rational(4, (75, 1), (12, 1), (301, 10))
            .Bytes(5, 1, 0)
            .Rational(6, (150_045, 100))
            .Rational(7, (14, 1), (26, 1), (53_125, 1000))
            .Text(29, "2026:03:14");
        specimen
            .AddPage()
            .Pixels(specimen, 2, 2, 1, new PixelCoding(), (_, _, _) => 1)
            .Text(271, "Invented")
            .Bytes(700, 1, Encoding.UTF8.GetBytes(XmpPacketReader.Packet))
            .Directory(34665, exif)
            .Directory(34853, gps);
        return specimen.ToBytes();
    }
}

/// <summary>XMP packets.</summary>
public sealed class XmpPacketReader : ReaderUnderMutation
{
    internal const string Packet = """
        <?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?>
        <x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
        <rdf:Description rdf:about="" xmlns:rig="urn:example:rig" rig:Band="red" rig:Gain="1.5">
        <rig:Black><rdf:Seq><rdf:li>4096</rdf:li><rdf:li>4100</rdf:li></rdf:Seq></rig:Black>
        <rig:Light rdf:parseType="Resource"><rig:Yaw>12.5</rig:Yaw><rig:Level>0.93,1.02</rig:Level></rig:Light>
        <rig:Sun rig:Pitch="2" rig:Roll="-1"/><rig:Link rdf:resource="urn:x"/>
        <rig:Names><rdf:Alt><rdf:li xml:lang="x-default">rojo &amp; verde</rdf:li></rdf:Alt></rig:Names>
        <rig:Parts><rdf:Bag><rdf:li><rdf:Description rig:A="1"/></rdf:li><rdf:li rdf:parseType="Resource"><rig:A>2</rig:A></rdf:li></rdf:Bag></rig:Parts>
        </rdf:Description></rdf:RDF></x:xmpmeta><?xpacket end="w"?>
        """;

    public override string Name => "XMP";

    public override IReadOnlyList<SampleFile> Seeds() =>
        [
            new("utf8.xmp", Encoding.UTF8.GetBytes(Packet)),
            new("utf16.xmp", Encoding.Unicode.GetPreamble().Concat(Encoding.Unicode.GetBytes(Packet)).ToArray()),
        ];

    public override IReadOnlyList<SampleFile> BadFiles()
    {
        const string rdf = "xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\"";
        string laughs = string.Concat(
            Enumerable
                .Range(1, 12)
                .Select(i => $"<!ENTITY l{i} \"{string.Concat(Enumerable.Repeat($"&l{i - 1};", 10))}\">")
        );
        string deep = $"<rdf:RDF {rdf}><rdf:Description>";
        return
        [
            Bad("bomb", $"<!DOCTYPE x [<!ENTITY l0 \"ha\">{laughs}]><rdf:RDF {rdf}>&l12;</rdf:RDF>"),
            Bad("outside", $"<!DOCTYPE x SYSTEM \"file:///etc/passwd\"><rdf:RDF {rdf}/>"),
            Bad("deep", deep + string.Concat(Enumerable.Repeat("<a>", 20_000))),
            Bad(
                "wide",
                deep
                    + string.Concat(Enumerable.Range(0, 60_000).Select(i => $"<a{i}/>"))
                    + "</rdf:Description></rdf:RDF>"
            ),
            Bad("no-rdf", "<x/>"),
        ];

        static SampleFile Bad(string name, string text) => new(name + ".xmp", Encoding.UTF8.GetBytes(text));
    }

    public override void Read(byte[] bytes, string path) => _ = XmpReader.Read(bytes, path).Count;
}
