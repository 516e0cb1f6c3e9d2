using System.CommandLine;
using Hillrow.Estate;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>Brings a card, or a map that was made elsewhere, into an estate as a survey.</summary>
internal static class SurveyAddCommand
{
    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = Given.Estate();
        Argument<string[]> cards = new("CARD")
        {
            Description =
                "Folder with the card's pictures; several when one visit is spread over cards or folders. None with --map.",
            Arity = ArgumentArity.ZeroOrMore,
        };
        CardOptions options = new();
        MapOptions map = new();
        Command command = new("add", "Bring a card's pictures, or a map made elsewhere, into the estate as one survey.")
        {
            folder,
            cards,
        };
        options.AddTo(command);
        map.AddTo(command);
        command.SetAction(parsed =>
        {
            string given = parsed.GetRequiredValue(folder);
            EstateFolder estate = EstateFolder.Open(given);
            SurveyWishes wishes = options.Read(parsed);
            string[] folders = parsed.GetValue(cards) ?? [];
            GivenMap? brought = map.Read(parsed, folders.Length > 0, wishes.Camera is not null);
            SurveyAdded added = brought is null
                ? SurveyAddition.Add(estate, NotEmpty(folders), wishes, progress: null, cancellation)
                : MapAddition.Add(estate, brought, wishes);
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

    private static string[] NotEmpty(string[] folders) =>
        folders.Length > 0
            ? folders
            : throw new InputProblemException(
                "survey add",
                "was given neither a card nor a map.",
                "Name the folder that holds the card's pictures, or a map with --map FILE."
            );
}

/// <summary>The options of a map that was made elsewhere.</summary>
internal sealed class MapOptions
{
    private readonly Option<string?> map = Given.Text(
        "--map",
        "A map made elsewhere instead of a card: GeoTIFF, reflectance or colours, in any known reference system.",
        "FILE"
    );

    private readonly Option<string?> surface = Given.Text(
        "--surface",
        "With --map: heights of ground and plants.",
        "FILE"
    );

    private readonly Option<string?> ground = Given.Text(
        "--ground",
        "With --surface: heights of the ground alone; found from the surface if not given.",
        "FILE"
    );

    private readonly Option<string?> bands = Given.Text(
        "--bands",
        "With --map: its bands in order, as red,green,blue,nir; mask for an alpha band, - for one to leave out.",
        "WORDS"
    );

    private readonly Option<string?> one = Given.Text(
        "--reflectance-one",
        "With --map: the number that stands for a reflectance of 1, such as 10000.",
        "NUMBER"
    );

    public void AddTo(Command command)
    {
        foreach (Option<string?> option in new[] { map, surface, ground, bands, one })
        {
            command.Options.Add(option);
        }
    }

    /// <summary>Null when there is no map.</summary>
    public GivenMap? Read(ParseResult parsed, bool withCards, bool withCamera)
    {
        if (parsed.GetValue(map) is not { } file)
        {
            foreach (Option<string?> option in new[] { surface, ground, bands, one })
            {
                if (parsed.GetValue(option) is not null)
                {
                    throw new InputProblemException(
                        option.Name,
                        "belongs to a map, and none is given.",
                        "Give the map with --map FILE, or leave this out."
                    );
                }
            }

            return null;
        }

        return withCards || withCamera
            ? throw new InputProblemException(
                "--map",
                $"was given together with {(withCards ? "a card" : "--camera")}.",
                "A survey is made of a card's pictures or of a map: add them as two surveys."
            )
            : new GivenMap(file)
            {
                Surface = parsed.GetValue(surface),
                Ground = parsed.GetValue(ground),
                Bands = parsed.GetValue(bands),
                ReflectanceOne = Given.Number(one.Name, parsed.GetValue(one)),
            };
    }
}
