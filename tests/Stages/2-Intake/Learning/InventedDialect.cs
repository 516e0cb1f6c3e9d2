using System.Globalization;
using System.Security;
using System.Text;
using Hillrow.TestSupport;

namespace Hillrow.Intake.Tests;

/// <summary>What one frame of an invented dialect truly says.</summary>
internal sealed record FrameTruth(
    string File,
    int Page,
    int Capture,
    int Band,
    double Latitude,
    double Longitude,
    double Height,
    double Yaw,
    double Pitch,
    double Roll,
    double ExposureSeconds,
    double Gain,
    double Irradiance,
    DateTime Clock
);

/// <summary>
/// A camera drawn at random in every way the standards allow: names, forms, units, places, files. Frames are tiny, their
/// metadata real. Drawn from wide lists of words on purpose, some of which say nothing.
/// </summary>
internal sealed class InventedDialect
{
    private static readonly (string Name, double Nanometres)[] Spectrum =
    [
        ("blue", 475),
        ("green", 560),
        ("red", 668),
        ("rededge", 717),
        ("nir", 842),
        ("coastal", 444),
    ];

    private readonly Random random;
    private readonly Dictionary<string, string> names = [];
    private readonly Dictionary<string, int> forms = [];
    private readonly string uri;
    private readonly int fileScheme;
    private readonly bool bigEndian;
    private readonly int shift;
    private readonly bool exifPosition;
    private readonly bool radiansPosition;
    private readonly bool listPosition;
    private readonly int attitude;
    private readonly string angleUnit;
    private readonly double pitchZero;
    private readonly int exposureUnit;
    private readonly int exposurePlace;
    private readonly bool decibels;
    private readonly int bandTelling;
    private readonly bool lightList;
    private readonly int clockForm;

    public InventedDialect(int seed)
    {
        random = new Random(seed);
        uri = $"http://invented.example/{random.Next(1000)}/";
        Bands = random.Next(2, 7);
        Order = [.. Enumerable.Range(0, Spectrum.Length).OrderBy(_ => random.Next()).Take(Bands)];
        fileScheme = random.Next(6);
        bigEndian = random.Next(2) == 0;
        Bits = Pick(10, 12, 16);
        shift = Bits < 16 && random.Next(2) == 0 ? 16 - Bits : 0;
        exifPosition = random.Next(2) == 0;
        radiansPosition = random.Next(4) == 0;
        listPosition = random.Next(3) == 0;
        attitude = random.Next(3);
        angleUnit = Pick("deg", "deg", "rad");
        pitchZero = random.Next(3) == 0 ? -90 : 0;
        exposureUnit = random.Next(3);
        exposurePlace = random.Next(3);
        decibels = random.Next(3) == 0;
        bandTelling = random.Next(4);
        lightList = random.Next(3) == 0;
        LightUnit = Pick("W/m2/nm", "uW/cm2/nm", "mW/m2/nm", "");
        clockForm = random.Next(3);
        Name("exposure", "ExposureTime", "Shutter", "IntegrationTime", "tInt", "Obturation", "exp_time", "Q1");
        Name("gain", "Gain", "SensorGain", "Amplification", "analogGain", "Verst", "preamp", "Q2");
        Name("light", "Irradiance", "SpectralIrradiance", "Downwelling", "SkyLight", "incident_light", "Sol", "Q3");
        Name("yaw", "Yaw", "Heading", "CameraYaw", "Azimuth", "Kurs", "att_yaw", "Q4");
        Name("pitch", "Pitch", "Tilt", "CameraPitch", "Inclination", "Neig", "att_pitch", "Q5");
        Name("roll", "Roll", "Bank", "CameraRoll", "RollAngle", "Quer", "att_roll", "Q6");
        Name("attitude", "Attitude", "Orientation", "YPR", "Pose", "Lage", "euler", "Q7");
        Name("lat", "Latitude", "Lat", "GpsLatitude", "position_lat", "Breite", "lat_wgs84", "Q8");
        Name("lon", "Longitude", "Lon", "GpsLongitude", "position_lon", "Laenge", "lon_wgs84", "Q9");
        Name("height", "Altitude", "Height", "GpsAltitude", "position_alt", "Hoehe", "AltMsl", "Q10");
        Name("place", "Position", "Location", "Where", "LLA", "Ort", "gps_fix", "Q11");
        Name("capture", "CaptureId", "TriggerNumber", "ShotUuid", "frame_id", "Ausl", "SequenceNumber", "Q12");
        Name("band", "BandName", "Channel", "FilterName", "Colour", "Kanal", "band_label", "Q13");
        Name("wave", "CentralWavelength", "WavelengthCentre", "PeakWavelength", "Lambda", "Wl", "centre_nm", "Q14");
        Name("number", "BandIndex", "ChannelNumber", "band_no", "FilterId", "LensSlot", "BandNumber", "Q15");
        Name("clock", "CaptureTime", "UtcTime", "Timestamp", "stamp", "Zeit", "trigger_time", "Q16");
    }

