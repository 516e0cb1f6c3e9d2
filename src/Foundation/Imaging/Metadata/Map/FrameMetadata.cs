using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>What a frame's file says about how it was taken. Null means "not said", never a stand-in value.</summary>
public sealed record FrameMetadata
{
    /// <summary>By the camera's own clock.</summary>
    public RecordedTime? Time { get; init; }

    /// <summary>By the satellite receiver: tells how far the camera's clock is off.</summary>
    public RecordedTime? SatelliteTime { get; init; }

    /// <summary>WGS 84, north positive.</summary>
    public Angle? Latitude { get; init; }

    /// <summary>WGS 84, east positive.</summary>
    public Angle? Longitude { get; init; }

    /// <summary>Above <see cref="HeightReference"/>.</summary>
    public double? HeightMetres { get; init; }

    public VerticalReference HeightReference { get; init; }

    /// <summary>Standard error each way.</summary>
    public double? HorizontalSigmaMetres { get; init; }

    public double? VerticalSigmaMetres { get; init; }

    /// <summary>Clockwise from north.</summary>
    public Angle? Yaw { get; init; }

    /// <summary>Nose up; zero when the camera looks straight down (the map shifts what a camera counts otherwise).</summary>
    public Angle? Pitch { get; init; }

    /// <summary>Right wing down.</summary>
    public Angle? Roll { get; init; }

    public double? ExposureSeconds { get; init; }

    /// <summary>Linear amplification, 1 is none.</summary>
    public double? Gain { get; init; }

    public double? Iso { get; init; }

    public double? FNumber { get; init; }

    /// <summary>In counts; one, or one for each cell of the sensor's pattern or each band.</summary>
    public IReadOnlyList<double>? BlackLevelsCounts { get; init; }

    /// <summary>One for this frame's band, or one for each band of the camera.</summary>
    public IReadOnlyList<double>? Irradiances { get; init; }

    /// <summary>Of <see cref="Irradiances"/>, as converted.</summary>
    public IrradianceUnit IrradianceUnit { get; init; }

    /// <summary>Of the irradiance sensor, clockwise from north.</summary>
    public Angle? IrradianceYaw { get; init; }

    public Angle? IrradiancePitch { get; init; }

    public Angle? IrradianceRoll { get; init; }

    /// <summary>The same for all frames of one trigger.</summary>
    public string? CaptureId { get; init; }

    public string? BandName { get; init; }

    /// <summary>The camera's own number of the band, as it counts.</summary>
    public double? BandNumber { get; init; }

    public double? CentreNanometres { get; init; }

    public double? WidthNanometres { get; init; }

    /// <summary>Bits that the sensor's counts really have.</summary>
    public int? Bits { get; init; }

    /// <summary>What the camera wrote when it saw the reference panel.</summary>
    public string? PanelMarker { get; init; }

    public string? SerialNumber { get; init; }

    public string? CameraMaker { get; init; }

    public string? CameraModel { get; init; }

    public double? FocalLengthMillimetres { get; init; }

    /// <summary>Of the sensor or the camera.</summary>
    public double? TemperatureCelsius { get; init; }

    /// <summary>Quantities that were there but made no sense: one line each.</summary>
    public IReadOnlyList<string> Complaints { get; init; } = [];

    /// <summary>Latitude, longitude and height when all three are said.</summary>
    public CapturePosition? Position =>
        Latitude is { } latitude && Longitude is { } longitude && HeightMetres is { } height
            ? new CapturePosition(
                latitude,
                longitude,
                height,
                HeightReference,
                HorizontalSigmaMetres,
                VerticalSigmaMetres
            )
            : null;

    /// <summary>Yaw, pitch and roll when all three are said.</summary>
    public Attitude? Attitude =>
        Yaw is { } yaw && Pitch is { } pitch && Roll is { } roll ? new Attitude(yaw, pitch, roll) : null;

    /// <summary>Of the irradiance sensor, when all three are said.</summary>
    public Attitude? IrradianceAttitude =>
        IrradianceYaw is { } yaw && IrradiancePitch is { } pitch && IrradianceRoll is { } roll
            ? new Attitude(yaw, pitch, roll)
            : null;
}

/// <summary>How the time zone of a recorded time is known.</summary>
public enum ZoneKnowledge
{
    /// <summary>The clock's local time, of a zone nobody stated.</summary>
    Unknown,

    /// <summary>The file states an offset from UTC, or UTC itself.</summary>
    StatedInFile,

    /// <summary>The metadata map states an offset, or that the clock runs on UTC.</summary>
    StatedInMap,
}

/// <summary>A time as a clock showed it, with what is known of its zone.</summary>
/// <param name="Clock">Date and time shown, to 100 ns.</param>
/// <param name="OffsetFromUtc">Clock minus UTC; null when unknown.</param>
/// <param name="Zone">Where the offset comes from.</param>
public sealed record RecordedTime(DateTime Clock, TimeSpan? OffsetFromUtc, ZoneKnowledge Zone)
{
    /// <summary>Null when the zone is unknown: it must be settled, and the assumption told, before any use.</summary>
    public DateTimeOffset? TimeUtc
    {
        get
        {
            if (OffsetFromUtc is not { } offset)
            {
                return null;
            }

            long ticks = Clock.Ticks - offset.Ticks;
            return ticks >= DateTime.MinValue.Ticks && ticks <= DateTime.MaxValue.Ticks
                ? new DateTimeOffset(ticks, TimeSpan.Zero)
                : null;
        }
    }
}
