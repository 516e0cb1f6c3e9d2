using Hillrow.Earth;
using Hillrow.Numerics;
using Tomlyn.Model;

namespace Hillrow.Imaging;

/// <summary>
/// Says where a camera's files keep each quantity, and in which unit and form, so that a camera nobody has seen
/// needs a text, not code. Written as the [metadata] section of its profile: docs/reference/metadata-map.md.
/// </summary>
public sealed record MetadataMap
{
    /// <summary>For each quantity its places in the order of trust: the first that yields a value counts.</summary>
    public IReadOnlyDictionary<FrameQuantity, IReadOnlyList<ValueRule>> Values { get; init; } =
        new Dictionary<FrameQuantity, IReadOnlyList<ValueRule>>();

    /// <summary>Of the camera's own clock.</summary>
    public IReadOnlyList<TimeRule> Time { get; init; } = [];

    /// <summary>Of the satellite receiver.</summary>
    public IReadOnlyList<TimeRule> SatelliteTime { get; init; } = [];

    /// <summary>What heights are measured from, when the camera's maker says so.</summary>
    public VerticalReference HeightReference { get; init; }

    /// <summary>
    /// What standard EXIF and GPS tags say of any camera, with nothing from XMP: a start for a new map, and enough
    /// for cameras that keep to the standard.
    /// </summary>
    public static MetadataMap Standard { get; } = StandardMap();

    /// <exception cref="InputProblemException">Settings are at fault: all problems are told at once.</exception>
    public static MetadataMap Read(TomlTable metadata, string where)
    {
        List<ProfileProblem> problems = [];
        MetadataMap map = Read(metadata, problems);
        return problems.Count == 0
            ? map
            : throw new InputProblemException(
                where,
                ProfileProblem.OneLine(problems),
                "Mend the settings named; docs/reference/metadata-map.md tells each one."
            );
    }

    /// <summary>The [metadata] section; reading it back gives the same map.</summary>
    public TomlTable ToTable() => MetadataMapSection.Write(this);

    /// <summary>Evaluates the map on one file, or one page of it.</summary>
    /// <param name="bag">Its properties.</param>
    /// <param name="path">Its path; patterns on file and folder names look at it.</param>
    public FrameMetadata Evaluate(PropertyBag bag, string path)
    {
        ArgumentNullException.ThrowIfNull(bag);
        ArgumentNullException.ThrowIfNull(path);
        List<string> complaints = [];
        MapEvaluation values = new(this, bag, path, complaints);
        VerticalReference reference = HeightReference;
        double? height = values.Height(ref reference);
        (IReadOnlyList<double>? irradiances, bool absolute) = values.Irradiances();
        return new FrameMetadata
        {
            Time = values.Time(Time, "time"),
            SatelliteTime = values.Time(SatelliteTime, "satelliteTime"),
            Latitude = values.Angle(FrameQuantity.Latitude, 90),
            Longitude = values.Angle(FrameQuantity.Longitude, 360),
            HeightMetres = height,
            HeightReference = reference,
            HorizontalSigmaMetres = values.Number(FrameQuantity.HorizontalSigma, 0, 1e6),
            VerticalSigmaMetres = values.Number(FrameQuantity.VerticalSigma, 0, 1e6),
            Yaw = values.Angle(FrameQuantity.Yaw, 720),
            Pitch = values.Angle(FrameQuantity.Pitch, 720),
            Roll = values.Angle(FrameQuantity.Roll, 720),
            ExposureSeconds = values.Number(FrameQuantity.Exposure, double.Epsilon, 1e5),
            Gain = values.Number(FrameQuantity.Gain, double.Epsilon, 1e9),
            Iso = values.Number(FrameQuantity.Iso, double.Epsilon, 1e9),
            FNumber = values.Number(FrameQuantity.FNumber, double.Epsilon, 1e4),
            BlackLevelsCounts = values.Numbers(FrameQuantity.BlackLevel, 0, uint.MaxValue),
            Irradiances = irradiances,
            IrradianceUnit = absolute ? IrradianceUnit.WattsPerSquareMetreNanometre : IrradianceUnit.Relative,
            IrradianceYaw = values.Angle(FrameQuantity.IrradianceYaw, 720),
            IrradiancePitch = values.Angle(FrameQuantity.IrradiancePitch, 720),
            IrradianceRoll = values.Angle(FrameQuantity.IrradianceRoll, 720),
            CaptureId = values.Text(FrameQuantity.CaptureId),
            BandName = values.Text(FrameQuantity.BandName),
            BandNumber = values.Number(FrameQuantity.BandNumber, -1e9, 1e9),
            CentreNanometres = Nanometres(values.Number(FrameQuantity.CentreWavelength, 1e-8, 1e-3)),
            WidthNanometres = Nanometres(values.Number(FrameQuantity.BandWidth, 1e-12, 1e-3)),
            Bits = (int?)values.Number(FrameQuantity.Bits, 1, 64),
            PanelMarker = values.Text(FrameQuantity.PanelMarker),
            SerialNumber = values.Text(FrameQuantity.SerialNumber),
            CameraMaker = values.Text(FrameQuantity.CameraMaker),
            CameraModel = values.Text(FrameQuantity.CameraModel),
            FocalLengthMillimetres = values.Number(FrameQuantity.FocalLength, 1e-6, 100) * 1e3,
            TemperatureCelsius = values.Number(FrameQuantity.Temperature, -273.15, 1e4),
            Complaints = complaints,
        };
    }

