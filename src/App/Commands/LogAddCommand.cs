using System.CommandLine;
using Hillrow.Estate;

namespace Hillrow.App.Commands;

/// <summary>Adds a line to a block's log.</summary>
internal static class LogAddCommand
{
    public static Command Create(CommandOutput speech)
    {
        Argument<string> folder = Given.Estate();
        Option<string> block = new("--block")
        {
            Description = "The block.",
            Required = true,
            HelpName = "NAME",
        };
        Option<string> kind = new("--kind")
        {
            Description = "picking, spray, fertiliser, pruning, stumping, rain or note.",
            Required = true,
            HelpName = "KIND",
        };
        Option<string?> day = Given.Text("--day", "When; today if not said.", "YYYY-MM-DD");
        Option<string?> amount = Given.Text("--amount", "How much.", "NUMBER");
        Option<string?> unit = Given.Text("--unit", "Unit of the amount: kg, kg/ha, l/ha, mm …", "UNIT");
        Option<string?> product = Given.Text("--product", "What was spread or sprayed, as on its label.", "TEXT");
        Option<string?> note = Given.Text("--note", "Anything else.", "TEXT");
        Command command = new("add", "Note what was done in a block, or what fell on it.")
        {
            folder,
            block,
            kind,
            day,
            amount,
            unit,
            product,
            note,
        };
        command.SetAction(parsed =>
        {
            BlockBook book = new(EstateFolder.Open(parsed.GetRequiredValue(folder)));
            BlockLogEntry entry = new(
                book.Find(parsed.GetRequiredValue(block)).Name,
                Given.Day("--day", parsed.GetValue(day)) ?? DateOnly.FromDateTime(DateTime.Now),
                Given.Choice<LogKind>("--kind", parsed.GetRequiredValue(kind)),
                Given.Number("--amount", parsed.GetValue(amount)),
                parsed.GetValue(unit) ?? "",
                parsed.GetValue(product) ?? "",
                parsed.GetValue(note) ?? ""
            );
            book.Add(entry);
            speech.Line(Messages.Entry(entry));
            speech.Result(new { ok = true, entry });
            return ExitCodes.Done;
        });
        return command;
    }
}
