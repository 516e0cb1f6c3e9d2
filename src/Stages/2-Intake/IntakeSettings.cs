using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>How a card is read; each default says why.</summary>
public sealed record IntakeSettings
{
    public static IntakeSettings Default { get; } = new();

    /// <summary>Reading metadata waits for the disk more than it computes; the result does not depend on it.</summary>
    public int Threads { get; init; } = Environment.ProcessorCount;

    /// <summary>A battery change takes longer; turning at the end of a line does not.</summary>
    public double SortieGapSeconds { get; init; } = 300;

    /// <summary>Frames of one trigger may be stamped apart while they are written; two triggers are further apart.</summary>
    public double FrameSpreadSeconds { get; init; } = 0.9;

    /// <summary>A receiver at rest wanders less than this from one capture to the next.</summary>
    public double GroundMoveMetres { get; init; } = 3;

    /// <summary>A capture this much lower than its neighbour in the air was taken on the ground.</summary>
    public double GroundDropMetres { get; init; } = 10;

    /// <summary>Further off the vertical than gusts tip an aircraft on a line.</summary>
    public double TurnTiltDegrees { get; init; } = 25;

    /// <summary>What heights are measured from when neither file nor profile say: EXIF's own meaning is sea level.</summary>
    public VerticalReference UnknownHeightReference { get; init; } = VerticalReference.Egm96Geoid;

    /// <summary>Camera clock minus UTC, when nothing in the files tells it; null: to be guessed from the sun, and told.</summary>
    public double? ClockOffsetMinutes { get; init; }

    /// <summary>Roles given by hand, by the name of any of a capture's files relative to the root, or its own capture id.</summary>
    public IReadOnlyDictionary<string, CaptureRole> RolesByHand { get; init; } = new Dictionary<string, CaptureRole>();

    /// <exception cref="InputProblemException">Settings are at fault; all are told.</exception>
    public void Validate()
    {
        List<string> faults = [];
        void Check(bool holds, string rule)
        {
            if (!holds)
            {
                faults.Add(rule);
            }
        }

        Check(Threads >= 1, $"Threads = {Threads} must be at least 1");
        Check(SortieGapSeconds > 0, $"SortieGapSeconds = {SortieGapSeconds} must be above 0");
        Check(FrameSpreadSeconds > 0, $"FrameSpreadSeconds = {FrameSpreadSeconds} must be above 0");
        Check(GroundMoveMetres > 0, $"GroundMoveMetres = {GroundMoveMetres} must be above 0");
        Check(GroundDropMetres > 0, $"GroundDropMetres = {GroundDropMetres} must be above 0");
        Check(TurnTiltDegrees is > 0 and < 90, $"TurnTiltDegrees = {TurnTiltDegrees} must lie between 0 and 90");
        Check(UnknownHeightReference != VerticalReference.Unknown, "UnknownHeightReference must name a reference");
        if (faults.Count > 0)
        {
            throw new InputProblemException(
                "intake settings",
                string.Join("; ", faults) + ".",
                "Mend the settings named."
            );
        }
    }
}
