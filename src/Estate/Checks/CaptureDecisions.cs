using Hillrow.Imaging;
using Hillrow.Intake;

namespace Hillrow.Estate;

/// <summary>Takes a person's word on captures into the survey's decisions.toml.</summary>
public static class CaptureDecisions
{
    /// <summary>What is said now replaces what was said of the same capture before.</summary>
    /// <param name="survey">Its decisions.toml is changed when something is said.</param>
    /// <param name="intake">Of its card.</param>
    /// <param name="said">By option: --keep, --leave-out, --as-found.</param>
    /// <returns>All decisions that stand.</returns>
    /// <exception cref="Hillrow.Numerics.InputProblemException">A capture is not there, or decisions.toml is damaged.</exception>
    public static IReadOnlyList<CaptureDecision> Take(SurveyFolder survey, IntakeResult intake, SaidOfCaptures said)
    {
        ArgumentNullException.ThrowIfNull(survey);
        ArgumentNullException.ThrowIfNull(intake);
        ArgumentNullException.ThrowIfNull(said);
        IReadOnlyList<CaptureDecision> before = DecisionsToml.Read(survey.DecisionsFile);
        if (said.IsEmpty)
        {
            return before;
        }

        Dictionary<string, CaptureDecision?> now = [];
        void Say(string option, IReadOnlyList<string> names, DecisionKind? kind)
        {
            foreach (string name in names)
            {
                Capture capture = CaptureNames.FindOrTell(intake.Captures, option, name);
                // Numbers may change when files are added; a file's name does not.
                now[capture.Id] = kind is { } wanted
                    ? new CaptureDecision(capture.Frames[0].File, wanted, said.Because)
                    : null;
            }
        }

        Say("--as-found", said.AsFound, null);
        Say("--keep", said.Keep, DecisionKind.Keep);
        Say("--leave-out", said.LeaveOut, DecisionKind.LeaveOut);
        CaptureDecision[] after =
        [
            .. before.Where(decision =>
                CaptureNames.Find(intake.Captures, decision.Capture) is not { } capture || !now.ContainsKey(capture.Id)
            ),
            .. now.OrderBy(entry => entry.Key, StringComparer.Ordinal)
                .Select(entry => entry.Value)
                .OfType<CaptureDecision>(),
        ];
        DecisionsToml.Write(survey.DecisionsFile, after);
        return after;
    }
}

/// <summary>What a person says of captures in one call.</summary>
public sealed record SaidOfCaptures
{
    public IReadOnlyList<string> Keep { get; init; } = [];

    public IReadOnlyList<string> LeaveOut { get; init; } = [];

    /// <summary>As the check finds them, again.</summary>
    public IReadOnlyList<string> AsFound { get; init; } = [];

    public string Because { get; init; } = "";

    public bool IsEmpty => Keep.Count + LeaveOut.Count + AsFound.Count == 0;
}
