using System.CommandLine;
using System.Globalization;
using Hillrow.Estate;

namespace Hillrow.App.Commands;

/// <summary>Takes in what scouts found on a walk, and lists it.</summary>
internal static class AnswersCommand
{
    public static Command Add(CommandOutput speech)
    {
        Argument<string> folder = Given.Estate();
        Argument<string> file = new("FILE")
        {
            Description = "CSV that the walk page saved, walk.csv filled in, or GeoJSON with the same words.",
        };
        Command command = new("add", "Take in what scouts found: it moves the thresholds at the next run.")
        {
            folder,
            file,
        };
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            IReadOnlyList<ScoutAnswer> answers = ScoutAnswerFile.Read(Path.GetFullPath(parsed.GetRequiredValue(file)));
            int stored = new ScoutBook(estate).Add(answers);
            speech.Line(
                $"Stored {stored} {(stored == 1 ? "answer" : "answers")}, {answers.Count - stored} had been there."
            );
            if (stored > 0)
            {
                speech.Line(Messages.NextRun(parsed.GetRequiredValue(folder)));
            }

            speech.Result(
                new
                {
                    ok = true,
                    read = answers.Count,
                    stored,
                }
            );
            return ExitCodes.Done;
        });
        return command;
    }

    public static Command List(CommandOutput speech)
    {
        Argument<string> folder = Given.Estate();
        Command command = new("list", "List what scouts found.") { folder };
        command.SetAction(parsed =>
        {
            IReadOnlyList<ScoutAnswer> answers = new ScoutBook(
                EstateFolder.Open(parsed.GetRequiredValue(folder))
            ).Answers();
            foreach (ScoutAnswer answer in answers)
            {
                string state = answer.State?.ToString().ToLowerInvariant() ?? ScoutAnswerWords.Gone;
                string sample = answer.Sample.Length == 0 ? "" : $", bag {answer.Sample}";
                string note = answer.Note.Length == 0 ? "" : $": {answer.Note}";
                speech.Line(
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{answer.Survey}, plant {answer.Plant}: {state}, cause {answer.Cause}{sample}{note} ({answer.Who}, {answer.Answered:yyyy-MM-dd})"
                    )
                );
            }

            speech.Result(new { ok = true, answers });
            return ExitCodes.Done;
        });
        return command;
    }
}
