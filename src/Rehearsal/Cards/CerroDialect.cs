using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Rehearsal;

/// <summary>
/// One multi-page file per capture, big-endian; XMP elements and sequences; fractions as text; exposure in ms; µW cm⁻²
/// nm⁻¹ for all bands together; radians; position and time in XMP; height above the geoid; 12 bit as they are.
/// </summary>
internal sealed class CerroDialect() : CardDialect("cerro", "Cerro Prisma 5")
{
    private const string Uri = "http://hillrow.example/cerro/";

    public override BitPlacement Placement => BitPlacement.Low;

    public override bool TellsBlackLevel => true;

    public override IrradianceUnit Irradiance => IrradianceUnit.WattsPerSquareMetreNanometre;

    public override MetadataMap Map { get; } =
        new()
        {
            HeightReference = VerticalReference.Egm96Geoid,
            Time = [new TimeRule { Epoch = PropertyKey.Xmp(Uri, "instant"), EpochUnit = "ms" }],
            Values = new Dictionary<FrameQuantity, IReadOnlyList<ValueRule>>
            {
                [FrameQuantity.CaptureId] = At(PropertyKey.Xmp(Uri, "shot")),
                [FrameQuantity.CentreWavelength] = At(PropertyKey.Xmp(Uri, "band/middle"), "um"),
                [FrameQuantity.BandWidth] = At(PropertyKey.Xmp(Uri, "band/span"), "um"),
                [FrameQuantity.BandNumber] = At(PropertyKey.Xmp(Uri, "band/page")),
                [FrameQuantity.Exposure] = At(PropertyKey.Xmp(Uri, "shutter"), "ms"),
                [FrameQuantity.Gain] = At(PropertyKey.Xmp(Uri, "gain")),
                [FrameQuantity.BlackLevel] = At(PropertyKey.Xmp(Uri, "dark")),
                [FrameQuantity.Irradiance] = At(PropertyKey.Xmp(Uri, "skylight"), "uW/cm2/nm"),
                [FrameQuantity.Latitude] = At(PropertyKey.Xmp(Uri, "where"), "deg", 1),
                [FrameQuantity.Longitude] = At(PropertyKey.Xmp(Uri, "where"), "deg", 2),
                [FrameQuantity.Height] = At(PropertyKey.Xmp(Uri, "where"), "m", 3),
                [FrameQuantity.HorizontalSigma] = At(PropertyKey.Xmp(Uri, "whereError"), "cm"),
                [FrameQuantity.Yaw] = At(PropertyKey.Xmp(Uri, "turned"), "rad", 1),
                [FrameQuantity.Pitch] = At(PropertyKey.Xmp(Uri, "turned"), "rad", 2),
                [FrameQuantity.Roll] = At(PropertyKey.Xmp(Uri, "turned"), "rad", 3),
                [FrameQuantity.SerialNumber] = At(PropertyKey.Xmp(Uri, "unit")),
                [FrameQuantity.Temperature] = At(PropertyKey.Xmp(Uri, "shell"), "K"),
                [FrameQuantity.CameraModel] = At(PropertyKey.Tiff(272)),
                [FrameQuantity.PanelMarker] = At(PropertyKey.Xmp(Uri, "reference")),
            },
        };

    public override IReadOnlyList<string> FilesOf(int captureNumber) =>
        [string.Create(CultureInfo.InvariantCulture, $"FLIGHT/cerro-{captureNumber:00000}.tiff")];

    public override string ThermalFileOf(int captureNumber) => FilesOf(captureNumber)[0];

