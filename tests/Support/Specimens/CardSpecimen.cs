using System.Globalization;

namespace Hillrow.TestSupport;

/// <summary>What one frame of an invented camera says about itself; null is left out.</summary>
public sealed record FrameSpecimen
{
    public required int Rows { get; init; }

    public required int Columns { get; init; }

    /// <summary>Stored 16-bit sample at (row, column).</summary>
    public required Func<int, int, double> Sample { get; init; }

    public string? CaptureId { get; init; }

    public string? Band { get; init; }

    public DateTime? Clock { get; init; }

    public DateTime? SatelliteUtc { get; init; }

    public double? LatitudeDegrees { get; init; }

    public double? LongitudeDegrees { get; init; }

    public double? HeightMetres { get; init; }

    public double? ExposureSeconds { get; init; }

    public double? Gain { get; init; }

    public double? Irradiance { get; init; }

    public string? Panel { get; init; }

    /// <summary>Yaw, pitch, roll.</summary>
    public (double Yaw, double Pitch, double Roll)? AttitudeDegrees { get; init; }
}

/// <summary>Writes frames of an invented camera as TIFF with EXIF, GPS and XMP, and the metadata map that reads them.</summary>
public static class CardSpecimen
{
    /// <summary>The [metadata] sections of a profile for these frames.</summary>
    public const string MetadataMap = """
        [metadata]
        heightReference = "egm96Geoid"
        [metadata.namespaces]
        rig = "urn:example:rig"

        [metadata.time]
        text = { exif = 36867 }
        subSeconds = { exif = 37521 }

        [metadata.satelliteTime]
        date = { gps = 29 }
        clock = { gps = 7 }
        offsetMinutes = 0

        [metadata.latitude]
        xmp = "rig:Lat"
        [metadata.longitude]
        xmp = "rig:Lon"
        [metadata.height]
        xmp = "rig:Height"
        [metadata.yaw]
        xmp = "rig:Yaw"
        [metadata.pitch]
        xmp = "rig:Pitch"
        [metadata.roll]
        xmp = "rig:Roll"
        [metadata.exposure]
        xmp = "rig:Exposure"
        [metadata.gain]
        xmp = "rig:Gain"
        [metadata.irradiance]
        xmp = "rig:Irradiance"
        [metadata.captureId]
        xmp = "rig:Capture"
        [metadata.bandName]
        xmp = "rig:Band"
        [metadata.panelMarker]
        xmp = "rig:Panel"

        """;

    public static void Write(string path, FrameSpecimen frame)
    {
        ArgumentNullException.ThrowIfNull(path);
        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        File.WriteAllBytes(path, ToBytes(frame));
    }

    public static byte[] ToBytes(FrameSpecimen frame)
    {
        ArgumentNullException.ThrowIfNull(frame);
        TiffSpecimen file = new(bigEndian: false, bigTiff: false);
        SpecimenDirectory page = file.AddPage();
        page.Pixels(
            file,
            frame.Rows,
            frame.Columns,
            1,
            new PixelCoding(),
            (row, column, _) => frame.Sample(row, column)
        );
        SpecimenDirectory exif = new();
        exif.Bytes(36864, 7, "0231"u8.ToArray());
        if (frame.Clock is { } clock)
        {
            exif.Text(36867, clock.ToString("yyyy:MM:dd HH:mm:ss", CultureInfo.InvariantCulture));
            exif.Text(37521, clock.ToString("fff", CultureInfo.InvariantCulture));
        }

        page.Directory(34665, exif);
        if (frame.SatelliteUtc is { } satellite)
        {
            page.Directory(
                34853,
                new SpecimenDirectory()
                    .Rational(7, (satellite.Hour, 1), (satellite.Minute, 1), (satellite.Second, 1))
                    .Text(29, satellite.ToString("yyyy:MM:dd", CultureInfo.InvariantCulture))
            );
        }

        (string Name, object? Value)[] properties =
        [
            ("Capture", frame.CaptureId),
            ("Band", frame.Band),
            ("Lat", frame.LatitudeDegrees),
            ("Lon", frame.LongitudeDegrees),
            ("Height", frame.HeightMetres),
            ("Exposure", frame.ExposureSeconds),
            ("Gain", frame.Gain),
            ("Irradiance", frame.Irradiance),
            ("Panel", frame.Panel),
            ("Yaw", frame.AttitudeDegrees?.Yaw),
            ("Pitch", frame.AttitudeDegrees?.Pitch),
            ("Roll", frame.AttitudeDegrees?.Roll),
        ];
        string attributes = string.Join(
            ' ',
            properties
                .Where(entry => entry.Value is not null)
                .Select(entry => $"rig:{entry.Name}=\"{Convert.ToString(entry.Value, CultureInfo.InvariantCulture)}\"")
        );
        string xmp =
            "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">"
            + $"<rdf:Description rdf:about=\"\" xmlns:rig=\"urn:example:rig\" {attributes}/></rdf:RDF></x:xmpmeta>";
        page.Bytes(700, 1, System.Text.Encoding.UTF8.GetBytes(xmp));
        return file.ToBytes();
    }
}

/// <summary>A folder of its own that is removed at the end.</summary>
public sealed class TestFolder : IDisposable
{
    public string Path { get; } = Directory.CreateTempSubdirectory("hillrow-test-").FullName;

    public string At(params string[] parts) => System.IO.Path.Combine([Path, .. parts]);

    public void Dispose() => Directory.Delete(Path, recursive: true);
}
