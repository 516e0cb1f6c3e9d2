using System.CommandLine;
using System.Globalization;
using Hillrow.Earth;
using Hillrow.Estate;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>Puts right what a survey says of a plant.</summary>
internal static class CorrectCommand
{
    public static Command Create(CommandOutput speech)
    {
        Argument<string> folder = Given.Estate();
        Option<string?> plant = Given.Text("--plant", "Number of the plant that is spoken of.", "PLANT");
        Option<string?> same = Given.Text(
            "--same-as",
            "It is the same plant as this number; the older stays.",
            "PLANT"
        );
        Option<bool> notPlant = new("--not-plant") { Description = "It is a weed, a stone or a post." };
        Option<string?> movedTo = Given.Text("--moved-to", "It stands here: latitude,longitude.", "LAT,LON");
        Option<string?> missing = Given.Text("--missing-at", "A plant stands here: latitude,longitude.", "LAT,LON");
        Option<string?> labels = Given.Text(
            "--labels",
            "Places with what stands there (CSV with latitude, longitude, label; or GeoJSON points): plant, healthy, thin, weed, empty. The search learns from them where that is a gain.",
            "FILE"
        );
        Option<string?> survey = Given.Text(
            "--survey",
            "The survey that is put right; the last one if not said.",
            "SURVEY"
        );
        Option<string?> who = Given.Text("--who", "Who says so.", "NAME");
        Option<string?> note = Given.Text("--note", "Why.", "TEXT");
        Command command = new("correct", "Put right what the surveys say of a plant; the next run takes it up.")
        {
            folder,
            plant,
            same,
            notPlant,
            movedTo,
            missing,
            labels,
            survey,
            who,
            note,
        };
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            CorrectionEntry entry = new(estate);
            if (parsed.GetValue(labels) is { } file)
            {
                return Labels(speech, estate, file, parsed.GetValue(survey), parsed.GetValue(who) ?? "");
            }

            string[] said =
            [
                .. new[]
                {
                    (parsed.GetValue(same) is not null, same.Name),
                    (parsed.GetValue(notPlant), notPlant.Name),
                    (parsed.GetValue(movedTo) is not null, movedTo.Name),
                    (parsed.GetValue(missing) is not null, missing.Name),
                }
                    .Where(pair => pair.Item1)
                    .Select(pair => pair.Name),
            ];
            if (said.Length != 1)
            {
                throw new InputProblemException(
                    "correct",
                    said.Length == 0 ? "was not told what is wrong." : $"was told {string.Join(" and ", said)}.",
                    "Say one of --same-as, --not-plant, --moved-to, --missing-at, or give --labels."
                );
            }

            long Plant() =>
                LedgerCommand.Number(
                    "--plant",
                    parsed.GetValue(plant)
                        ?? throw new InputProblemException(
                            said[0],
                            "does not say of which plant.",
                            "Give its number with --plant."
                        )
                );

            GridPoint Place(Option<string?> option)
            {
                (double latitude, double longitude) = Given.Place(option.Name, parsed.GetValue(option)!);
                return estate.ReferenceSystem.ToGrid(GeographicPoint.FromDegrees(latitude, longitude));
            }

            string? of = parsed.GetValue(survey);
            PlantCorrection correction =
                parsed.GetValue(same) is { } other ? entry.Same(Plant(), LedgerCommand.Number(same.Name, other))
                : parsed.GetValue(notPlant) ? entry.NotPlant(Plant())
                : parsed.GetValue(movedTo) is not null ? entry.Moved(Plant(), Place(movedTo), of)
                : entry.Missing(Place(missing), of);
            correction = correction with { Who = parsed.GetValue(who) ?? "", Note = parsed.GetValue(note) ?? "" };
            new CorrectionBook(estate).Add(correction);
            speech.Line(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"Noted for survey {correction.Survey}{(correction.Plant is { } number ? $", plant {number}" : "")}."
                )
            );
            speech.Line(Messages.NextRun(parsed.GetRequiredValue(folder)));
            speech.Result(
                new
                {
                    ok = true,
                    correction.Kind,
                    correction.Survey,
                    correction.Plant,
                }
            );
            return ExitCodes.Done;
        });
        return command;
    }

    private static int Labels(CommandOutput speech, EstateFolder estate, string file, string? survey, string who)
    {
        IReadOnlyList<PlantCorrection> stored = new CorrectionEntry(estate).Labels(
            LabelFile.Read(Path.GetFullPath(file)),
            survey
        );
        CorrectionBook book = new(estate);
        foreach (PlantCorrection label in stored)
        {
            book.Add(label with { Who = who });
        }

        speech.Line($"Noted {stored.Count} labels for survey {stored[0].Survey}.");
        speech.Line(Messages.NextRun(estate.Root));
        speech.Line($"Then `hillrow plants {estate.Root}` says what they taught, and whether it is used.");
        speech.Result(
            new
            {
                ok = true,
                labels = stored.Count,
                stored[0].Survey,
            }
        );
        return ExitCodes.Done;
    }
}