    public int Bands { get; }

    /// <summary>Bands in the camera's order, as indices of wavelengths.</summary>
    public int[] Order { get; }

    public int Bits { get; }

    /// <summary>As the metadata map writes it; empty for readings without unit.</summary>
    public string LightUnit { get; }

    public double Nanometres(int band) => Spectrum[Order[band]].Nanometres;

    public override string ToString() =>
        $"files {fileScheme}, bands {Bands} told {bandTelling}, attitude {attitude} {angleUnit} {pitchZero}, "
        + $"exposure {exposurePlace}/{exposureUnit}, light '{LightUnit}' list {lightList}, exif position {exifPosition}, "
        + $"radians {radiansPosition}, list {listPosition}, clock {clockForm}: {string.Join(' ', names.Values)}";

    public IReadOnlyList<FrameTruth> Write(TestFolder folder, int captures)
    {
        List<FrameTruth> truths = [];
        double course = random.Next(360);
        double latitude = -13 + (random.NextDouble() * 6);
        double longitude = -75 + (random.NextDouble() * 4);
        double height = 1200 + (random.NextDouble() * 900);
        DateTime clock = new(2026, 3, 14, 15, 20, 11, DateTimeKind.Unspecified);
        double baseExposure = 0.0002 + (random.NextDouble() * 0.002);
        for (int capture = 0; capture < captures; capture++)
        {
            if (capture == captures / 2)
            {
                course += 180;
            }

            double along = 14 + random.NextDouble();
            latitude += along * Math.Cos(course * Math.PI / 180) / 111_320;
            longitude += along * Math.Sin(course * Math.PI / 180) / (111_320 * Math.Cos(latitude * Math.PI / 180));
            clock = clock.AddMilliseconds(1500 + random.Next(300));
            height += random.NextDouble() - 0.5;
            double yaw = Math.IEEERemainder(course + (random.NextDouble() * 8) - 4, 360);
            double pitch = (random.NextDouble() * 12) - 6;
            double roll = (random.NextDouble() * 12) - 6;
            List<FrameTruth> frames = [];
            for (int band = 0; band < Bands; band++)
            {
                double exposure = Math.Round(baseExposure * (1 + (0.2 * band) + (0.05 * random.NextDouble())), 7);
                double gain = band % 2 == 0 ? 1 : 2;
                double light = (0.7 + (0.1 * band)) * (1 + (0.05 * Math.Sin(capture)));
                frames.Add(
                    new FrameTruth(
                        FileName(capture, band),
                        fileScheme == 5 ? band : 0,
                        capture,
                        band,
                        latitude,
                        longitude,
                        height,
                        yaw,
                        pitch,
                        roll,
                        exposure,
                        gain,
                        light,
                        clock
                    )
                );
            }

            truths.AddRange(frames);
            WriteCapture(folder, frames);
        }

        return truths;
    }

