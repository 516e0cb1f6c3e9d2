using System.CommandLine;
using Hillrow.Estate;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>Before departure: is everything for the day's flights on this laptop?</summary>
internal static class PackCommand
{
    public static Command Create(CommandOutput speech)
    {
        Argument<string> folder = Given.Estate();
        Option<string?> plan = Given.Text(
            "--plan",
            "The day's plan; the one whose name has the day's date, else the newest, if not said.",
            "NAME"
        );
        Option<string?> day = Given.Text("--day", "Day of departure; today if not said.", "YYYY-MM-DD");
        Option<string?> batteries = Given.Text("--batteries", "Charged batteries at hand.", "COUNT");
        Command command = new(
            "pack",
            "Before departure: are terrain, blocks, profiles, plan and room for the day's flights on this laptop?"
        )
        {
            folder,
            plan,
            day,
            batteries,
        };
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            PackReport report = PackCheck.Look(
                estate,
                new PackWishes
                {
                    Plan = parsed.GetValue(plan),
                    Day = Given.Day("--day", parsed.GetValue(day)) ?? DateOnly.FromDateTime(DateTime.Now),
                    Batteries = Count(Given.Number("--batteries", parsed.GetValue(batteries))),
                }
            );
            foreach (PackItem item in report.Items)
            {
                string line = $"{item.Subject}: {item.Told} {item.Remedy}".TrimEnd();
                switch (item.State)
                {
                    case PackState.Ready:
                        speech.Line($"  ready    {line}");
                        break;
                    case PackState.Caution:
                        speech.Line($"  look     {line}");
                        break;
                    default:
                        speech.Line($"  MISSING  {line}");
                        break;
                }
            }

            int missing = report.Items.Count(item => item.State == PackState.Missing);
            speech.Line(
                report.Ready ? "All is on this laptop."
                : missing == 1 ? "One thing is missing."
                : $"{missing} things are missing."
            );
            speech.Result(
                new
                {
                    ok = report.Ready,
                    ready = report.Ready,
                    items = report.Items.Select(item => new
                    {
                        state = item.State.ToString().ToLowerInvariant(),
                        item.Subject,
                        item.Told,
                        item.Remedy,
                    }),
                    report.Plan,
                    report.Sorties,
                    report.Captures,
                    report.BytesNeeded,
                    report.BytesFree,
                }
            );
            return report.Ready ? ExitCodes.Done : ExitCodes.BadInput;
        });
        return command;
    }

    private static int? Count(double? given) =>
        given is null ? null
        : given is >= 0 and <= 10_000 && double.IsInteger(given.Value) ? (int)given.Value
        : throw new InputProblemException("--batteries", "must be a whole number.", "Count the charged ones.");
}
