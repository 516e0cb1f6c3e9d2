using System.Text;
using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.TestSupport;
using Tomlyn;
using Tomlyn.Model;
using Xunit;

namespace Hillrow.Imaging.Tests;

public sealed class MetadataMapTests
{
    private const string Namespaces = "[metadata.namespaces]\nrig = \"urn:example:rig\"\n";

    [Theory]
    // Exposure in every unit and form.
    [InlineData("rig:E=\"0.004\"", "exposure", "xmp = \"rig:E\"", 0.004)]
    [InlineData("rig:E=\"1/250\"", "exposure", "xmp = \"rig:E\"", 0.004)]
    [InlineData("rig:E=\"4\"", "exposure", "xmp = \"rig:E\"\nunit = \"ms\"", 0.004)]
    [InlineData("rig:E=\"4000\"", "exposure", "xmp = \"rig:E\"\nunit = \"us\"", 0.004)]
    [InlineData("rig:E=\"8\"", "exposure", "xmp = \"rig:E\"\nform = \"apexTime\"", 0.00390625)]
    [InlineData("rig:E=\"4 ms\"", "exposure", "xmp = \"rig:E\"\npattern = \"^[0-9.]+\"\nunit = \"ms\"", 0.004)]
    // Angles, scales, items of comma-joined text.
    [InlineData("rig:Y=\"1.5707963267948966\"", "yaw", "xmp = \"rig:Y\"\nunit = \"rad\"", 90)]
    [InlineData("rig:P=\"-88\"", "pitch", "xmp = \"rig:P\"\noffset = 90", 2)]
    [InlineData("rig:A=\"10, 20.5 ,30\"", "roll", "xmp = \"rig:A\"\nseparator = \",\"\nitem = 2", 20.5)]
    [InlineData("rig:Lat=\"11,30.752S\"", "latitude", "xmp = \"rig:Lat\"", -11.512533333333334)]
    [InlineData("rig:Lat=\"11°30'45.12&quot; S\"", "latitude", "xmp = \"rig:Lat\"", -11.512533333333334)]
    [InlineData("rig:Lat=\"-11.5\"", "latitude", "xmp = \"rig:Lat\"", -11.5)]
    [InlineData("rig:I=\"120\"", "irradiance", "xmp = \"rig:I\"\nunit = \"uW/cm2/nm\"", 1.2)]
    [InlineData("rig:W=\"0.56\"", "centreWavelength", "xmp = \"rig:W\"\nunit = \"um\"", 560)]
    [InlineData("rig:G=\"20\"", "gain", "xmp = \"rig:G\"\nunit = \"dB\"", 10)]
    [InlineData("rig:T=\"300.15\"", "temperature", "xmp = \"rig:T\"\nunit = \"K\"", 27)]
    [InlineData("rig:Z=\"0\"", "bits", "value = \"12\"", 12)]
    [InlineData("rig:Z=\"0\"", "bandNumber", "fileName = \"_([0-9]+)[.]tif$\"", 3)]
    [InlineData("rig:Z=\"0\"", "bandNumber", "folder = \"band([0-9])\"", 7)]
    public void Evaluate_Number_ConvertsToBaseUnit(string attributes, string quantity, string rule, double want)
    {
        FrameMetadata frame = Evaluate(attributes, $"[metadata.{quantity}]\n{rule}\n");
        double? got = quantity switch
        {
            "exposure" => frame.ExposureSeconds,
            "yaw" => frame.Yaw?.Degrees,
            "pitch" => frame.Pitch?.Degrees,
            "roll" => frame.Roll?.Degrees,
            "latitude" => frame.Latitude?.Degrees,
            "irradiance" => frame.Irradiances?[0],
            "centreWavelength" => frame.CentreNanometres,
            "gain" => frame.Gain,
            "temperature" => frame.TemperatureCelsius,
            "bits" => frame.Bits,
            _ => frame.BandNumber,
        };
        Assert.Empty(frame.Complaints);
        Assert.NotNull(got);
        Assert.Equal(want, got.Value, 1e-12 * Math.Max(1, Math.Abs(want)));
    }

    [Theory]
    [InlineData("rig:E=\"\"")]
    [InlineData("rig:E=\"0/0\"")]
    [InlineData("rig:Other=\"1\"")]
    public void Evaluate_Unknown_IsNullWithoutComplaint(string attributes)
    {
        FrameMetadata frame = Evaluate(attributes, "[metadata.exposure]\nxmp = \"rig:E\"\n");
        Assert.Null(frame.ExposureSeconds);
        Assert.Empty(frame.Complaints);
    }

