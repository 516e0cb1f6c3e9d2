using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>A block's outline in the local frame: rings of (east, north), the first of each polygon outer, the others holes.</summary>
public sealed record CheckBlock(
    string Name,
    IReadOnlyList<IReadOnlyList<(double East, double North)>> RingsLocalMetres
);

/// <summary>What a field check looks at.</summary>
/// <param name="Intake">Of the card.</param>
/// <param name="RootFolder">The files of its captures are relative to it.</param>
/// <param name="Profile">Of the camera.</param>
/// <param name="Frame">Local frame of ground and blocks.</param>
/// <param name="Ground">Terrain, reaching beyond the blocks.</param>
/// <param name="Blocks">To be covered.</param>
public sealed record FieldCheckInput(
    IntakeResult Intake,
    string RootFolder,
    CameraProfile Profile,
    LocalFrame Frame,
    HeightField Ground,
    IReadOnlyList<CheckBlock> Blocks
)
{
    /// <summary>What a person decided of captures.</summary>
    public IReadOnlyList<CaptureDecision> Decisions { get; init; } = [];

    /// <summary>Frames that were looked at on their way from the card, by file; they are not read again.</summary>
    public IReadOnlyDictionary<string, IReadOnlyList<PageLook>>? Looks { get; init; }

    /// <summary>The plan that was flown; null when there is none.</summary>
    public WantedFlight? Plan { get; init; }
}

/// <summary>Limits of a field check; each default says why.</summary>
public sealed record FieldCheckSettings
{
    /// <summary>Three rays fix a point and show a blunder (common practice).</summary>
    public int LeastViews { get; init; } = 3;

    /// <summary>Narrower holes are bridged by their surroundings.</summary>
    public double HoleWidthMetres { get; init; } = 10;

    /// <summary>Standard errors by which a hole may be wider than measured and is told all the same; 5 % of holes at the limit are missed.</summary>
    public double HoleWidthSigmas { get; init; } = 1.645;

    /// <summary>Whether captures are placed by each other's pictures before coverage is counted.</summary>
    public bool PlaceByPictures { get; init; } = true;

    /// <summary>Cells as fine as holes need; coarser when the blocks are large.</summary>
    public double CellMetres { get; init; } = 2;

    /// <summary>More clipped pixels than glints make.</summary>
    public double SaturatedShare { get; init; } = 0.02;

    /// <summary>With more clipped than this in most bands, a capture tells too little to be matched and mapped.</summary>
    public double ClippedOutShare { get; init; } = 0.25;

    /// <summary>Of the counts' range above black.</summary>
    public double DarkShare { get; init; } = 0.015;

    /// <summary>Of the neighbours' sharpness; a change of scene changes less.</summary>
    public double BlurRatio { get; init; } = 0.6;

    /// <summary>A receiver without corrections wanders less between captures.</summary>
    public double PositionJumpMetres { get; init; } = 30;

    /// <summary>Before and after agree better under one sun.</summary>
    public double PanelDisagreement { get; init; } = 0.15;

    /// <summary>Thin haze varies less.</summary>
    public double LightSpread { get; init; } = 0.06;

    public int Threads { get; init; } = Environment.ProcessorCount;
}
