using System.CommandLine;
using Hillrow.Estate;
using Hillrow.Handover;
using Hillrow.Sheets;

namespace Hillrow.App.Commands;

/// <summary>Writes the grower's report of a survey, in a language, on a paper.</summary>
internal static class ReportCommand
{
    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = Given.Estate();
        Argument<string?> survey = UpToDate.Survey();
        Option<string?> language = Given.Text("--language", "en, es or pt; the estate's own if not said.", "CODE");
        Option<string?> paper = Given.Text("--paper", "a4 or letter; a4 if not said.", "SIZE");
        Option<bool> asIs = UpToDate.AsIs();
        Command command = new("report", "Write the grower's report: a page for the screen and a PDF for the printer.")
        {
            folder,
            survey,
            language,
            paper,
            asIs,
        };
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            Language? spoken = Given.Language("--language", parsed.GetValue(language));
            Paper printed = Given.OneOf(
                "--paper",
                parsed.GetValue(paper) ?? Paper.A4.Name,
                Paper.All.ToDictionary(one => one.Name)
            );
            if (UpToDate.Bring(estate, parsed.GetValue(asIs), speech, cancellation) is { } code)
            {
                return code;
            }

            IReadOnlyList<string> files = ReportWriting.Write(
                estate,
                new ReportWishes(parsed.GetValue(survey), spoken, printed),
                cancellation
            );
            foreach (string file in files)
            {
                speech.Line(Messages.Report(file));
            }

            speech.Result(new { ok = true, files });
            return ExitCodes.Done;
        });
        return command;
    }
}
