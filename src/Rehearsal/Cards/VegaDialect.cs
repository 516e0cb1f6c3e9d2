using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Rehearsal;

/// <summary>
/// A folder per band; EXIF logarithmic exposure and GPS with decimals of minutes; fractions in XMP attributes; radians;
/// irradiance as a number with its unit in words; local clock with its zone; height above the geoid; big-endian.
/// </summary>
internal sealed class VegaDialect() : CardDialect("vega", "Vega Hillside")
{
    private const string Uri = "http://hillrow.example/vega/2/sensor/";
    private static readonly TimeSpan Zone = TimeSpan.FromHours(-4);

    public override BitPlacement Placement => BitPlacement.Low;

    public override bool TellsBlackLevel => true;

    public override IrradianceUnit Irradiance => IrradianceUnit.WattsPerSquareMetreNanometre;

    public override MetadataMap Map { get; } =
        new()
        {
            HeightReference = VerticalReference.Egm96Geoid,
            Time = MetadataMap.Standard.Time,
            SatelliteTime = MetadataMap.Standard.SatelliteTime,
            Values = new Dictionary<FrameQuantity, IReadOnlyList<ValueRule>>(MetadataMap.Standard.Values)
            {
                [FrameQuantity.CaptureId] = Rule(new ValueRule { FileName = @"^V(\d+)\." }),
                [FrameQuantity.BandName] = Rule(new ValueRule { Folder = ".+" }),
                [FrameQuantity.Exposure] = Rule(
                    new ValueRule { Property = PropertyKey.Exif(37377), Form = NumberForm.ApexTime }
                ),
                [FrameQuantity.Gain] = At(PropertyKey.Xmp(Uri, "amplification")),
                [FrameQuantity.Yaw] = At(PropertyKey.Xmp(Uri, "heading"), "rad"),
                [FrameQuantity.Pitch] = At(PropertyKey.Xmp(Uri, "climb"), "rad"),
                [FrameQuantity.Roll] = At(PropertyKey.Xmp(Uri, "bank"), "rad"),
                [FrameQuantity.Irradiance] = Rule(
                    new ValueRule
                    {
                        Property = PropertyKey.Xmp(Uri, "daylight"),
                        Pattern = "^[0-9.]+",
                        Unit = "mW/m2/nm",
                    }
                ),
                [FrameQuantity.IrradianceYaw] = At(PropertyKey.Xmp(Uri, "heading"), "rad"),
                [FrameQuantity.IrradiancePitch] = At(PropertyKey.Xmp(Uri, "climb"), "rad"),
                [FrameQuantity.IrradianceRoll] = At(PropertyKey.Xmp(Uri, "bank"), "rad"),
                [FrameQuantity.Temperature] = At(PropertyKey.Xmp(Uri, "housing"), "K"),
                [FrameQuantity.PanelMarker] = At(PropertyKey.Xmp(Uri, "target")),
            },
        };

    public override IReadOnlyList<string> FilesOf(int captureNumber) =>
        [.. RigBand.Five.Select(band => FileOf(captureNumber, band.Name))];

    public override string ThermalFileOf(int captureNumber) => FileOf(captureNumber, ThermalCamera.BandName);

    private static string FileOf(int captureNumber, string band) =>
        string.Create(CultureInfo.InvariantCulture, $"{band}/V{captureNumber:000000}.TIF");

    internal override void Write(string folder, RehearsalCapture capture, CardCamera camera)
    {
        CardTags tags = new(bigEndian: true);
        IReadOnlyList<string> files = FilesOf(capture.Number);
        for (int band = 0; band < 5; band++)
        {
            const int Fine = 1_000_000;
            CardXmp xmp = new(("vs", Uri));
            xmp.Attribute("vs:amplification", CardText.Fraction(capture.Exposures[band].Gain, 1000))
                .Attribute("vs:heading", CardText.Fraction(Radians(Degrees(capture.Reported.YawDegrees)), Fine))
                .Attribute("vs:climb", CardText.Fraction(Radians(capture.Reported.PitchDegrees), Fine))
                .Attribute("vs:bank", CardText.Fraction(Radians(capture.Reported.RollDegrees), Fine))
                .Attribute(
                    "vs:daylight",
                    CardText.Of(capture.Irradiance[band] * 1000, 4) + " mW per square metre and nm"
                );
            if (capture.IsPanel)
            {
                xmp.Attribute("vs:target", NominalProfile.PanelWord);
            }

            CardPage page = new(
                camera.Columns,
                camera.Rows,
                Stored(capture.Frames[band]),
                [
                    CardTags.Text(271, "Invented"),
                    CardTags.Text(272, Model),
                    tags.Rational(50714, 100, camera.BlackCounts[band]),
                ],
                Exif(tags, capture, band, camera),
                Gps(tags, capture, camera),
                xmp.ToString()
            );
            CardTiff.Write(Place(folder, files[band]), [page], tags);
        }

        if (capture.Thermal is { } warm)
        {
            WriteThermal(Place(folder, ThermalFileOf(capture.Number)), capture, warm, camera, tags);
        }
    }

