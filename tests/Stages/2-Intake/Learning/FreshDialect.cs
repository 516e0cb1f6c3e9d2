using System.Globalization;
using System.Text;
using Hillrow.TestSupport;

namespace Hillrow.Intake.Tests;

/// <summary>
/// A third generator of cameras, written after the learning and with habits of its own: texts with their unit behind the
/// number, fractions, lists as rdf:Seq or joined by commas, several descriptions, nested structures.
/// </summary>
internal sealed class FreshDialect
{
    private static readonly (string Name, double Nanometres)[] Bands =
    [
        ("Blue", 466),
        ("Green", 553),
        ("Red", 655),
        ("RedEdge", 722),
        ("NIR", 863),
    ];

    private readonly Random random;
    private readonly bool radians;
    private readonly bool unitBehind;
    private readonly bool fractions;
    private readonly int exposureUnit;
    private readonly bool micro;
    private readonly int lists;
    private readonly int layout;
    private readonly int bits;
    private readonly bool high;
    private readonly int bandTold;
    private readonly int form;
    private readonly bool signedYaw;

    public FreshDialect(int seed)
    {
        random = new Random(seed);
        radians = random.Next(3) == 0;
        unitBehind = random.Next(3) == 0;
        fractions = random.Next(3) == 0;
        exposureUnit = random.Next(3);
        micro = random.Next(2) == 0;
        lists = random.Next(3);
        layout = random.Next(3);
        (bits, high) = new[] { (10, false), (10, true), (12, false), (12, true), (16, false) }[random.Next(5)];
        bandTold = layout == 2 ? random.Next(2) : random.Next(3);
        form = random.Next(3);
        signedYaw = random.Next(2) == 0;
    }

    public override string ToString() =>
        $"radians {radians} behind {unitBehind} fractions {fractions} exposure {exposureUnit} micro {micro} lists {lists} layout {layout} bits {bits}{(high ? " high" : "")} band {bandTold} form {form} signed {signedYaw}";

    public int Bits => bits;

    /// <summary>Light told for all bands in each frame.</summary>
    public bool LightList => lists > 0;

    public List<OtherFrameTruth> Write(string folder, int captures)
    {
        List<OtherFrameTruth> truths = [];
        double latitude = -19 + (random.NextDouble() * 20);
        double longitude = -70 + (random.NextDouble() * 30);
        for (int capture = 0; capture < captures; capture++)
        {
            bool back = capture >= captures / 2;
            int along = back ? captures - capture : capture;
            double course = 75 * Math.PI / 180;
            Dictionary<string, double> common = new()
            {
                ["latitude"] = latitude + (1.1e-4 * along * Math.Cos(course)) + (back ? 2e-4 : 0),
                ["longitude"] = longitude + (1.1e-4 * along * Math.Sin(course)),
                ["height"] = 1710 + (random.NextDouble() * 12),
                ["yaw"] = (back ? 255 : 75) + (random.NextDouble() * 5) - 2.5,
                ["pitch"] = (random.NextDouble() * 6) - 3,
                ["roll"] = (random.NextDouble() * 6) - 3,
            };
            double[] light =
            [
                .. Bands.Select((_, band) => (0.95 + (0.05 * random.NextDouble())) * (1.4 - (0.1 * band))),
            ];
            TiffSpecimen? many = layout == 2 ? new TiffSpecimen(bigEndian: false, bigTiff: false) : null;
            for (int band = 0; band < Bands.Length; band++)
            {
                Dictionary<string, double> values = new(common)
                {
                    ["exposure"] = 1.0 / (500 + (random.Next(30) * 50) + (100 * band)),
                    ["gain"] = 1 + random.Next(4),
                    ["irradiance"] = light[band],
                };
                string number = (capture + 101).ToString(CultureInfo.InvariantCulture);
                string file = layout switch
                {
                    0 => $"{Bands[band].Name}/{number}.tif",
                    1 => $"FLT{number}-{Bands[band].Name.ToUpperInvariant()}.tif",
                    _ => $"{number}.tif",
                };
                TiffSpecimen tiff = many ?? new TiffSpecimen(bigEndian: true, bigTiff: false);
                Page(tiff, values, light, band, capture);
                truths.Add(new OtherFrameTruth(file, many is null ? 0 : band, band, capture, values));
                if (many is null || band == Bands.Length - 1)
                {
                    string path = Path.Combine(folder, file);
                    Directory.CreateDirectory(Path.GetDirectoryName(path)!);
                    File.WriteAllBytes(path, tiff.ToBytes());
                }
            }
        }

        return truths;
    }

