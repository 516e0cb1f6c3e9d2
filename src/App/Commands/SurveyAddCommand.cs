using System.CommandLine;
using Hillrow.Estate;

namespace Hillrow.App.Commands;

/// <summary>Brings a card into an estate as a survey.</summary>
internal static class SurveyAddCommand
{
    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = Given.Estate();
        Argument<string[]> cards = new("CARD")
        {
            Description = "Folder with the card's pictures; several when one visit is spread over cards or folders.",
            Arity = ArgumentArity.OneOrMore,
        };
        Option<string?> date = Given.Text(
            "--date",
            "Day of the visit; told by the captures if not said.",
            "YYYY-MM-DD"
        );
        Option<string?> name = Given.Text("--name", "Short name when a day has several surveys.", "WORD");
        Option<string?> camera = Given.Text(
            "--camera",
            "Camera profile: a file, or a name in the estate's cameras folder.",
            "PROFILE"
        );
        Option<bool> link = new("--link") { Description = "Leave the files where they are and link to them." };
        Command command = new("add", "Bring a card's pictures into the estate as one survey.")
        {
            folder,
            cards,
            date,
            name,
            camera,
            link,
        };
        command.SetAction(parsed =>
        {
            string given = parsed.GetRequiredValue(folder);
            EstateFolder estate = EstateFolder.Open(given);
            SurveyAdded added = SurveyAddition.Add(
                estate,
                parsed.GetRequiredValue(cards),
                new SurveyWishes(
                    Given.Day("--date", parsed.GetValue(date)),
                    parsed.GetValue(name),
                    parsed.GetValue(camera),
                    parsed.GetValue(link)
                ),
                progress: null,
                cancellation
            );
            foreach (string told in added.Told)
            {
                speech.Warning(told);
            }

            speech.Line(Messages.Added(added));
            speech.Line(Messages.NextRun(given));
            speech.Result(
                new
                {
                    ok = true,
                    survey = added.Survey.Id,
                    folder = added.Survey.Root,
                    camera = added.Camera,
                    files = added.Files,
                    told = added.Told,
                }
            );
            return ExitCodes.Done;
        });
        return command;
    }
}
