using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Reconstruction;

/// <summary>What a survey's geometry is reconstructed from.</summary>
/// <param name="Captures">Of the survey role, in the order of triggering; unique ids.</param>
/// <param name="Profile">Of the camera.</param>
/// <param name="Terrain">Covers the survey; only a start, its heights need not be good.</param>
/// <param name="Frames">Reads counts; called from several threads.</param>
/// <param name="Grid">Projected system of the surfaces, the survey's UTM zone.</param>
/// <param name="MappedArea">What surfaces must cover, in the projected system; null: all that the captures see.</param>
public sealed record ReconstructionInput(
    IReadOnlyList<Capture> Captures,
    CameraProfile Profile,
    Terrain Terrain,
    FrameReader Frames,
    ReferenceSystem Grid,
    GridPolygon? MappedArea = null
)
{
    /// <summary>Spots of earlier surveys of the same ground, which this one is laid onto.</summary>
    public IReadOnlyList<Landmarks> Earlier { get; init; } = [];

    /// <summary>Surveyed points; null when there are none.</summary>
    public GroundControl? Control { get; init; }

    /// <summary>Finds distinct spots; null: scale-invariant features of the stretched frame.</summary>
    public FeatureFinder? FindFeatures { get; init; }
}

/// <summary>Finds the distinct spots of a capture's frame of the reference band, most distinct first.</summary>
/// <remarks>Called from several threads at once; must tell the same of a capture every time.</remarks>
public delegate PictureFeatures FeatureFinder(Capture capture);
