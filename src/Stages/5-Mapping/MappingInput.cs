using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Mapping;

/// <summary>What the map is laid from.</summary>
/// <param name="Geometry">Poses, lenses and mounts; only placed captures are used.</param>
/// <param name="Frames">Reflectance per capture and band; the map has these bands, in this order.</param>
/// <param name="Surface">One band: heights above the ellipsoid, metres, on a grid of the map's reference system; NaN where void.</param>
/// <param name="Grid">The map's cells, at the survey's native pixel size.</param>
/// <param name="Files">Where to write; the folders exist.</param>
public sealed record MappingInput(
    SurveyGeometry Geometry,
    IReflectanceFrames Frames,
    Raster<float> Surface,
    GridGeometry Grid,
    MapFiles Files
)
{
    /// <summary>
    /// Unit direction to the sun in the survey's local frame, one per capture of the geometry
    /// (<see cref="SunDirections"/> makes them from times); null leaves shadow and relative azimuth without data.
    /// </summary>
    public IReadOnlyList<Vector3D>? TowardsSunLocal { get; init; }

    /// <summary>
    /// One number per capture of the geometry, 0 for a flawless one: what choosing it costs besides its view, in the
    /// unit of <see cref="MappingSettings.NadirWeight"/> (blur, cloud shadow); null for all flawless.
    /// </summary>
    public IReadOnlyList<double>? CapturePenalties { get; init; }

    /// <summary>What turns reflectance to the reference sun, seen from straight above; null writes no such layer.</summary>
    public IFrameNormalisation? Normalisation { get; init; }

    /// <summary>How values and their standard errors are written; null: as reflectance.</summary>
    public ValueCoding? Coding { get; init; }
}

/// <summary>Paths of the map's layers.</summary>
/// <param name="Reflectance">All bands, scaled 16-bit.</param>
/// <param name="Sigma">All bands, one logarithmic byte (<see cref="SigmaCode"/>).</param>
/// <param name="Capture">Index of the capture in the survey's geometry.</param>
/// <param name="View">View zenith and azimuth between camera and sun.</param>
/// <param name="Shadow">0 sunlit, 1 shaded by the surface.</param>
/// <param name="NadirFactor">What each band's reflectance is multiplied by to be that of the reference sun, seen from straight above.</param>
public sealed record MapFiles(
    string Reflectance,
    string Sigma,
    string Capture,
    string View,
    string Shadow,
    string NadirFactor
)
{
    /// <summary>The usual names in one folder.</summary>
    public static MapFiles In(string folder) =>
        new(
            Path.Combine(folder, "reflectance.tif"),
            Path.Combine(folder, "sigma.tif"),
            Path.Combine(folder, "capture.tif"),
            Path.Combine(folder, "view.tif"),
            Path.Combine(folder, "shadow.tif"),
            Path.Combine(folder, "nadir-factor.tif")
        );
}