    private void Page(TiffSpecimen tiff, Dictionary<string, double> values, double[] light, int band, int capture)
    {
        SpecimenDirectory page = tiff.AddPage();
        int most = (1 << bits) - 1;
        int shift = high ? 16 - bits : 0;
        page.Pixels(
            tiff,
            8,
            10,
            1,
            new PixelCoding(),
            (row, column, _) => (row + column == 0 ? most : (53 * ((row * 10) + column + capture)) % most) << shift
        );
        page.Text(271, "Nobody").Text(272, "Third");
        page.Directory(
            34665,
            new SpecimenDirectory()
                .Text(
                    36867,
                    new DateTime(2026, 5, 2, 11, 0, 0, DateTimeKind.Unspecified)
                        .AddSeconds(1.5 * capture)
                        .ToString("yyyy:MM:dd HH:mm:ss", CultureInfo.InvariantCulture)
                )
                .Rational(37386, (80, 10))
        );
        page.Bytes(700, 1, Encoding.UTF8.GetBytes(Xmp(values, light, band, capture)));
        page.Entries.Sort((one, two) => one.Tag.CompareTo(two.Tag));
    }

    private string Xmp(Dictionary<string, double> values, double[] light, int band, int capture)
    {
        double angle = radians ? Math.PI / 180 : 1;
        string angleUnit = radians ? " rad" : " deg";
        double yaw = signedYaw && values["yaw"] > 180 ? values["yaw"] - 360 : values["yaw"];
        (double scale, string unit) = exposureUnit switch
        {
            0 => (1.0, "s"),
            1 => (1e3, "ms"),
            _ => (1e6, "us"),
        };
        string exposure =
            fractions && exposureUnit == 0
                ? $"1/{Math.Round(1 / values["exposure"])}"
                : Text(values["exposure"] * scale);
        double lightScale = micro ? 100 : 1;
        List<(string Name, string[] Values)> told =
        [
            ("Serial", ["T-0042"]),
            ("CameraLatitude", [Text(values["latitude"]) + (unitBehind ? " deg" : "")]),
            ("CameraLongitude", [Text(values["longitude"]) + (unitBehind ? " deg" : "")]),
            ("CameraAltitude", [Text(values["height"]) + (unitBehind ? " m" : "")]),
            ("CameraHeading", [Text(yaw * angle) + (unitBehind ? angleUnit : "")]),
            ("CameraPitch", [Text(values["pitch"] * angle) + (unitBehind ? angleUnit : "")]),
            ("CameraRoll", [Text(values["roll"] * angle) + (unitBehind ? angleUnit : "")]),
            (
                unitBehind ? "ExposureTime" : $"ExposureTime_{unit}",
                [unitBehind && !exposure.Contains('/') ? $"{exposure} {unit}" : exposure]
            ),
            ("SensorGain", [Text(values["gain"])]),
            ("TriggerIndex", [(capture + 1).ToString(CultureInfo.InvariantCulture)]),
            (
                micro ? "SpectralIrradiance_uW_cm2_nm" : "SpectralIrradiance_W_m2_nm",
                lists == 0 ? [Text(light[band] * lightScale)] : [.. light.Select(one => Text(one * lightScale))]
            ),
        ];
        if (bandTold != 2)
        {
            told.Add(
                bandTold == 0
                    ? ("BandCentre", [Text(Bands[band].Nanometres) + (unitBehind ? " nm" : "")])
                    : ("BandName", [Bands[band].Name])
            );
        }

        StringBuilder xmp = new(
            "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">"
        );
        const string open = "<rdf:Description rdf:about=\"\" xmlns:third=\"urn:example:third\"";
        if (form == 0)
        {
            xmp.Append(open);
            foreach ((string name, string[] texts) in told.Where(one => one.Values.Length == 1 || lists == 2))
            {
                xmp.Append(CultureInfo.InvariantCulture, $" third:{name}=\"{string.Join(", ", texts)}\"");
            }

            xmp.Append("/>");
        }

        foreach ((string name, string[] texts) in told.Where(one => form > 0 || (one.Values.Length > 1 && lists == 1)))
        {
            string body =
                texts.Length == 1 || lists == 2
                    ? string.Join(",", texts)
                    : $"<rdf:Seq>{string.Concat(texts.Select(text => $"<rdf:li>{text}</rdf:li>"))}</rdf:Seq>";
            xmp.Append(CultureInfo.InvariantCulture, $"{open}><third:{name}>{body}</third:{name}></rdf:Description>");
        }

        return xmp.Append("</rdf:RDF></x:xmpmeta>").ToString();
    }

    private static string Text(double value) => value.ToString("0.##########", CultureInfo.InvariantCulture);
}