    [Theory]
    [InlineData("rig:E=\"fast\"", "\"fast\" is no number")]
    [InlineData("rig:E=\"-1\"", "-1 is out of range")]
    public void Evaluate_Nonsense_IsNullWithComplaint(string attributes, string part)
    {
        FrameMetadata frame = Evaluate(attributes, "[metadata.exposure]\nxmp = \"rig:E\"\n");
        Assert.Null(frame.ExposureSeconds);
        Assert.Contains(part, Assert.Single(frame.Complaints), StringComparison.Ordinal);
    }

    [Fact]
    public void Evaluate_Alternatives_FirstThatYieldsCounts()
    {
        const string rules =
            "[[metadata.exposure]]\nxmp = \"rig:A\"\n[[metadata.exposure]]\nxmp = \"rig:B\"\nunit = \"ms\"\n";
        Assert.Equal(0.008, Evaluate("rig:B=\"8\"", rules).ExposureSeconds);
        Assert.Equal(2, Evaluate("rig:A=\"2\" rig:B=\"8\"", rules).ExposureSeconds);
    }

    [Fact]
    public void Evaluate_StandardMap_ReadsExifAndGps()
    {
        TiffSpecimen file = new(true, false);
        file.AddPage()
            .Pixels(file, 2, 2, 1, new PixelCoding(), (_, _, _) => 0)
            .Text(272, "Terrace 5")
            .Directory(
                34665,
                new SpecimenDirectory()
                    .Rational(33434, (1, 250))
                    .Text(36867, "2026:03:14 09:26:53")
                    .Text(37521, "125")
                    .Text(36881, "-05:00")
            )
            .Directory(
                34853,
                new SpecimenDirectory()
                    .Text(1, "S")
                    .Rational(2, (11, 1), (30, 1), (4512, 100))
                    .Text(3, "W")
                    .Rational(4, (75, 1), (12_501, 1000), (0, 1))
                    .Bytes(5, 1, 1)
                    .Rational(6, (12_345, 100))
                    .Rational(7, (14, 1), (26, 1), (53_250, 1000))
                    .Text(29, "2026:03:14")
            );
        FrameMetadata frame = MetadataMap.Standard.Evaluate(PropertyBag.ReadPages(file.ToBytes(), "a.tif")[0], "a.tif");

        Assert.Empty(frame.Complaints);
        Assert.Equal("Terrace 5", frame.CameraModel);
        Assert.Equal(-11.512533333333334, frame.Latitude!.Value.Degrees, 1e-12);
        Assert.Equal(-75.20835, frame.Longitude!.Value.Degrees, 1e-12);
        Assert.Equal(-123.45, frame.HeightMetres);
        Assert.Equal(VerticalReference.Unknown, frame.HeightReference);
        Assert.Equal(0.004, frame.ExposureSeconds);
        Assert.Equal(ZoneKnowledge.StatedInFile, frame.Time!.Zone);
        DateTimeOffset trigger = new(2026, 3, 14, 14, 26, 53, 125, TimeSpan.Zero);
        Assert.Equal(trigger, frame.Time.TimeUtc);
        Assert.Equal(trigger.AddMilliseconds(125), frame.SatelliteTime!.TimeUtc);
        Assert.NotNull(frame.Position);
        Assert.Null(frame.Attitude);
    }

    [Theory]
    [InlineData("2026-03-14T09:26:53.5-05:00", "", "2026-03-14T14:26:53.5Z", ZoneKnowledge.StatedInFile)]
    [InlineData("2026:03:14 09:26:53", "offsetMinutes = 120", "2026-03-14T07:26:53Z", ZoneKnowledge.StatedInMap)]
    [InlineData("2026-03-14 09:26Z", "", "2026-03-14T09:26:00Z", ZoneKnowledge.StatedInFile)]
    public void Evaluate_TimeText_KnowsZone(string text, string extra, string utc, ZoneKnowledge zone)
    {
        RecordedTime? time = Evaluate(
            $"rig:T=\"{text}\"",
            $"[metadata.time]\ntext = {{ xmp = \"rig:T\" }}\n{extra}\n"
        ).Time;
        Assert.Equal(zone, time!.Zone);
        Assert.Equal(DateTimeOffset.Parse(utc, null), time.TimeUtc);
    }

    [Fact]
    public void Evaluate_TimeWithoutZone_StaysLocal()
    {
        RecordedTime? time = Evaluate(
            "rig:T=\"2026:03:14 09:26:53\"",
            "[metadata.time]\ntext = { xmp = \"rig:T\" }\n"
        ).Time;
        Assert.Equal(new DateTime(2026, 3, 14, 9, 26, 53), time!.Clock);
        Assert.Null(time.TimeUtc);
        Assert.Equal(ZoneKnowledge.Unknown, time.Zone);
    }

