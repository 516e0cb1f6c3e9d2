using System.CommandLine;
using Hillrow.Estate;

namespace Hillrow.App.Commands;

/// <summary>Lists log lines.</summary>
internal static class LogListCommand
{
    public static Command Create(CommandOutput speech)
    {
        Argument<string> folder = Given.Estate();
        Option<string?> block = Given.Text("--block", "Only this block.", "NAME");
        Command command = new("list", "List the log by day.") { folder, block };
        command.SetAction(parsed =>
        {
            BlockBook book = new(EstateFolder.Open(parsed.GetRequiredValue(folder)));
            IReadOnlyList<BlockLogEntry> entries = book.Log(parsed.GetValue(block));
            if (entries.Count == 0)
            {
                speech.Line(Messages.EmptyLog(parsed.GetRequiredValue(folder)));
            }

            foreach (BlockLogEntry entry in entries)
            {
                speech.Line(Messages.Entry(entry));
            }

            speech.Result(new { ok = true, entries });
            return ExitCodes.Done;
        });
        return command;
    }
}
