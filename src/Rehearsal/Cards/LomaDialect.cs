using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Rehearsal;

/// <summary>
/// One file per band, told by the wavelength in its name; lists joined by commas; exposure in µs; unitless irradiance;
/// degrees with the view counted from the horizon; position as degrees and minutes in text; gain in dB; no word about
/// the panel; 12 bit in the upper bits of 16.
/// </summary>
internal sealed class LomaDialect() : CardDialect("loma", "Loma Quinta")
{
    private const string Uri = "http://hillrow.example/ns/loma#";

    /// <summary>Counts of the bare light sensor per W m⁻² nm⁻¹, by band; nobody outside the factory knows them.</summary>
    private static readonly double[] SensorCounts = [21_400, 24_900, 27_300, 25_800, 19_700];

    public override BitPlacement Placement => BitPlacement.High;

    public override bool TellsBlackLevel => false;

    public override IrradianceUnit Irradiance => IrradianceUnit.Relative;

    public override MetadataMap Map { get; } =
        new()
        {
            HeightReference = VerticalReference.Ellipsoid,
            Time =
            [
                new TimeRule
                {
                    Text = PropertyKey.Exif(36867),
                    SubSeconds = PropertyKey.Exif(37521),
                    OffsetMinutes = 0,
                },
            ],
            Values = new Dictionary<FrameQuantity, IReadOnlyList<ValueRule>>
            {
                [FrameQuantity.CaptureId] = Rule(new ValueRule { FileName = @"^LO(\d+)_" }),
                [FrameQuantity.CentreWavelength] = Rule(new ValueRule { FileName = @"_(\d+)nm\.", Unit = "nm" }),
                [FrameQuantity.Exposure] = At(PropertyKey.Xmp(Uri, "OpenTime"), "us"),
                [FrameQuantity.Gain] = At(PropertyKey.Xmp(Uri, "Amplifier"), "dB"),
                [FrameQuantity.Irradiance] = Rule(
                    new ValueRule { Property = PropertyKey.Xmp(Uri, "Skyward"), Separator = "," }
                ),
                [FrameQuantity.Yaw] = Turn(1, 0),
                // This maker counts the camera's view from the horizon: straight down is -90.
                [FrameQuantity.Pitch] = Turn(2, 90),
                [FrameQuantity.Roll] = Turn(3, 0),
                [FrameQuantity.Latitude] = At(PropertyKey.Xmp(Uri, "Lat")),
                [FrameQuantity.Longitude] = At(PropertyKey.Xmp(Uri, "Lon")),
                [FrameQuantity.Height] = At(PropertyKey.Xmp(Uri, "Level"), "m"),
                [FrameQuantity.Temperature] = At(PropertyKey.Xmp(Uri, "Case"), "degC"),
                [FrameQuantity.CameraModel] = At(PropertyKey.Tiff(272)),
                [FrameQuantity.SerialNumber] = At(PropertyKey.Tiff(305)),
            },
        };

    public override IReadOnlyList<string> FilesOf(int captureNumber) =>
        [.. RigBand.Five.Select(band => FileOf(captureNumber, band.CentreNanometres))];

    public override string ThermalFileOf(int captureNumber) => FileOf(captureNumber, ThermalCamera.CentreNanometres);

    private static string FileOf(int captureNumber, double nanometres) =>
        string.Create(CultureInfo.InvariantCulture, $"LO{captureNumber:00000}_{nanometres:0}nm.tif");

    internal override void Write(string folder, RehearsalCapture capture, CardCamera camera)
    {
        CardTags tags = new(bigEndian: false);
        IReadOnlyList<string> files = FilesOf(capture.Number);
        string skyward = string.Join(
            ", ",
            capture.Irradiance.Select((value, band) => CardText.Of(value * SensorCounts[band], 2))
        );
        for (int band = 0; band < 5; band++)
        {
            Exposure exposure = capture.Exposures[band];
            CardXmp xmp = new(("lm", Uri));
            xmp.Element("lm:OpenTime", CardText.Of(exposure.Seconds * 1e6, 3))
                .Element("lm:Amplifier", CardText.Of(20 * Math.Log10(exposure.Gain), 6))
                .Element("lm:Skyward", skyward);
            CardPage page = Page(camera.Columns, camera.Rows, Stored(capture.Frames[band]), xmp, capture, camera);
            CardTiff.Write(Place(folder, files[band]), [page], tags);
        }

        if (capture.Thermal is { } warm)
        {
            CardXmp xmp = new(("lm", Uri));
            xmp.Element("lm:Case", CardText.Of(Celsius(warm), 1));
            CardPage page = Page(ThermalCamera.Columns, ThermalCamera.Rows, StoredThermal(warm), xmp, capture, camera);
            CardTiff.Write(Place(folder, ThermalFileOf(capture.Number)), [page], tags);
        }
    }

    /// <summary>A page with what every band tells: place, turn and time.</summary>
    private CardPage Page(
        int columns,
        int rows,
        ushort[] samples,
        CardXmp xmp,
        RehearsalCapture capture,
        CardCamera camera
    )
    {
        GeodeticPosition place = capture.ReportedPlace;
        xmp.Element(
                "lm:Turn",
                string.Join(
                    ",",
                    CardText.Of(Degrees(capture.Reported.YawDegrees), 4),
                    CardText.Of(capture.Reported.PitchDegrees - 90, 4),
                    CardText.Of(capture.Reported.RollDegrees, 4)
                )
            )
            .Element("lm:Lat", Minutes(place.Latitude.Degrees, 'N', 'S'))
            .Element("lm:Lon", Minutes(place.Longitude.Degrees, 'E', 'W'))
            .Attribute("lm:Level", CardText.Of(place.HeightAboveEllipsoidMetres, 3));
        return new CardPage(
            columns,
            rows,
            samples,
            [CardTags.Text(272, Model), CardTags.Text(305, camera.SerialNumber)],
            [
                CardTags.Text(
                    36867,
                    capture.Moment.UtcDateTime.ToString("yyyy:MM:dd HH:mm:ss", CultureInfo.InvariantCulture)
                ),
                CardTags.Text(37521, capture.Moment.UtcDateTime.ToString("fff", CultureInfo.InvariantCulture)),
            ],
            [],
            xmp.ToString()
        );
    }

    private static IReadOnlyList<ValueRule> Turn(int item, double offset) =>
        Rule(
            new ValueRule
            {
                Property = PropertyKey.Xmp(Uri, "Turn"),
                Separator = ",",
                Item = item,
                Offset = offset,
            }
        );

    private static string Minutes(double degrees, char above, char below)
    {
        double size = Math.Abs(degrees);
        int whole = (int)size;
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{whole},{CardText.Of((size - whole) * 60, 7)}{(degrees < 0 ? below : above)}"
        );
    }
}
