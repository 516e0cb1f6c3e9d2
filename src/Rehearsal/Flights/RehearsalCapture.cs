using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>What the camera wrote at one trigger, before any file is made of it.</summary>
/// <param name="Number">From 1, in order of time.</param>
/// <param name="IsPanel">True for the pictures of the reference panel before and after the flight.</param>
/// <param name="Moment">By the camera's clock, UTC.</param>
/// <param name="Frames">By band: rows × columns of counts, 12 bit shifted left by four. Reused for the next capture.</param>
/// <param name="Exposures">By band.</param>
/// <param name="ReportedPlace">By the satellite receiver; height above the ellipsoid.</param>
/// <param name="Reported">Reported pose in the local frame.</param>
/// <param name="Irradiance">By band, as the sensor read it, W m⁻² nm⁻¹.</param>
/// <param name="Truth">Kept apart.</param>
public sealed record RehearsalCapture(
    int Number,
    bool IsPanel,
    DateTimeOffset Moment,
    IReadOnlyList<ushort[]> Frames,
    IReadOnlyList<Exposure> Exposures,
    GeodeticPosition ReportedPlace,
    RigPose Reported,
    IReadOnlyList<double> Irradiance,
    CaptureTruth Truth
)
{
    /// <summary>The sixth sensor's frame, where the rig carries it.</summary>
    public ThermalFrame? Thermal { get; init; }
}

/// <summary>What was really so at one capture.</summary>
/// <param name="Number">Of the capture.</param>
/// <param name="Seconds">Since the start of the flight; places clouds and wind.</param>
/// <param name="Pose">True pose at mid exposure.</param>
/// <param name="TravelMetres">Motion while the shutter was open.</param>
/// <param name="ClearIrradiance">By band, level ground without clouds.</param>
/// <param name="BeamShare">Share of the beam that clouds let through to the ground below the rig.</param>
/// <param name="SkyFactor">Factor of the clouds on skylight.</param>
/// <param name="StrayRadiance">By band: glare laid over the frame, W m⁻² sr⁻¹ nm⁻¹.</param>
/// <param name="WindAmplitudeMetres">Of the leaves, 2 m above the ground.</param>
/// <param name="Panel">The panel, when it lies in the picture.</param>
/// <param name="Frames">By band: what it truly shows.</param>
public sealed record CaptureTruth(
    int Number,
    double Seconds,
    RigPose Pose,
    Vector3D TravelMetres,
    IReadOnlyList<BandIrradiance> ClearIrradiance,
    double BeamShare,
    double SkyFactor,
    IReadOnlyList<double> StrayRadiance,
    double WindAmplitudeMetres,
    PanelBoard? Panel,
    IReadOnlyList<FrameTruth> Frames
)
{
    /// <summary>Of the thermal frame, where there is one.</summary>
    public ThermalTruth? Thermal { get; init; }
}
