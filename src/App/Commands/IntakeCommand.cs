using System.CommandLine;
using System.Globalization;
using Hillrow.Estate;
using Hillrow.Intake;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>From the card to the verdict in one go: every picture is read once, copied, and looked at on its way.</summary>
internal static class IntakeCommand
{
    private const int NotesSpoken = 12;

    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = Given.Estate();
        Argument<string[]> cards = new("CARD")
        {
            Description = "Folder with the card's pictures; several when one visit is spread over cards or folders.",
            Arity = ArgumentArity.OneOrMore,
        };
        CardOptions options = new();
        Command command = new(
            "intake",
            "Put the card in: copy it into the estate with checksums, and say whether the survey is whole. The same card twice adds nothing."
        )
        {
            folder,
            cards,
        };
        options.AddTo(command);
        command.SetAction(parsed =>
        {
            string given = parsed.GetRequiredValue(folder);
            EstateFolder estate = EstateFolder.Open(given);
            PlainProgress progress = new(speech);
            SurveyAdded added = SurveyAddition.Add(
                estate,
                parsed.GetRequiredValue(cards),
                options.Read(parsed) with
                {
                    Look = true,
                },
                new Progress(progress),
                cancellation
            );
            foreach (string told in added.Told)
            {
                speech.Warning(told);
            }

            speech.Line(Messages.TakenIn(added));
            Checked(speech, estate, added, given, progress, cancellation);
            return ExitCodes.Done;
        });
        return command;
    }

    private static void Checked(
        CommandOutput speech,
        EstateFolder estate,
        SurveyAdded added,
        string given,
        PlainProgress progress,
        CancellationToken cancellation
    )
    {
        SurveyIntake intake = SurveyIntake.Of(estate, added, progress, cancellation);
        Tell(speech, intake.Intake);
        if (intake.Check is { } check)
        {
            CheckCommand.Tell(speech, check);
            speech.Line($"The page: {intake.Page}");
        }
        else
        {
            speech.Warning($"no field check: {intake.WhyNoCheck}");
        }

        speech.Line(Messages.NextRun(given));
        IntakeResult result = intake.Intake;
        speech.Result(
            new
            {
                ok = true,
                survey = added.Survey.Id,
                folder = added.Survey.Root,
                camera = added.Camera,
                files = added.Files,
                filesKept = added.FilesKept,
                told = added.Told,
                intake = new
                {
                    outcome = result.Outcome.Verdict,
                    result.Counts,
                    captures = result.Captures.Count,
                    roles = result
                        .Captures.GroupBy(one => one.Role)
                        .ToDictionary(group => group.Key.ToString(), group => group.Count()),
                    result.Sorties,
                    result.Notes,
                },
                check = intake.Check is { } judged ? CheckCommand.Shape(added.Survey, judged, intake.Page!) : null,
                whyNoCheck = intake.WhyNoCheck,
            }
        );
    }

    private static void Tell(CommandOutput speech, IntakeResult result)
    {
        speech.Line(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{result.Captures.Count} captures in {result.Sorties.Count} {(result.Sorties.Count == 1 ? "sortie" : "sorties")}: {result.OfRole(CaptureRole.Survey).Count} map the ground, {result.OfRole(CaptureRole.Panel).Count} show the panel."
            )
        );
        IntakeNote[] grave = [.. result.Notes.Where(note => note.Weight != NoteWeight.Told)];
        foreach (IntakeNote note in grave.Take(NotesSpoken))
        {
            speech.Warning(note.ToString());
        }

        if (grave.Length > NotesSpoken)
        {
            speech.Warning($"{grave.Length - NotesSpoken} more notes of this kind; --json tells all.");
        }
    }

    /// <summary>Shares of the copying as progress of the work.</summary>
    private sealed class Progress(PlainProgress progress) : IProgress<double>
    {
        public void Report(double value) => progress.Report(new WorkProgress("bringing the card", value));
    }
}
