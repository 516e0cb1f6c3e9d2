using System.CommandLine;
using Hillrow.Estate;
using Hillrow.Numerics;

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

    private readonly Option<string?> air = Given.Text(
        "--air-temperature",
        "For a thermal camera: the air beside the crop, in the shade, during the flight.",
        "CELSIUS"
    );

    private readonly Option<string?> humidity = Given.Text(
        "--humidity",
        "With --air-temperature: its relative humidity.",
        "PERCENT"
    );

    public void AddTo(Command command)
    {
        command.Options.Add(air);
        command.Options.Add(humidity);
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
        )
        {
            Air = Air(parsed),
        };

    private AirReadings? Air(ParseResult parsed)
    {
        double? celsius = Given.Number(air.Name, parsed.GetValue(air));
        double? percent = Given.Number(humidity.Name, parsed.GetValue(humidity));
        return (celsius, percent) switch
        {
            (null, null) => null,
            ({ } degrees, { } damp) => new AirReadings(degrees, damp).Checked(air.Name),
            _ => throw new InputProblemException(
                celsius is null ? humidity.Name : air.Name,
                $"needs {(celsius is null ? air.Name : humidity.Name)} beside it.",
                "Give both, or neither: temperatures of crowns need both."
            ),
        };
    }
}
