using System.CommandLine;
using Hillrow.Earth;
using Hillrow.Estate;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>Makes an estate folder.</summary>
internal static class NewCommand
{
    public static Command Create(CommandOutput speech)
    {
        Argument<string> folder = new("DIR") { Description = "A folder that is new or empty." };
        Option<string> name = new("--name")
        {
            Description = "The estate's name, as the grower says it.",
            Required = true,
            HelpName = "NAME",
        };
        Option<string?> zone = Given.Text("--zone", "UTM zone of all maps, for instance 18S.", "ZONE");
        Option<string?> at = Given.Text(
            "--at",
            "A place on the estate instead of the zone: latitude,longitude in degrees.",
            "LAT,LON"
        );
        Option<string> language = new("--language")
        {
            Description = "Language of reports and progress: en, es or pt.",
            HelpName = "CODE",
            DefaultValueFactory = _ => "en",
        };
        Command command = new("new", "Make an estate: one folder for a grower's property and all its surveys.")
        {
            folder,
            name,
            zone,
            at,
            language,
        };
        command.SetAction(parsed =>
        {
            string code = parsed.GetRequiredValue(language);
            Language spoken =
                LanguageCodes.Find(code)
                ?? throw new InputProblemException(
                    "--language",
                    $"\"{code}\" is no language of hillrow.",
                    $"Choose one of {string.Join(", ", LanguageCodes.All)}."
                );
            EstateFolder estate = EstateFolder.Create(
                parsed.GetRequiredValue(folder),
                EstateSettings.Plain(
                    parsed.GetRequiredValue(name),
                    Zone(parsed.GetValue(zone), parsed.GetValue(at)),
                    spoken
                )
            );
            speech.Line(Messages.Made(estate));
            speech.Line(Messages.NextBlocks(parsed.GetRequiredValue(folder)));
            speech.Result(
                new
                {
                    ok = true,
                    estate = estate.Root,
                    name = estate.Settings.Name,
                    referenceSystem = UtmZoneText.CodeOf(estate.ReferenceSystem),
                }
            );
            return ExitCodes.Done;
        });
        return command;
    }

    private static ReferenceSystem Zone(string? zone, string? at)
    {
        if (zone is null == at is null)
        {
            throw new InputProblemException(
                "hillrow new",
                zone is null ? "does not know where the estate lies." : "has both --zone and --at.",
                "Give either --zone (for instance 18S) or --at LAT,LON."
            );
        }

        if (zone is not null)
        {
            return UtmZoneText.Parse(zone)
                ?? throw new InputProblemException(
                    "--zone",
                    $"\"{zone}\" is no UTM zone.",
                    "Write 1 to 60 and N or S, for instance 18S, or give --at LAT,LON."
                );
        }

        (double latitude, double longitude) = Given.Place("--at", at!);
        return ReferenceSystem.UtmAt(GeographicPoint.FromDegrees(latitude, longitude));
    }
}
