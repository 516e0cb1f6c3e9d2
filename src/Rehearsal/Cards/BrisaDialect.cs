using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Rehearsal;

/// <summary>
/// One file per band; XMP attributes; decimals; EXIF exposure and GPS (degrees, minutes, seconds; height above the
/// ellipsoid); degrees; W m⁻² nm⁻¹; 12 bit in the upper bits of 16; little-endian.
/// </summary>
internal sealed class BrisaDialect() : CardDialect("brisa", "Brisa Five")
{
    private const string Uri = "http://hillrow.example/brisa/frame/1/";

    public override BitPlacement Placement => BitPlacement.High;

    public override bool TellsBlackLevel => true;

    public override IrradianceUnit Irradiance => IrradianceUnit.WattsPerSquareMetreNanometre;

    public override MetadataMap Map { get; } =
        MetadataMap.Standard with
        {
            HeightReference = VerticalReference.Ellipsoid,
            Values = new Dictionary<FrameQuantity, IReadOnlyList<ValueRule>>(MetadataMap.Standard.Values)
            {
                [FrameQuantity.CaptureId] = At(PropertyKey.Xmp(Uri, "TriggerKey")),
                [FrameQuantity.BandName] = At(PropertyKey.Xmp(Uri, "Colour")),
                [FrameQuantity.CentreWavelength] = At(PropertyKey.Xmp(Uri, "ColourMiddle"), "nm"),
                [FrameQuantity.BandWidth] = At(PropertyKey.Xmp(Uri, "ColourSpan"), "nm"),
                [FrameQuantity.Gain] = At(PropertyKey.Xmp(Uri, "Boost")),
                [FrameQuantity.Bits] = At(PropertyKey.Xmp(Uri, "TrueBits")),
                [FrameQuantity.Yaw] = At(PropertyKey.Xmp(Uri, "NoseFromNorth")),
                [FrameQuantity.Pitch] = At(PropertyKey.Xmp(Uri, "NoseUp")),
                [FrameQuantity.Roll] = At(PropertyKey.Xmp(Uri, "RightWingDown")),
                [FrameQuantity.Irradiance] = At(PropertyKey.Xmp(Uri, "LightFromAbove"), "W/m2/nm"),
                [FrameQuantity.Temperature] = At(PropertyKey.Xmp(Uri, "BodyWarmth"), "degC"),
                [FrameQuantity.PanelMarker] = At(PropertyKey.Xmp(Uri, "BoardInView")),
            },
        };

    public override IReadOnlyList<string> FilesOf(int captureNumber) =>
        [.. Enumerable.Range(1, 5).Select(band => FileOf(captureNumber, band))];

    public override string ThermalFileOf(int captureNumber) => FileOf(captureNumber, 6);

