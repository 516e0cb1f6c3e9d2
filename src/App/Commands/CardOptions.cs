using System.CommandLine;
using Hillrow.Estate;

namespace Hillrow.App.Commands;

/// <summary>What a person may say of a survey that is brought.</summary>
internal sealed class CardOptions
{
    private readonly Option<string?> date = Given.Text(
        "--date",
        "Day of the visit; told by the captures if not said.",
        "YYYY-MM-DD"
    );

    private readonly Option<string?> name = Given.Text("--name", "Short name when a day has several surveys.", "WORD");

    private readonly Option<string?> camera = Given.Text(
        "--camera",
        "Camera profile: a file, or a name in the estate's cameras folder.",
        "PROFILE"
    );

    private readonly Option<bool> link = new("--link")
    {
        Description = "Leave the files where they are and link to them.",
    };

    public void AddTo(Command command)
    {
        command.Options.Add(date);
        command.Options.Add(name);
        command.Options.Add(camera);
        command.Options.Add(link);
    }

    /// <exception cref="Numerics.InputProblemException">The day is none.</exception>
    public SurveyWishes Read(ParseResult parsed) =>
        new(
            Given.Day("--date", parsed.GetValue(date)),
            parsed.GetValue(name),
            parsed.GetValue(camera),
            parsed.GetValue(link)
        );
}
