using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>A survey's geometry. Rasters share one grid; heights are above the WGS 84 ellipsoid, metres, NaN unknown.</summary>
/// <param name="Geometry">Poses of all captures, lens and mount of all bands.</param>
/// <param name="Surface">Top of whatever stands there; null when the stage refused or was not asked for it.</param>
/// <param name="Ground">Below the canopy.</param>
/// <param name="CanopyHeight">Surface less ground, never below 0.</param>
/// <param name="Confidence">Confirmed heights behind each surface cell, 0: interpolated.</param>
/// <param name="GroundSeen">1 where ground itself was seen nearby, 0 where it is interpolated along the slope.</param>
/// <param name="Figures">How well it went.</param>
/// <param name="Outcome">May it be used.</param>
public sealed record ReconstructionResult(
    SurveyGeometry? Geometry,
    Raster<float>? Surface,
    Raster<float>? Ground,
    Raster<float>? CanopyHeight,
    Raster<byte>? Confidence,
    Raster<byte>? GroundSeen,
    ReconstructionFigures Figures,
    StageOutcome Outcome
)
{
    /// <summary>Standard error of <see cref="CanopyHeight"/>, metres: matching, what captures share, and the ground's own.</summary>
    public Raster<float>? CanopySigma { get; init; }

    /// <summary>What later surveys are tied to; null when the stage refused.</summary>
    public Landmarks? Landmarks { get; init; }

    /// <summary>Marks of surveyed points that no file told, found in the pictures.</summary>
    public IReadOnlyList<ControlMark> FoundMarks { get; init; } = [];
}

/// <summary>Figures of a reconstruction.</summary>
public sealed record ReconstructionFigures
{
    public int Captures { get; init; }

    public int CapturesPlaced { get; init; }

    /// <summary>Pairs of captures that were matched.</summary>
    public int Pairs { get; init; }

    /// <summary>Ties over all pairs after guided matching.</summary>
    public int Ties { get; init; }

    /// <summary>Tie points in the last adjustment.</summary>
    public int TiePoints { get; init; }

    /// <summary>Sights of tie points in the last adjustment.</summary>
    public int Sights { get; init; }

    /// <summary>Share of the sights of verified tracks kept to the end.</summary>
    public double SightsKeptShare { get; init; }

    /// <summary>Root mean square distance between sight and projected point before the last adjustment, pixels.</summary>
    public double ReprojectionBeforePixels { get; init; }

    /// <summary>The same after it.</summary>
    public double ReprojectionAfterPixels { get; init; }

    /// <summary>Root mean square of solved less recorded position, the receiver's drift taken off: east, north, up.</summary>
    public Vector3D PositionResidualMetres { get; init; }

    /// <summary>Solved over nominal focal length of the reference band.</summary>
    public double FocalRatio { get; init; } = 1;

    /// <summary>Distance of neighbouring pixels on the ground, middle of the captures.</summary>
    public double GroundSampleMetres { get; init; }

    /// <summary>By band: root mean square of band-to-band ties after the rig was solved, pixels; and their count.</summary>
    public IReadOnlyDictionary<string, RigFigure> Rig { get; init; } = new Dictionary<string, RigFigure>();

    /// <summary>Median standard error of a placed capture's coordinate; without control the receiver's common error is in it.</summary>
    public double PositionSigmaMetres { get; init; } = double.NaN;

    /// <summary>Median standard error of a tie point's east or north; the same holds.</summary>
    public double PointSigmaHorizontalMetres { get; init; } = double.NaN;

    /// <summary>Median standard error of a tie point's height.</summary>
    public double PointSigmaVerticalMetres { get; init; } = double.NaN;

    /// <summary>Captures whose recorded position the pictures contradict; they were placed without it.</summary>
    public IReadOnlyList<WrongPosition> WrongPositions { get; init; } = [];

    /// <summary>Parts of the survey that share no ties, largest first; one when all hangs together.</summary>
    public IReadOnlyList<SurveyPart> Parts { get; init; } = [];

    /// <summary>How the survey lies on surveyed points.</summary>
    public ControlFigures Control { get; init; } = ControlFigures.None;

    /// <summary>How the survey was tied to earlier ones.</summary>
    public EarlierTie Earlier { get; init; } = EarlierTie.None;

    /// <summary>Share of the surface's cells with measured heights.</summary>
    public double SurfaceMeasuredShare { get; init; }

    /// <summary>Times by step, in the order of the steps; differs from run to run.</summary>
    public IReadOnlyList<StepTime> Seconds { get; init; } = [];
}

/// <summary>How well a band is tied to the reference band.</summary>
/// <param name="Ties">Used.</param>
/// <param name="RmsPixels">Root mean square miss of a tie, each axis together.</param>
public readonly record struct RigFigure(int Ties, double RmsPixels);

/// <summary>A recorded position that the pictures contradict.</summary>
/// <param name="CaptureId">Whose.</param>
/// <param name="OffMetres">Distance from where the pictures place it.</param>
public readonly record struct WrongPosition(string CaptureId, double OffMetres);

/// <summary>Captures that hang together by ties.</summary>
/// <param name="CaptureIds">In the order of triggering.</param>
public sealed record SurveyPart(IReadOnlyList<string> CaptureIds);

/// <summary>How long a step of the stage took.</summary>
/// <param name="Step">In the words of the progress.</param>
/// <param name="Seconds">By the clock.</param>
/// <param name="ProcessorSeconds">Of all threads of the process together.</param>
public sealed record StepTime(string Step, double Seconds, double ProcessorSeconds);
