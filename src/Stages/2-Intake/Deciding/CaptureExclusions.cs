using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>Which captures are unfit for the map, by their pixels and positions, and what a person says of that.</summary>
/// <remarks>The field check and the run go by the same list. It depends neither on threads nor on the order of files.</remarks>
public static class CaptureExclusions
{
    /// <summary>Looks at every frame of a card that intake has read.</summary>
    /// <param name="intake">Of the card.</param>
    /// <param name="rootFolder">The files of its captures are relative to it.</param>
    /// <param name="profile">Of the camera.</param>
    /// <param name="settings">Limits.</param>
    /// <param name="decisions">A person's; what they name and is not there is passed over.</param>
    /// <param name="progress">Of the looking.</param>
    /// <param name="cancel">Stops it.</param>
    public static IReadOnlyList<CaptureExclusion> Judge(
        IntakeResult intake,
        string rootFolder,
        CameraProfile profile,
        FieldCheckSettings settings,
        IReadOnlyList<CaptureDecision> decisions,
        IProgress<WorkProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(intake);
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(decisions);
        // Leaps are differences of places: any level plane near the flight will do.
        CapturePosition[] places =
        [
            .. intake.Captures.Select(entry => entry.Capture.Position).OfType<CapturePosition>(),
        ];
        GeographicPoint middle =
            places.Length == 0
                ? GeographicPoint.FromDegrees(0, 0)
                : new GeographicPoint(
                    Median(places.Select(place => place.Latitude)),
                    Median(places.Select(place => place.Longitude.WrappedSigned()))
                );
        FrameJudging judging = new(
            new FieldCheckInput(
                intake,
                rootFolder,
                profile,
                new LocalFrame(middle.AtHeightAboveEllipsoid(0)),
                new HeightField(0, 0, 1, 2, 2, new float[4]),
                []
            ),
            settings
        );
        judging.Run(progress, cancel);
        return Of(judging, intake, profile, settings, decisions);
    }

    /// <summary>The captures with what was found and said of them; those left out have the role that says so.</summary>
    public static IntakeResult Apply(IntakeResult intake, IReadOnlyList<CaptureExclusion> exclusions)
    {
        ArgumentNullException.ThrowIfNull(intake);
        Dictionary<string, CaptureExclusion> byId = exclusions.ToDictionary(one => one.Capture);
        return intake with
        {
            Captures =
            [
                .. intake.Captures.Select(entry =>
                    byId.TryGetValue(entry.Capture.Id, out CaptureExclusion? one) ? Decided(entry, one) : entry
                ),
            ],
        };
    }

    private static IntakeCapture Decided(IntakeCapture entry, CaptureExclusion one) =>
        one.LeftOut
            ? entry with
            {
                Role = CaptureRole.LeftOut,
                Source = one.Decision is null ? RoleSource.ByPicture : RoleSource.ByHand,
                Reason = one.ToString(),
            }
        : entry is { Role: CaptureRole.Panel, Source: RoleSource.ByMarker } ? entry
        : entry with { Role = CaptureRole.Survey, Source = RoleSource.ByHand, Reason = one.ToString() };

    internal static IReadOnlyList<CaptureExclusion> Of(
        FrameJudging judging,
        IntakeResult intake,
        CameraProfile profile,
        FieldCheckSettings settings,
        IReadOnlyList<CaptureDecision> decisions
    )
    {
        ILookup<string, FrameFinding> found = judging
            // A capture that tells no position may still be placed between its neighbours.
            .Findings.Where(finding =>
                finding.Excluded && finding.Capture.Length > 0 && finding.Fault != FrameFault.NoPosition
            )
            .ToLookup(finding => finding.Capture);
        // The last word on a capture counts.
        Dictionary<string, CaptureDecision> said = [];
        foreach (CaptureDecision decision in decisions)
        {
            if (CaptureNames.Find(intake.Captures, decision.Capture) is { } capture)
            {
                said[capture.Id] = decision;
            }
        }

        List<CaptureExclusion> list = [];
        for (int at = 0; at < intake.Captures.Count; at++)
        {
            IntakeCapture entry = intake.Captures[at];
            List<(FrameFault Fault, string Reason)> faults =
            [
                .. found[entry.Capture.Id].Select(finding => (finding.Fault, finding.Reason)),
            ];
            if (entry.Role == CaptureRole.Survey)
            {
                faults.AddRange(LightFaults(entry.Capture, judging.Looks[at], profile, settings));
            }

            CaptureDecision? decision = said.GetValueOrDefault(entry.Capture.Id);
            bool unfit = faults.Count > 0 && entry.Role == CaptureRole.Survey;
            if (unfit || decision is not null)
            {
                list.Add(
                    new CaptureExclusion(
                        entry.Capture.Id,
                        entry.Capture.Frames[0].File,
                        [.. faults.Select(fault => fault.Fault)],
                        faults.Count > 0 ? string.Join(" ", faults.Select(fault => fault.Reason))
                            : entry.Role == CaptureRole.Survey ? ""
                            : entry.Reason,
                        decision is null ? unfit : decision.Kind == DecisionKind.LeaveOut,
                        decision
                    )
                );
            }
        }

        return list;
    }

    /// <summary>Clipped or dark over so much of most bands that the capture tells nothing.</summary>
    private static IEnumerable<(FrameFault, string)> LightFaults(
        Capture capture,
        FrameLook?[] looks,
        CameraProfile profile,
        FieldCheckSettings settings
    )
    {
        FrameLook[] seen =
        [
            .. capture
                .Frames.Select((frame, at) => (frame, Look: looks[at]))
                .Where(one => one.Look is not null && profile.Band(one.frame.Band).Kind == BandKind.Reflective)
                .Select(one => one.Look!.Value),
        ];
        if (seen.Length == 0)
        {
            yield break;
        }

        if (seen.Count(look => look.SaturatedShare > settings.ClippedOutShare) * 2 > seen.Length)
        {
            yield return (
                FrameFault.Saturated,
                $"more than {100 * settings.ClippedOutShare:0} % of most of its bands is clipped."
            );
        }
        else if (seen.Count(look => look.MeanShare < settings.DarkShare) * 2 > seen.Length)
        {
            yield return (FrameFault.Dark, "most of its bands are too dark.");
        }
    }

    private static Angle Median(IEnumerable<Angle> angles)
    {
        Angle[] sorted = [.. angles.Order()];
        return sorted[sorted.Length / 2];
    }
}