    internal static MetadataMap Read(TomlTable metadata, List<ProfileProblem> problems) =>
        MetadataMapSection.Read(metadata, problems);

    /// <summary>Rounded at the 12th digit: 560 nm must not come back as 560.0000000000001.</summary>
    private static double? Nanometres(double? metres) => metres is { } length ? Math.Round(length * 1e9, 9) : null;

    private static MetadataMap StandardMap()
    {
        static IReadOnlyList<ValueRule> At(PropertyKey key, PropertyKey? letter = null) =>
            [new ValueRule { Property = key, Letter = letter }];
        return new MetadataMap
        {
            Values = new Dictionary<FrameQuantity, IReadOnlyList<ValueRule>>
            {
                [FrameQuantity.Latitude] = At(PropertyKey.Gps(2), PropertyKey.Gps(1)),
                [FrameQuantity.Longitude] = At(PropertyKey.Gps(4), PropertyKey.Gps(3)),
                [FrameQuantity.Height] = At(PropertyKey.Gps(6), PropertyKey.Gps(5)),
                [FrameQuantity.HorizontalSigma] = At(PropertyKey.Gps(31)),
                [FrameQuantity.Exposure] = At(PropertyKey.Exif(33434)),
                [FrameQuantity.Iso] = At(PropertyKey.Exif(34855)),
                [FrameQuantity.FNumber] = At(PropertyKey.Exif(33437)),
                [FrameQuantity.BlackLevel] = At(PropertyKey.Tiff(50714)),
                [FrameQuantity.SerialNumber] = At(PropertyKey.Exif(42033)),
                [FrameQuantity.CameraMaker] = At(PropertyKey.Tiff(271)),
                [FrameQuantity.CameraModel] = At(PropertyKey.Tiff(272)),
                [FrameQuantity.FocalLength] = At(PropertyKey.Exif(37386)),
                [FrameQuantity.Temperature] = At(PropertyKey.Exif(37888)),
            },
            Time =
            [
                new TimeRule
                {
                    Text = PropertyKey.Exif(36867),
                    SubSeconds = PropertyKey.Exif(37521),
                    Zone = PropertyKey.Exif(36881),
                },
            ],
            SatelliteTime =
            [
                new TimeRule
                {
                    Date = PropertyKey.Gps(29),
                    Clock = PropertyKey.Gps(7),
                    OffsetMinutes = 0,
                },
            ],
        };
    }
}
