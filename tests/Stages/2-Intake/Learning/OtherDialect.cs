using System.Globalization;
using System.Security;
using System.Text;
using Hillrow.TestSupport;

namespace Hillrow.Intake.Tests;

/// <summary>What was written for one frame, in base units.</summary>
internal sealed record OtherFrameTruth(
    string File,
    int Page,
    int Band,
    int Capture,
    IReadOnlyDictionary<string, double> Values
);

/// <summary>An invented camera's way of writing, drawn by a seed: names, namespaces, forms, units, layout.</summary>
internal sealed class OtherDialect
{
    private static readonly string[] Syllables = ["ka", "lo", "mi", "ter", "vo", "sun", "pra", "ne", "ru", "fi"];

    private static readonly Dictionary<
        string,
        (string[] Names, (string Unit, double Scale, string[] Written)[] Units)
    > Quantities = new()
    {
        ["latitude"] = (
            ["Latitude", "lat", "GeoLatitude", "positionLat", "gps_latitude"],
            [("deg", 1, ["Deg", "Degrees"]), ("rad", Math.PI / 180, ["Rad", "Radians"])]
        ),
        ["longitude"] = (
            ["Longitude", "lon", "GeoLongitude", "positionLon", "gps_longitude"],
            [("deg", 1, ["Deg", "Degrees"]), ("rad", Math.PI / 180, ["Rad", "Radians"])]
        ),
        ["height"] = (
            ["Altitude", "height", "EllipsoidHeight", "AltitudeMSL", "elevation"],
            [("m", 1, ["M", "Metres"]), ("cm", 100, ["Cm"]), ("ft", 1 / 0.3048, ["Ft", "Feet"])]
        ),
        ["yaw"] = (
            ["Yaw", "Heading", "CameraYaw", "azimuth", "hdg"],
            [("deg", 1, ["Deg", "Degrees"]), ("rad", Math.PI / 180, ["Rad", "Radians"])]
        ),
        ["pitch"] = (
            ["Pitch", "CameraPitch", "tilt", "nosePitch"],
            [("deg", 1, ["Deg", "Degrees"]), ("rad", Math.PI / 180, ["Rad", "Radians"])]
        ),
        ["roll"] = (
            ["Roll", "CameraRoll", "bank", "bankAngle"],
            [("deg", 1, ["Deg", "Degrees"]), ("rad", Math.PI / 180, ["Rad", "Radians"])]
        ),
        ["exposure"] = (
            ["ExposureTime", "shutter", "IntegrationTime", "exposure", "tint"],
            [("s", 1, ["S", "Seconds"]), ("ms", 1e3, ["Ms", "Milliseconds"]), ("us", 1e6, ["Us", "Microseconds"])]
        ),
        ["gain"] = (["Gain", "amplification", "SensorGain"], [("1", 1, ["Linear"])]),
        ["irradiance"] = (
            ["Irradiance", "sunLight", "SkyIrradiance", "downwelling", "daylight"],
            [
                ("W/m2/nm", 1, ["WPerM2PerNm", "_W_m2_nm"]),
                ("uW/cm2/nm", 100, ["UwPerCm2PerNm", "_uW_cm2_nm"]),
                ("relative", 1, []),
            ]
        ),
    };

    private static readonly (string Name, double Nanometres, string Short)[] Bands =
    [
        ("blue", 475, "B"),
        ("green", 560, "G"),
        ("red", 668, "R"),
        ("rededge", 717, "RE"),
        ("nir", 840, "NIR"),
    ];

    private readonly Random random;
    private readonly string uri;
    private readonly string prefix;
    private readonly Dictionary<string, (string Name, string Unit, double Scale, bool UnitInName)> places = [];
    private readonly bool angleRadians;

    public OtherDialect(int seed)
    {
        random = new Random(seed);
        prefix = Word();
        uri = $"http://{Word()}.example/{Word()}/{random.Next(1, 9)}.0/";
        angleRadians = random.Next(3) == 0;
        bool degreesPosition = random.Next(4) != 0;
        bool unitsInNames = random.Next(2) == 0;
        foreach (
            (string quantity, (string[] names, (string Unit, double Scale, string[] Written)[] units)) in Quantities
        )
        {
            int unit = random.Next(units.Length);
            if (quantity is "latitude" or "longitude")
            {
                unit = degreesPosition ? 0 : 1;
            }
            else if (quantity is "yaw" or "pitch" or "roll")
            {
                unit = angleRadians ? 1 : 0;
            }

            bool inName = unitsInNames && units[unit].Written.Length > 0;
            if (quantity == "height" && !inName)
            {
                // Centimetres or feet that nobody states cannot be known; no maker leaves them out.
                unit = 0;
            }

            string name = names[random.Next(names.Length)];
            places[quantity] = (
                inName ? name + units[unit].Written[random.Next(units[unit].Written.Length)] : name,
                units[unit].Unit,
                units[unit].Scale,
                inName
            );
        }

        ExifPosition = random.Next(3) == 0;
        ExifExposure = random.Next(4) == 0;
        Layout = random.Next(4);
        BandTold = Layout == 3 ? random.Next(2) : random.Next(5);
        Bits = new[] { 10, 12, 12, 16 }[random.Next(4)];
        High = Bits < 16 && random.Next(2) == 0;
        NumberWay = random.Next(4);
        XmpWay = random.Next(3);
        CaptureIdWay = random.Next(3);
        PitchDown = random.Next(5) == 0;
        AngleList = random.Next(5) == 0;
        LightList = random.Next(4) == 0;
    }

