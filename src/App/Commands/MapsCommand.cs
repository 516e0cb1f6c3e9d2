using System.CommandLine;
using Hillrow.Estate;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>Index maps and pictures of a survey's map, by name or by a formula of one's own.</summary>
internal static class MapsCommand
{
    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = Given.Estate();
        Argument<string?> survey = UpToDate.Survey();
        Option<string[]> index = Given.Texts(
            "--index",
            "An index of the catalogue, or a formula over the bands such as \"(nir - red) / (nir + red)\" or \"842nm / 717nm\"; once for each.",
            "NAME"
        );
        Option<string[]> composite = Given.Texts(
            "--composite",
            "Three bands shown as red, green and blue; once for each.",
            "A,B,C"
        );
        Option<string[]> value = Given.Texts(
            "--value",
            "Value of a name in a formula that no band has; once for each.",
            "NAME=NUMBER"
        );
        Option<string?> to = Given.Text("--to", "Folder; handover/maps-SURVEY if not said.", "DIR");
        Command command = new(
            "maps",
            "Make index maps and pictures of a survey's map; without a wish, list the indices that its bands allow."
        )
        {
            folder,
            survey,
            index,
            composite,
            value,
            to,
        };
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            MapWishes wishes = new(
                parsed.GetValue(index) ?? [],
                [
                    .. (parsed.GetValue(composite) ?? []).Select(text =>
                        text.Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries)
                    ),
                ],
                Values(parsed.GetValue(value) ?? [])
            );
            if (wishes.IsEmpty)
            {
                List(speech, MapWriting.Offers(estate, parsed.GetValue(survey), cancellation));
                return ExitCodes.Done;
            }

            MapsWritten maps = MapWriting.Write(
                estate,
                parsed.GetValue(survey),
                wishes,
                parsed.GetValue(to),
                cancellation
            );
            foreach (string told in maps.Told)
            {
                speech.Line(told);
            }

            foreach (string file in maps.Files)
            {
                speech.Line(file);
            }

            speech.Result(
                new
                {
                    ok = true,
                    survey = maps.Survey,
                    files = maps.Files,
                    told = maps.Told,
                }
            );
            return ExitCodes.Done;
        });
        return command;
    }

    private static void List(CommandOutput speech, IReadOnlyList<OfferedIndex> offers)
    {
        int wide = offers.Max(offer => offer.Name.Length);
        foreach (OfferedIndex offer in offers)
        {
            string why = offer.WhyNot is null ? offer.Formula : $"not here: {offer.WhyNot}";
            speech.Line($"{offer.Name.PadRight(wide)}  {why}");
        }

        speech.Result(new { ok = true, indices = offers });
    }

    private static Dictionary<string, double> Values(string[] texts)
    {
        Dictionary<string, double> values = [];
        foreach (string text in texts)
        {
            int sign = text.IndexOf('=', StringComparison.Ordinal);
            if (sign <= 0)
            {
                throw new InputProblemException(
                    "--value",
                    $"\"{text}\" has no name and number.",
                    "Write --value NAME=NUMBER, for instance --value lowest=0.1."
                );
            }

            values[text[..sign].Trim()] = Given.Number("--value", text[(sign + 1)..].Trim())!.Value;
        }

        return values;
    }
}