    private void WriteCapture(TestFolder folder, List<FrameTruth> frames)
    {
        TiffSpecimen file = new(bigEndian, bigTiff: false);
        foreach (FrameTruth frame in frames)
        {
            if (fileScheme != 5)
            {
                file = new TiffSpecimen(bigEndian, bigTiff: false);
            }

            Page(file, frame, frames);
            if (fileScheme != 5 || frame.Band == Bands - 1)
            {
                string path = folder.At(frame.File);
                Directory.CreateDirectory(Path.GetDirectoryName(path)!);
                File.WriteAllBytes(path, file.ToBytes());
            }
        }
    }

    private string FileName(int capture, int band)
    {
        string label = Spectrum[Order[band]].Name;
        string number = (capture + 17).ToString("0000", CultureInfo.InvariantCulture);
        return fileScheme switch
        {
            0 => $"IMG_{number}_{band + 1}.tif",
            1 => $"{label}/X{number}.TIF",
            2 => $"F{number}/{label}.tiff",
            3 => $"shot-{number}-{Spectrum[Order[band]].Nanometres:0}nm.tif",
            4 => $"{number}{label.ToUpperInvariant()}.tif",
            _ => $"card/C{number}.tif",
        };
    }

    private void Page(TiffSpecimen file, FrameTruth frame, List<FrameTruth> all)
    {
        SpecimenDirectory page = file.AddPage();
        int top = (1 << Bits) - 1;
        page.Pixels(
            file,
            8,
            10,
            1,
            new PixelCoding(),
            (row, column, _) =>
                (row + column == 0 ? top : (top / 3) + ((row * 37) + (column * 11) + frame.Capture)) << shift
        );
        page.Text(272, "Invented");
        SpecimenDirectory exif = new();
        exif.Bytes(36864, 7, "0231"u8.ToArray());
        StringBuilder attributes = new();
        StringBuilder elements = new();
        if (clockForm == 0)
        {
            exif.Text(36867, frame.Clock.ToString("yyyy:MM:dd HH:mm:ss", CultureInfo.InvariantCulture));
            exif.Text(37521, frame.Clock.ToString("fff", CultureInfo.InvariantCulture));
        }
        else
        {
            string text =
                clockForm == 1
                    ? frame.Clock.ToString("yyyy-MM-ddTHH:mm:ss.fff", CultureInfo.InvariantCulture) + "Z"
                    : Text((frame.Clock - DateTime.UnixEpoch).TotalMilliseconds, 0);
            Put("clock", text, attributes, elements);
        }

        if (exposurePlace == 0)
        {
            exif.Rational(33434, ((long)Math.Round(frame.ExposureSeconds * 1e8), 100_000_000));
        }
        else
        {
            double scale =
                exposureUnit == 0 ? 1
                : exposureUnit == 1 ? 1e3
                : 1e6;
            Put(
                "exposure",
                exposurePlace == 1 ? Text(frame.ExposureSeconds * scale, 8) : Fraction(frame.ExposureSeconds * scale),
                attributes,
                elements
            );
        }

        Put("gain", Text(decibels ? 20 * Math.Log10(frame.Gain) : frame.Gain, 5), attributes, elements);
        double lightScale = LightUnit switch
        {
            "W/m2/nm" => 1,
            "uW/cm2/nm" => 100,
            "mW/m2/nm" => 1000,
            _ => 3000,
        };
        if (lightList)
        {
            PutList("light", all.Select(one => Text(one.Irradiance * lightScale, 4)), elements);
        }
        else
        {
            string unit = LightUnit.Length > 0 && forms["light"] == 2 ? " " + LightUnit : "";
            Put("light", Text(frame.Irradiance * lightScale, 4) + unit, attributes, elements);
        }

        Angles(frame, attributes, elements);
        Position(page, frame, attributes, elements);
        if (fileScheme == 5 || bandTelling is 1 or 3)
        {
            Put("wave", Text(Nanometres(frame.Band), 1), attributes, elements);
        }

        if (bandTelling is 2 or 3)
        {
            Put("band", Spectrum[Order[frame.Band]].Name, attributes, elements);
        }

        if (bandTelling is 0)
        {
            Put("number", Text(frame.Band + (forms["number"] == 0 ? 0 : 1), 0), attributes, elements);
        }

        if (forms["capture"] != 0)
        {
            Put("capture", $"{frame.Capture + 4000}", attributes, elements);
        }

        page.Directory(34665, exif);
        string xmp =
            "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">"
            + $"<rdf:Description rdf:about=\"\" xmlns:z=\"{uri}\" {attributes}>{elements}</rdf:Description></rdf:RDF></x:xmpmeta>";
        page.Bytes(700, 1, Encoding.UTF8.GetBytes(xmp));
    }