    private static string FileOf(int captureNumber, int band) =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"{(captureNumber - 1) / 100:000}BRI/BR_{captureNumber:0000}_{band}.tif"
        );

    internal override void Write(string folder, RehearsalCapture capture, CardCamera camera)
    {
        CardTags tags = new(bigEndian: false);
        IReadOnlyList<string> files = FilesOf(capture.Number);
        for (int band = 0; band < 5; band++)
        {
            RigBand colour = RigBand.Five[band];
            CardXmp xmp = new(("brf", Uri));
            xmp.Attribute("brf:TriggerKey", $"{camera.SerialNumber}-{capture.Moment:yyyyMMdd}-{capture.Number:0000}")
                .Attribute("brf:Colour", colour.Name)
                .Attribute("brf:ColourMiddle", CardText.Of(colour.CentreNanometres, 1))
                .Attribute("brf:ColourSpan", CardText.Of(colour.WidthNanometres, 1))
                .Attribute("brf:Boost", CardText.Of(capture.Exposures[band].Gain, 2))
                .Attribute("brf:TrueBits", "12")
                .Attribute("brf:NoseFromNorth", CardText.Of(Degrees(capture.Reported.YawDegrees), 4))
                .Attribute("brf:NoseUp", CardText.Of(capture.Reported.PitchDegrees, 4))
                .Attribute("brf:RightWingDown", CardText.Of(capture.Reported.RollDegrees, 4))
                .Attribute("brf:LightFromAbove", CardText.Of(capture.Irradiance[band], 7));
            if (capture.IsPanel)
            {
                xmp.Attribute("brf:BoardInView", NominalProfile.PanelWord);
            }

            CardPage page = new(
                camera.Columns,
                camera.Rows,
                Stored(capture.Frames[band]),
                [
                    CardTags.Text(271, "Invented"),
                    CardTags.Text(272, Model),
                    tags.Short(50714, (int)Math.Round(camera.BlackCounts[band])),
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
        CardXmp xmp = new(("brf", Uri));
        xmp.Attribute("brf:TriggerKey", $"{camera.SerialNumber}-{capture.Moment:yyyyMMdd}-{capture.Number:0000}")
            .Attribute("brf:Colour", ThermalCamera.BandName)
            .Attribute("brf:ColourMiddle", CardText.Of(ThermalCamera.CentreNanometres, 1))
            .Attribute("brf:ColourSpan", CardText.Of(ThermalCamera.WidthNanometres, 1))
            .Attribute("brf:TrueBits", ThermalCamera.Bits.ToString(CultureInfo.InvariantCulture))
            .Attribute("brf:BodyWarmth", CardText.Of(Celsius(warm), 2))
            .Attribute("brf:NoseFromNorth", CardText.Of(Degrees(capture.Reported.YawDegrees), 4))
            .Attribute("brf:NoseUp", CardText.Of(capture.Reported.PitchDegrees, 4))
            .Attribute("brf:RightWingDown", CardText.Of(capture.Reported.RollDegrees, 4));
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

    private static CardTag[] Exif(CardTags tags, RehearsalCapture capture, int band, CardCamera camera) =>
        [
            tags.Rational(33434, 100_000_000, capture.Exposures[band].Seconds),
            CardTags.Text(
                36867,
                capture.Moment.UtcDateTime.ToString("yyyy:MM:dd HH:mm:ss", CultureInfo.InvariantCulture)
            ),
            CardTags.Text(36881, "+00:00"),
            CardTags.Text(37521, capture.Moment.UtcDateTime.ToString("ffffff", CultureInfo.InvariantCulture)),
            tags.Rational(37386, 1000, TrueRig.NominalFocalMillimetres),
            CardTags.Text(42033, camera.SerialNumber),
        ];

    private static CardTag[] Gps(CardTags tags, RehearsalCapture capture, CardCamera camera)
    {
        GeodeticPosition place = capture.ReportedPlace;
        DateTime moment = capture.Moment.UtcDateTime;
        return
        [
            CardTags.Bytes(0, [2, 3, 0, 0]),
            CardTags.Text(1, place.Latitude.Degrees < 0 ? "S" : "N"),
            tags.DegreesMinutesSeconds(2, place.Latitude.Degrees),
            CardTags.Text(3, place.Longitude.Degrees < 0 ? "W" : "E"),
            tags.DegreesMinutesSeconds(4, place.Longitude.Degrees),
            CardTags.Bytes(5, [(byte)(place.HeightAboveEllipsoidMetres < 0 ? 1 : 0)]),
            tags.Rational(6, 1000, Math.Abs(place.HeightAboveEllipsoidMetres)),
            tags.Rational(
                7,
                1000,
                moment.Hour,
                moment.Minute,
                moment.Second + (moment.Microsecond / 1e6) + (moment.Millisecond / 1e3)
            ),
            CardTags.Text(29, moment.ToString("yyyy:MM:dd", CultureInfo.InvariantCulture)),
            tags.Rational(31, 100, camera.PositionSigmaMetres),
        ];
    }
}