    public bool ExifPosition { get; }

    public bool ExifExposure { get; }

    /// <summary>0: name and suffix; 1: folder per band; 2: band first; 3: a page per band.</summary>
    public int Layout { get; }

    /// <summary>0: wavelength in nm; 1: name in XMP; 2: by the file or folder only; 3: wavelength in µm; 4: number in the suffix, name in XMP.</summary>
    public int BandTold { get; }

    public int Bits { get; }

    public bool High { get; }

    public int NumberWay { get; }

    public int XmpWay { get; }

    public int CaptureIdWay { get; }

    public bool PitchDown { get; }

    public bool AngleList { get; }

    public bool LightList { get; }

    public string UnitOf(string quantity) => places[quantity].Unit;

    public override string ToString() =>
        $"{string.Join(" ", places.Values.Select(place => place.Name + ":" + place.Unit))} layout {Layout} band {BandTold} bits {Bits}{(High ? "high" : "")} number {NumberWay} xmp {XmpWay} id {CaptureIdWay} exif {ExifPosition}/{ExifExposure} down {PitchDown} list {AngleList}/{LightList}";

    public List<OtherFrameTruth> Write(string folder, int captures)
    {
        List<OtherFrameTruth> truths = [];
        double latitude = random.NextDouble() < 0.3 ? 0.4 + random.NextDouble() : (random.NextDouble() * 40) - 25;
        double longitude = -80 + (random.NextDouble() * 40);
        for (int capture = 0; capture < captures; capture++)
        {
            bool back = capture >= captures / 2;
            double yaw = (back ? 200 : 20) + (random.NextDouble() * 4) - 2;
            int along = back ? captures - capture : capture;
            TiffSpecimen? many = Layout == 3 ? new TiffSpecimen(random.Next(2) == 0, bigTiff: false) : null;
            Dictionary<string, double> common = new()
            {
                ["latitude"] = latitude + (1.2e-4 * along * Math.Cos(20 * Math.PI / 180)),
                ["longitude"] = longitude + (1.2e-4 * along * Math.Sin(20 * Math.PI / 180)) + (back ? 3e-4 : 0),
                ["height"] = 1234 + (random.NextDouble() * 20),
                ["yaw"] = yaw,
                ["pitch"] = (random.NextDouble() * 8) - 4,
                ["roll"] = (random.NextDouble() * 8) - 4,
            };
            double sky = 0.9 + (0.1 * random.NextDouble());
            double[] lights = [.. Bands.Select((_, band) => sky * (1.5 - (0.12 * band)))];
            for (int band = 0; band < Bands.Length; band++)
            {
                Dictionary<string, double> values = new(common)
                {
                    ["exposure"] = 0.0004 * (1 + band) * (0.9 + (0.2 * random.NextDouble())),
                    ["gain"] = 1 << random.Next(3),
                    ["irradiance"] = lights[band],
                };
                string file = FileOf(capture, band);
                TiffSpecimen tiff = many ?? new TiffSpecimen(random.Next(2) == 0, bigTiff: false);
                Page(tiff, values, lights, band, capture);
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

    private string FileOf(int capture, int band)
    {
        string number = (capture + 17).ToString("0000", CultureInfo.InvariantCulture);
        string word = BandTold == 4 ? (band + 1).ToString(CultureInfo.InvariantCulture) : Bands[band].Short;
        return Layout switch
        {
            0 => $"IMG_{number}_{word}.tif",
            1 => $"{Bands[band].Name}/P{number}.tif",
            2 => $"{word}_{number}.TIF",
            _ => $"shot{number}.tiff",
        };
    }

    private void Page(TiffSpecimen tiff, Dictionary<string, double> values, double[] lights, int band, int capture)
    {
        SpecimenDirectory page = tiff.AddPage();
        int most = (1 << Bits) - 1;
        int shift = High ? 16 - Bits : 0;
        page.Pixels(
            tiff,
            6,
            8,
            1,
            new PixelCoding(),
            (row, column, _) => (row == 0 && column == 0 ? most : (37 * ((row * 8) + column + capture)) % most) << shift
        );
        page.Text(271, "Invented").Text(272, "Any One");
        DateTime clock = new DateTime(2026, 3, 14, 10, 0, 0, DateTimeKind.Unspecified).AddSeconds(2 * capture);
        SpecimenDirectory exif = new SpecimenDirectory()
            .Text(36867, clock.ToString("yyyy:MM:dd HH:mm:ss", CultureInfo.InvariantCulture))
            .Rational(37386, (55, 10));
        if (ExifExposure)
        {
            exif.Rational(33434, ((long)Math.Round(values["exposure"] * 1e7), 10_000_000));
        }

        exif.Entries.Sort((one, two) => one.Tag.CompareTo(two.Tag));
        page.Directory(34665, exif);
        if (ExifPosition)
        {
            page.Directory(
                34853,
                new SpecimenDirectory()
                    .Text(1, values["latitude"] < 0 ? "S" : "N")
                    .Rational(2, Sexagesimal(values["latitude"]))
                    .Text(3, values["longitude"] < 0 ? "W" : "E")
                    .Rational(4, Sexagesimal(values["longitude"]))
                    .Rational(6, ((long)Math.Round(values["height"] * 1000), 1000))
            );
        }

        page.Bytes(700, 1, Encoding.UTF8.GetBytes(Xmp(values, lights, band, capture)));
        page.Entries.Sort((one, two) => one.Tag.CompareTo(two.Tag));
    }

    private string Xmp(Dictionary<string, double> values, double[] lights, int band, int capture)
    {
        List<(string Name, string[] Values)> properties =
        [
            ("Firmware", ["1.4.2"]),
            ("Mode", ["auto"]),
            ("BatteryVolts", [(15.2 - (0.01 * capture)).ToString(CultureInfo.InvariantCulture)]),
            ("GroundSpeed", ["5.5"]),
        ];
        foreach ((string quantity, double value) in values)
        {
            if (
                (ExifPosition && quantity is "latitude" or "longitude" or "height")
                || (ExifExposure && quantity == "exposure")
                || (ExifPosition && quantity == "height")
            )
            {
                continue;
            }

            if (AngleList && quantity is "yaw" or "pitch" or "roll" && AngleList)
            {
                continue;
            }

            double told = quantity == "pitch" && PitchDown ? value - 90 : value;
            properties.Add(
                quantity == "irradiance" && LightList
                    ? (places[quantity].Name, [.. lights.Select(light => Number(light * places[quantity].Scale))])
                    : (places[quantity].Name, [Number(told * places[quantity].Scale)])
            );
        }

        if (AngleList)
        {
            double scale = places["yaw"].Scale;
            properties.Add(
                (
                    "attitude",
                    [
                        Number(values["yaw"] * scale),
                        Number((values["pitch"] - (PitchDown ? 90 : 0)) * scale),
                        Number(values["roll"] * scale),
                    ]
                )
            );
        }

        switch (BandTold)
        {
            case 0:
                properties.Add(("CentralWavelength", [Bands[band].Nanometres.ToString(CultureInfo.InvariantCulture)]));
                break;
            case 3:
                properties.Add(
                    ("wavelengthUm", [(Bands[band].Nanometres / 1000).ToString(CultureInfo.InvariantCulture)])
                );
                break;
            case 1 or 4:
                properties.Add(("BandName", [Bands[band].Name]));
                break;
            default:
                break;
        }

        if (CaptureIdWay > 0)
        {
            properties.Add(
                ("CaptureId", [CaptureIdWay == 1 ? $"x{capture:000}f" : capture.ToString(CultureInfo.InvariantCulture)])
            );
        }

        StringBuilder attributes = new();
        StringBuilder elements = new();
        foreach ((string name, string[] list) in properties)
        {
            if (list.Length == 1 ? XmpWay == 0 : XmpWay == 2)
            {
                attributes.Append($" {prefix}:{name}=\"{SecurityElement.Escape(string.Join(", ", list))}\"");
            }
            else
            {
                string inner =
                    list.Length == 1
                        ? SecurityElement.Escape(list[0])!
                        : "<rdf:Seq>" + string.Concat(list.Select(value => $"<rdf:li>{value}</rdf:li>")) + "</rdf:Seq>";
                elements.Append($"<{prefix}:{name}>{inner}</{prefix}:{name}>");
            }
        }

        return "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">"
            + $"<rdf:Description rdf:about=\"\" xmlns:{prefix}=\"{uri}\"{attributes}>{elements}</rdf:Description></rdf:RDF></x:xmpmeta>";
    }

    private string Number(double value) =>
        NumberWay switch
        {
            0 => value.ToString("0.##########", CultureInfo.InvariantCulture),
            1 => value.ToString("R", CultureInfo.InvariantCulture),
            2 => value.ToString("E10", CultureInfo.InvariantCulture),
            _ => string.Create(CultureInfo.InvariantCulture, $"{Math.Round(value * 1e9):0}/1000000000"),
        };

    private static (long, long)[] Sexagesimal(double degrees)
    {
        double size = Math.Abs(degrees);
        double minutes = (size - Math.Floor(size)) * 60;
        return
        [
            ((long)Math.Floor(size), 1),
            ((long)Math.Floor(minutes), 1),
            ((long)Math.Round((minutes - Math.Floor(minutes)) * 60 * 1e5), 100_000),
        ];
    }

    private string Word() =>
        string.Concat(Enumerable.Range(0, 2 + random.Next(2)).Select(_ => Syllables[random.Next(Syllables.Length)]));
}