    internal override void Write(string folder, RehearsalCapture capture, CardCamera camera)
    {
        CardTags tags = new(bigEndian: true);
        List<CardPage> pages = [];
        for (int band = 0; band < 5; band++)
        {
            pages.Add(
                new CardPage(
                    camera.Columns,
                    camera.Rows,
                    Stored(capture.Frames[band]),
                    [CardTags.Text(272, Model), tags.Short(297, band, 5)],
                    [],
                    [],
                    Xmp(capture, band, camera)
                )
            );
        }

        if (capture.Thermal is { } warm)
        {
            pages.Add(
                new CardPage(
                    ThermalCamera.Columns,
                    ThermalCamera.Rows,
                    StoredThermal(warm),
                    [CardTags.Text(272, Model), tags.Short(297, 5, 6)],
                    [],
                    [],
                    ThermalXmp(capture, warm, camera)
                )
            );
        }

        CardTiff.Write(Place(folder, FilesOf(capture.Number)[0]), pages, tags);
    }

    private static string ThermalXmp(RehearsalCapture capture, ThermalFrame warm, CardCamera camera)
    {
        CardXmp xmp = new(("cr", Uri));
        xmp.Element("cr:unit", camera.SerialNumber)
            .Element("cr:shot", capture.Number.ToString(CultureInfo.InvariantCulture))
            .Element("cr:instant", capture.Moment.ToUnixTimeMilliseconds().ToString(CultureInfo.InvariantCulture))
            .Structure(
                "cr:band",
                ("cr:page", "6"),
                ("cr:middle", CardText.Of(ThermalCamera.CentreNanometres / 1000, 4)),
                ("cr:span", CardText.Of(ThermalCamera.WidthNanometres / 1000, 4))
            )
            .Element("cr:shell", CardText.Fraction(warm.HousingKelvin, 100));
        Place(xmp, capture, camera);
        return xmp.ToString();
    }

    private static string Xmp(RehearsalCapture capture, int band, CardCamera camera)
    {
        RigBand colour = RigBand.Five[band];
        CardXmp xmp = new(("cr", Uri));
        xmp.Element("cr:unit", camera.SerialNumber)
            .Element("cr:shot", capture.Number.ToString(CultureInfo.InvariantCulture))
            .Element("cr:instant", capture.Moment.ToUnixTimeMilliseconds().ToString(CultureInfo.InvariantCulture))
            .Structure(
                "cr:band",
                ("cr:page", (band + 1).ToString(CultureInfo.InvariantCulture)),
                ("cr:middle", CardText.Of(colour.CentreNanometres / 1000, 4)),
                ("cr:span", CardText.Of(colour.WidthNanometres / 1000, 4))
            )
            .Element("cr:shutter", CardText.Fraction(capture.Exposures[band].Seconds * 1000, 100_000))
            .Element("cr:gain", CardText.Fraction(capture.Exposures[band].Gain, 100))
            .Element("cr:dark", CardText.Fraction(camera.BlackCounts[band], 16))
            .Sequence("cr:skylight", capture.Irradiance.Select(value => CardText.Of(value * 100, 5)));
        Place(xmp, capture, camera);
        if (capture.IsPanel)
        {
            xmp.Element("cr:reference", NominalProfile.PanelWord);
        }

        return xmp.ToString();
    }

    /// <summary>Where the camera was and how it was turned.</summary>
    private static void Place(CardXmp xmp, RehearsalCapture capture, CardCamera camera)
    {
        GeodeticPosition place = capture.ReportedPlace;
        xmp.Sequence(
                "cr:where",
                [
                    CardText.Of(place.Latitude.Degrees, 9),
                    CardText.Of(place.Longitude.Degrees, 9),
                    CardText.Of(SeaHeightMetres(place), 3),
                ]
            )
            .Element("cr:whereError", CardText.Of(camera.PositionSigmaMetres * 100, 1))
            .Sequence(
                "cr:turned",
                [
                    CardText.Of(Radians(Degrees(capture.Reported.YawDegrees)), 6),
                    CardText.Of(Radians(capture.Reported.PitchDegrees), 6),
                    CardText.Of(Radians(capture.Reported.RollDegrees), 6),
                ]
            );
    }
}
