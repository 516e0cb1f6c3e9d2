using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Gives each capture its role: by hand, by the panel's marker, by motion, and panels at last by guess.</summary>
internal static class RoleSettling
{
    public static List<IntakeCapture> Settle(
        CameraProfile profile,
        IntakeSettings settings,
        IReadOnlyList<Capture> captures,
        IReadOnlyDictionary<string, CaptureDetails> details,
        List<IntakeNote> notes
    )
    {
        List<IntakeCapture> settled = [];
        HashSet<string> usedHands = [];
        foreach (IGrouping<string, Capture> sortie in captures.GroupBy(capture => capture.Sortie))
        {
            Capture[] all = [.. sortie];

            // Panel pictures are held by hand: their places must not look like a flight's.
            Capture[] flown = [.. all.Where(capture => details[capture.Id].PanelMarker is null)];
            (CaptureRole Role, string Reason)[] byMotion = CaptureMotion.Roles(
                flown,
                settings,
                captures.Count - all.Length
            );
            Dictionary<string, int> at = flown
                .Select((capture, index) => (capture.Id, index))
                .ToDictionary(entry => entry.Id, entry => entry.index);
            foreach (Capture capture in all)
            {
                CaptureDetails beside = details[capture.Id];
                if (ByHand(settings, capture, beside, usedHands) is { } role)
                {
                    settled.Add(new IntakeCapture(capture, role, RoleSource.ByHand, "given by hand"));
                }
                else if (beside.PanelMarker is { } marker)
                {
                    settled.Add(
                        new IntakeCapture(
                            capture,
                            CaptureRole.Panel,
                            RoleSource.ByMarker,
                            $"the camera saw the panel: {marker}"
                        )
                    );
                }
                else
                {
                    (CaptureRole motion, string reason) = byMotion[at[capture.Id]];
                    settled.Add(new IntakeCapture(capture, motion, RoleSource.ByMotion, reason));
                }
            }
        }

        foreach (
            string missed in settings
                .RolesByHand.Keys.Where(key => !usedHands.Contains(key))
                .Order(StringComparer.Ordinal)
        )
        {
            notes.Add(
                new IntakeNote(
                    NoteWeight.Assumed,
                    missed,
                    "a role is given by hand, but no capture has that file or id.",
                    "Name a file relative to the card's folder."
                )
            );
        }

        GuessPanels(profile, settled, notes);
        return settled;
    }

    private static CaptureRole? ByHand(
        IntakeSettings settings,
        Capture capture,
        CaptureDetails details,
        HashSet<string> used
    )
    {
        foreach (
            string key in (string[])[capture.Id, details.OwnId ?? "", .. capture.Frames.Select(frame => frame.File)]
        )
        {
            if (settings.RolesByHand.TryGetValue(key, out CaptureRole role))
            {
                used.Add(key);
                return role;
            }
        }

        return null;
    }

    /// <summary>With no panel known, captures on the ground are held to be panels until radiometry has looked at them.</summary>
    private static void GuessPanels(CameraProfile profile, List<IntakeCapture> settled, List<IntakeNote> notes)
    {
        if (profile.Panel is null || settled.Exists(entry => entry.Role == CaptureRole.Panel))
        {
            return;
        }

        int guessed = 0;
        for (int index = 0; index < settled.Count; index++)
        {
            if (settled[index] is { Role: CaptureRole.Ground, Source: RoleSource.ByMotion } ground)
            {
                settled[index] = ground with
                {
                    Role = CaptureRole.Panel,
                    Source = RoleSource.Guessed,
                    Reason = $"{ground.Reason}; no capture is marked as panel",
                };
                guessed++;
            }
        }

        notes.Add(
            guessed > 0
                ? new IntakeNote(
                    NoteWeight.Assumed,
                    "card",
                    $"no capture is marked as panel: {guessed} taken on the ground are tried as panel.",
                    "Tell the panel's captures by hand if they are others."
                )
                : new IntakeNote(
                    NoteWeight.Assumed,
                    "card",
                    "no picture of the reference panel was found.",
                    "Take one before and after each flight, or tell the panel's captures by hand."
                )
        );
    }
}
