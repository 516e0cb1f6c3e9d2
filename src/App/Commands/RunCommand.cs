using System.CommandLine;
using Hillrow.Estate;

namespace Hillrow.App.Commands;

/// <summary>Does what is missing or out of date for every survey of an estate.</summary>
internal static class RunCommand
{
    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = Given.Estate();
        Command command = new(
            "run",
            "Do what is missing for every survey: maps, plants, findings, report. Stopped, it goes on next time."
        )
        {
            folder,
        };
        command.SetAction(parsed =>
        {
            string given = parsed.GetRequiredValue(folder);
            EstateFolder estate = EstateFolder.Open(given);
            if (RunOrder.Of(estate).Count == 0)
            {
                speech.Line(Messages.NothingToRun(given));
                speech.Result(new { ok = true, steps = Array.Empty<object>() });
                return ExitCodes.Done;
            }

            RunSummary summary = EstateRun.Do(estate, speech, cancellation);
            speech.Line(Messages.Ran(summary));
            string? report = estate.CurrentReport();
            if (report is not null && !summary.Cancelled)
            {
                speech.Line(Messages.Report(report));
            }

            int code = EstateRun.ExitCodeOf(summary);
            speech.Result(
                new
                {
                    ok = code == ExitCodes.Done,
                    stopped = summary.Cancelled,
                    report,
                    steps = summary.Steps.Select(EstateRun.Shape),
                }
            );
            return code;
        });
        return command;
    }
}
