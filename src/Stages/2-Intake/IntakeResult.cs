using System.Text.Json.Serialization;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>What a capture is for.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<CaptureRole>))]
public enum CaptureRole
{
    /// <summary>Maps the ground.</summary>
    Survey,

    /// <summary>Shows the reference panel.</summary>
    Panel,

    /// <summary>Taken on the ground, before take-off or after landing.</summary>
    Ground,

    /// <summary>Taken while turning, climbing or coming down.</summary>
    Turn,

    /// <summary>Not fit for the map, or left out by hand: the reason says why.</summary>
    LeftOut,
}

/// <summary>How a role is known.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<RoleSource>))]
public enum RoleSource
{
    ByMarker,
    ByHand,
    ByMotion,

    /// <summary>By its pixels, or by a position that leaps away.</summary>
    ByPicture,

    /// <summary>Likely, to be confirmed by looking at the picture.</summary>
    Guessed,
}

/// <summary>A capture with its role.</summary>
/// <param name="Capture">Height above the ellipsoid; files relative to the input's root.</param>
/// <param name="Role">What it is for.</param>
/// <param name="Source">How the role is known.</param>
/// <param name="Reason">Why it has that role, one line.</param>
public sealed record IntakeCapture(Capture Capture, CaptureRole Role, RoleSource Source, string Reason);

/// <summary>How much a note weighs.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<NoteWeight>))]
public enum NoteWeight
{
    /// <summary>Good to know.</summary>
    Told,

    /// <summary>An assumption that results hang on.</summary>
    Assumed,

    /// <summary>Something was left out or is missing.</summary>
    Excluded,
}

/// <summary>Something met while reading the card; nothing is left out without one.</summary>
/// <param name="Weight">How much it matters.</param>
/// <param name="Where">File, folder or capture.</param>
/// <param name="What">Happened, with the values found.</param>
/// <param name="Remedy">How to mend it.</param>
public sealed record IntakeNote(NoteWeight Weight, string Where, string What, string Remedy)
{
    /// <summary>What the field check counts it as; null when it is none of a frame's faults.</summary>
    public FrameFault? Fault { get; init; }

    /// <summary>The camera that a file of another camera says to be from; empty when it says nothing.</summary>
    public string Camera { get; init; } = "";

    /// <summary>Files that the note stands for.</summary>
    public int Files { get; init; } = 1;

    public override string ToString() => $"{Where}: {What} {Remedy}".TrimEnd();
}

/// <summary>One take-off to one landing.</summary>
public sealed record SortieSummary(string Name, int Captures, DateTimeOffset? FirstUtc, DateTimeOffset? LastUtc);

/// <summary>What the irradiance sensor told at one capture.</summary>
/// <param name="CaptureId">Of the capture.</param>
/// <param name="TimeUtc">Of the capture.</param>
/// <param name="Band">Name in the profile.</param>
/// <param name="Irradiance">In the profile's unit, scaled by the profile's band scale.</param>
public sealed record IrradianceReading(string CaptureId, DateTimeOffset? TimeUtc, string Band, double Irradiance);

/// <summary>What intake made of the card; goes through System.Text.Json and back unchanged.</summary>
public sealed record IntakeResult
{
    /// <summary>In the order of triggering.</summary>
    public required IReadOnlyList<IntakeCapture> Captures { get; init; }

    public required IReadOnlyList<SortieSummary> Sorties { get; init; }

    /// <summary>In the order of captures, then of bands.</summary>
    public required IReadOnlyList<IrradianceReading> Irradiance { get; init; }

    public required IReadOnlyList<IntakeNote> Notes { get; init; }

    /// <summary>Picture files found, those used in captures, and copies of the same content.</summary>
    public required IntakeCounts Counts { get; init; }

    public required StageOutcome Outcome { get; init; }

    public IReadOnlyList<Capture> OfRole(CaptureRole role) =>
        [.. Captures.Where(entry => entry.Role == role).Select(entry => entry.Capture)];
}

/// <param name="PictureFiles">Found on the card.</param>
/// <param name="FramesUsed">Frames that stand in captures.</param>
/// <param name="Copies">Frames left out as copies of another.</param>
/// <param name="Excluded">Frames or files that could not be used.</param>
/// <param name="OtherFiles">Not pictures.</param>
public sealed record IntakeCounts(int PictureFiles, int FramesUsed, int Copies, int Excluded, int OtherFiles);