    private void WriteThermal(
        string path,
        RehearsalCapture capture,
        ThermalFrame warm,
        CardCamera camera,
        CardTags tags
    )
    {
        const int Fine = 1_000_000;
        CardXmp xmp = new(("vs", Uri));
        xmp.Attribute("vs:housing", CardText.Fraction(warm.HousingKelvin, 1000))
            .Attribute("vs:heading", CardText.Fraction(Radians(Degrees(capture.Reported.YawDegrees)), Fine))
            .Attribute("vs:climb", CardText.Fraction(Radians(capture.Reported.PitchDegrees), Fine))
            .Attribute("vs:bank", CardText.Fraction(Radians(capture.Reported.RollDegrees), Fine));
        CardPage page = new(
            ThermalCamera.Columns,
            ThermalCamera.Rows,
            StoredThermal(warm),
            [CardTags.Text(271, "Invented"), CardTags.Text(272, Model)],
            // No shutter: all but the exposure time.
            [.. Exif(tags, capture, 0, camera).Skip(1)],
            Gps(tags, capture, camera),
            xmp.ToString()
        );
        CardTiff.Write(path, [page], tags);
    }

    private static CardTag[] Exif(CardTags tags, RehearsalCapture capture, int band, CardCamera camera)
    {
        DateTime local = capture.Moment.UtcDateTime + Zone;
        return
        [
            tags.SignedRational(37377, 10_000_000, -Math.Log2(capture.Exposures[band].Seconds)),
            CardTags.Text(36867, local.ToString("yyyy:MM:dd HH:mm:ss", CultureInfo.InvariantCulture)),
            CardTags.Text(36881, "-04:00"),
            CardTags.Text(37521, local.ToString("fff", CultureInfo.InvariantCulture)),
            CardTags.Text(42033, camera.SerialNumber),
        ];
    }

    private static CardTag[] Gps(CardTags tags, RehearsalCapture capture, CardCamera camera)
    {
        GeodeticPosition place = capture.ReportedPlace;
        DateTime moment = capture.Moment.UtcDateTime;
        double height = SeaHeightMetres(place);
        return
        [
            CardTags.Bytes(0, [2, 3, 0, 0]),
            CardTags.Text(1, place.Latitude.Degrees < 0 ? "S" : "N"),
            Minutes(tags, 2, place.Latitude.Degrees),
            CardTags.Text(3, place.Longitude.Degrees < 0 ? "W" : "E"),
            Minutes(tags, 4, place.Longitude.Degrees),
            CardTags.Bytes(5, [(byte)(height < 0 ? 1 : 0)]),
            tags.Rational(6, 100, Math.Abs(height)),
            tags.Rational(7, 1, moment.Hour, moment.Minute, moment.Second),
            CardTags.Text(29, moment.ToString("yyyy:MM:dd", CultureInfo.InvariantCulture)),
            tags.Rational(31, 10, camera.PositionSigmaMetres),
        ];
    }

    /// <summary>Whole degrees, minutes with their decimals, and no seconds, as the standard allows.</summary>
    private static CardTag Minutes(CardTags tags, ushort tag, double degrees)
    {
        double size = Math.Abs(degrees);
        CardTag three = tags.Rational(tag, 1, Math.Floor(size), 0, 0);
        tags.Rational(tag, 10_000_000, (size - Math.Floor(size)) * 60).Bytes.CopyTo(three.Bytes.AsSpan(8));
        return three;
    }
}