    [Fact]
    public void Evaluate_EpochMicroseconds_KeepsEveryOne()
    {
        RecordedTime? time = Evaluate(
            "rig:T=\"1773498413123457\"",
            "[metadata.time]\nepoch = { xmp = \"rig:T\" }\nepochUnit = \"us\"\n"
        ).Time;
        Assert.Equal(DateTimeOffset.UnixEpoch.AddTicks(17_734_984_131_234_570), time!.TimeUtc);
    }

    [Fact]
    public void ToTable_ReadBack_GivesSameMap()
    {
        const string toml = """
            heightReference = "ellipsoid"
            [metadata.namespaces]
            rig = "urn:example:rig"
            [[metadata.exposure]]
            xmp = "rig:Light/E[2]"
            unit = "ms"
            scale = 0.5
            offset = 1.25
            [[metadata.exposure]]
            exif = 33434
            [metadata.latitude]
            gps = 2
            form = "sexagesimal"
            letter = { gps = 1 }
            [metadata.bandName]
            fileName = "_([a-z]+)[.]tif$"
            [metadata.yaw]
            xmp = "rig:A"
            separator = ","
            item = 3
            unit = "rad"
            [metadata.time]
            text = { exif = 36867 }
            subSeconds = { exif = 37521 }
            offsetMinutes = -300
            """;
        MetadataMap map = Read("[metadata]\n" + toml);
        string written = TomlSerializer.Serialize(new TomlTable { ["metadata"] = map.ToTable() });
        MetadataMap again = Read(written);
        Assert.Equal(TomlSerializer.Serialize(map.ToTable()), TomlSerializer.Serialize(again.ToTable()));
        Assert.Equal(map.Values[FrameQuantity.Exposure], again.Values[FrameQuantity.Exposure]);
        Assert.Equal(map.Values[FrameQuantity.Latitude], again.Values[FrameQuantity.Latitude]);
        Assert.Equal(map.Values[FrameQuantity.Yaw], again.Values[FrameQuantity.Yaw]);
        Assert.Equal(map.Time, again.Time);
        Assert.Equal(VerticalReference.Ellipsoid, again.HeightReference);
    }

    [Theory]
    [InlineData("[metadata.exposure]\nunit = \"s\"", "exactly one of")]
    [InlineData("[metadata.exposure]\nexif = 33434\nunit = \"deg\"", "must be one of s, ms")]
    [InlineData("[metadata.exposure]\nxmp = \"cam:E\"", "prefix")]
    [InlineData("[metadata.exposure]\nexif = 33434\nunits = \"s\"", "not a setting")]
    [InlineData("[metadata.shutter]\nexif = 33434", "not a setting")]
    [InlineData("[metadata.bandName]\nfileName = \"(\"", "not a pattern")]
    [InlineData("[metadata.time]\nzone = { exif = 36881 }", "either text")]
    public void Read_FaultyMap_NamesSetting(string toml, string part)
    {
        InputProblemException fault = Assert.Throws<InputProblemException>(() => Read(toml));
        Assert.Contains(part, fault.Message, StringComparison.Ordinal);
        Assert.StartsWith("camera.toml: metadata.", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Documentation_ExampleMap_Reads()
    {
        string page = File.ReadAllText(Path.Combine(RepositoryFiles.Root, "docs", "reference", "metadata-map.md"));
        int start = page.IndexOf("```toml", StringComparison.Ordinal) + 7;
        MetadataMap map = Read(page[start..page.IndexOf("```", start, StringComparison.Ordinal)]);
        Assert.True(map.Values.Count > 15, $"{map.Values.Count} quantities");
    }

    private static MetadataMap Read(string toml) =>
        MetadataMap.Read((TomlTable)TomlSerializer.Deserialize<TomlTable>(toml)!["metadata"], "camera.toml");

    private static FrameMetadata Evaluate(string attributes, string rules)
    {
        string packet =
            $"<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\" xmlns:rig=\"urn:example:rig\"><rdf:Description {attributes}/></rdf:RDF>";
        byte[] file = JpegSpecimen.With(JpegSpecimen.Grey(), null, packet);
        string path = Path.Combine("card", "band7", "shot_0042_3.tif");
        return Read(Namespaces + rules).Evaluate(PropertyBag.ReadPages(file, path)[0], path);
    }
}