    private void Angles(FrameTruth frame, StringBuilder attributes, StringBuilder elements)
    {
        double unit = angleUnit == "rad" ? Math.PI / 180 : 1;
        string[] angles =
        [
            Text((attitude == 1 && frame.Yaw < 0 ? frame.Yaw + 360 : frame.Yaw) * unit, 6),
            Text((frame.Pitch + pitchZero) * unit, 6),
            Text(frame.Roll * unit, 6),
        ];
        if (attitude == 0)
        {
            PutList("attitude", angles, elements);
            return;
        }

        Put("yaw", angles[0], attributes, elements);
        Put("pitch", angles[1], attributes, elements);
        Put("roll", angles[2], attributes, elements);
    }

    private void Position(SpecimenDirectory page, FrameTruth frame, StringBuilder attributes, StringBuilder elements)
    {
        if (exifPosition)
        {
            static (long, long)[] Sexagesimal(double value)
            {
                double size = Math.Abs(value);
                double minutes = (size - Math.Floor(size)) * 60;
                return
                [
                    ((long)size, 1),
                    ((long)minutes, 1),
                    ((long)Math.Round((minutes - Math.Floor(minutes)) * 60e6), 1_000_000),
                ];
            }

            page.Directory(
                34853,
                new SpecimenDirectory()
                    .Text(1, frame.Latitude < 0 ? "S" : "N")
                    .Rational(2, Sexagesimal(frame.Latitude))
                    .Text(3, frame.Longitude < 0 ? "W" : "E")
                    .Rational(4, Sexagesimal(frame.Longitude))
                    .Bytes(5, 1, 0)
                    .Rational(6, ((long)Math.Round(frame.Height * 1000), 1000))
            );
            return;
        }

        double unit = radiansPosition ? Math.PI / 180 : 1;
        string[] place = [Text(frame.Latitude * unit, 10), Text(frame.Longitude * unit, 10), Text(frame.Height, 3)];
        if (listPosition)
        {
            PutList("place", place, elements);
            return;
        }

        Put("lat", place[0], attributes, elements);
        Put("lon", place[1], attributes, elements);
        Put("height", place[2], attributes, elements);
    }

    private void Put(string key, string value, StringBuilder attributes, StringBuilder elements)
    {
        if (forms[key] == 0)
        {
            attributes.Append(CultureInfo.InvariantCulture, $"z:{names[key]}=\"{SecurityElement.Escape(value)}\" ");
        }
        else
        {
            elements.Append(
                CultureInfo.InvariantCulture,
                $"<z:{names[key]}>{SecurityElement.Escape(value)}</z:{names[key]}>"
            );
        }
    }

    private void PutList(string key, IEnumerable<string> values, StringBuilder elements)
    {
        string content =
            forms[key] == 0
                ? "<rdf:Seq>" + string.Concat(values.Select(value => $"<rdf:li>{value}</rdf:li>")) + "</rdf:Seq>"
                : string.Join(forms[key] == 1 ? "," : "; ", values);
        elements.Append(CultureInfo.InvariantCulture, $"<z:{names[key]}>{content}</z:{names[key]}>");
    }

    private void Name(string key, params string[] choices)
    {
        names[key] = choices[random.Next(choices.Length)];
        forms[key] = random.Next(3);
    }

    private T Pick<T>(params T[] choices) => choices[random.Next(choices.Length)];

    private static string Text(double value, int digits) =>
        Math.Round(value, digits).ToString(CultureInfo.InvariantCulture);

    private static string Fraction(double value) =>
        $"{Math.Round(value * 1e9).ToString(CultureInfo.InvariantCulture)}/1000000000";
}
