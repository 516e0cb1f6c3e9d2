using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>One trigger of the camera: one frame per band, with what was recorded beside them.</summary>
/// <remarks>Null means "not recorded"; nothing is filled in by guess.</remarks>
public sealed record Capture
{
    /// <summary>Unique within the survey; sorts in the order of triggering.</summary>
    public required string Id { get; init; }

    /// <summary>UTC. Offset zero always.</summary>
    public DateTimeOffset? TimeUtc { get; init; }

    /// <summary>The sortie (take-off to landing) it belongs to; empty until settled.</summary>
    public string Sortie { get; init; } = "";

    public CapturePosition? Position { get; init; }

    public Attitude? Attitude { get; init; }

    /// <summary>Of the irradiance sensor, its mount included, when the file tells it apart from the camera's.</summary>
    public Attitude? IrradianceAttitude { get; init; }

    /// <summary>One per band that is present; a missing band is simply not here.</summary>
    public required IReadOnlyList<BandFrame> Frames { get; init; }

    public BandFrame? FrameOf(string band) => Frames.FirstOrDefault(frame => frame.Band == band);
}

/// <summary>Where the receiver said the capture was taken.</summary>
/// <param name="Latitude">WGS 84, north positive.</param>
/// <param name="Longitude">WGS 84, east positive.</param>
/// <param name="HeightMetres">Above <paramref name="HeightReference"/>.</param>
/// <param name="HeightReference">Ask before use: tens of metres lie between the references.</param>
/// <param name="HorizontalSigmaMetres">Standard error each way, when told.</param>
/// <param name="VerticalSigmaMetres">Standard error of the height, when told.</param>
public sealed record CapturePosition(
    Angle Latitude,
    Angle Longitude,
    double HeightMetres,
    VerticalReference HeightReference,
    double? HorizontalSigmaMetres = null,
    double? VerticalSigmaMetres = null
);

/// <summary>One band's picture of a capture: where its file is and how it was taken.</summary>
public sealed record BandFrame
{
    /// <summary>Name of the band in the camera profile.</summary>
    public required string Band { get; init; }

    /// <summary>File of the frame, relative to the survey's capture folder, with forward slashes.</summary>
    public required string File { get; init; }

    /// <summary>Page of a many-page file; 0 is the first.</summary>
    public int Page { get; init; }

    /// <summary>Sample of each pixel, where one picture holds several bands; 0 is the first.</summary>
    public int Plane { get; init; }

    public double? ExposureSeconds { get; init; }

    /// <summary>Linear amplification, 1 is none.</summary>
    public double? Gain { get; init; }

    /// <summary>Counts a dark frame would show, in the counts of the profile's bit depth.</summary>
    public double? BlackLevelCounts { get; init; }

    /// <summary>What the irradiance sensor told for this band, in the unit its profile states (W m⁻² nm⁻¹ or relative).</summary>
    public double? Irradiance { get; init; }

    /// <summary>Temperature of the sensor, for thermal bands mostly.</summary>
    public double? SensorTemperatureCelsius { get; init; }
}
