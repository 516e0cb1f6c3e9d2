using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>Card folder in, captures with roles out; see README.md beside this file.</summary>
public static class IntakeStage
{
    private const int MostReasons = 8;

    /// <summary>Reads metadata only; the files stay untouched.</summary>
    /// <exception cref="InputProblemException">No such folder, no picture in it, or settings at fault.</exception>
    /// <remarks>The result depends neither on the number of threads nor on the order of files on the disk.</remarks>
    public static IntakeResult Run(
        IntakeInput input,
        IntakeSettings settings,
        IProgress<WorkProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(input);
        ArgumentNullException.ThrowIfNull(settings);
        settings.Validate();
        List<IntakeNote> notes = [];
        CardReading card = new(input, notes);
        IReadOnlyList<CardFrame> frames = card.Read(settings.Threads, progress, cancel);
        if (card.PictureFiles == 0)
        {
            throw new InputProblemException(
                string.Join(", ", input.CardFolders),
                "there is no TIFF or JPEG picture in it.",
                "Name the folder of the card."
            );
        }

        frames = CameraSplit.Keep(input.Profile, frames, notes);
        FrameGrouping grouping = new(input.Profile, settings, notes);
        IReadOnlyList<IReadOnlyList<CardFrame>> groups = grouping.Group(frames);
        IReadOnlyList<Capture> captures = CaptureMaking.Make(input.Profile, settings, groups, notes, out var details);
        captures = SortieSplit.Split(captures, settings.SortieGapSeconds);
        List<IntakeCapture> settled = RoleSettling.Settle(input.Profile, settings, captures, details, notes);
        progress?.Report(new WorkProgress("reading the card", 1));
        IntakeCounts counts = new(
            card.PictureFiles,
            settled.Sum(entry => entry.Capture.Frames.Count),
            grouping.Copies,
            notes.Where(note => note.Weight == NoteWeight.Excluded).Sum(note => note.Files),
            card.OtherFiles
        );
        return new IntakeResult
        {
            Captures = settled,
            Sorties = SortieSplit.Summaries(captures),
            Irradiance =
            [
                .. captures.SelectMany(capture =>
                    capture
                        .Frames.Where(frame => frame.Irradiance is not null)
                        .Select(frame => new IrradianceReading(
                            capture.Id,
                            capture.TimeUtc,
                            frame.Band,
                            frame.Irradiance!.Value
                        ))
                ),
            ],
            Notes = notes,
            Counts = counts,
            Outcome = OutcomeOf(settled, notes),
        };
    }

    private static StageOutcome OutcomeOf(List<IntakeCapture> captures, List<IntakeNote> notes)
    {
        if (!captures.Exists(entry => entry.Role == CaptureRole.Survey))
        {
            return StageOutcome.Refused([
                "No capture of the card maps the ground: check that folder and camera profile belong together.",
                .. notes
                    .Where(note => note.Weight != NoteWeight.Told)
                    .Take(MostReasons)
                    .Select(note => note.ToString()),
            ]);
        }

        IntakeNote[] grave = [.. notes.Where(note => note.Weight != NoteWeight.Told)];
        if (grave.Length == 0)
        {
            return StageOutcome.Done;
        }

        string[] reasons = [.. grave.Take(MostReasons).Select(note => note.ToString())];
        return StageOutcome.Degraded(
            grave.Length > MostReasons
                ?
                [
                    .. reasons,
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{grave.Length - MostReasons} more notes of this kind."
                    ),
                ]
                : reasons
        );
    }
}
