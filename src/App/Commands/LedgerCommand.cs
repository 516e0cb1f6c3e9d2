using System.CommandLine;
using System.Globalization;
using Hillrow.Estate;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>Answers questions to the plant ledger: one plant's history, a block's plants, counts of all.</summary>
internal static class LedgerCommand
{
    public static Command Create(CommandOutput speech)
    {
        Argument<string> folder = Given.Estate();
        Argument<string?> plant = new("PLANT")
        {
            Description = "Number of a plant: its history is told.",
            Arity = ArgumentArity.ZeroOrOne,
        };
        Option<string?> block = Given.Text("--block", "List the plants of a block.", "NAME");
        Command command = new("ledger", "Look plants up in the ledger: one plant's history, a block's plants, counts.")
        {
            folder,
            plant,
            block,
        };
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            LedgerQueries ledger = new(estate);
            if (parsed.GetValue(plant) is { } text)
            {
                History(speech, ledger, Number("PLANT", text));
            }
            else if (parsed.GetValue(block) is { } name)
            {
                Plants(speech, ledger, new BlockBook(estate).Find(name));
            }
            else
            {
                Counts(speech, ledger, parsed.GetRequiredValue(folder));
            }

            return ExitCodes.Done;
        });
        return command;
    }

    public static long Number(string what, string text) =>
        long.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out long number) && number > 0
            ? number
            : throw new InputProblemException(what, $"\"{text}\" is no plant's number.", "Give a whole number from 1.");

    private static void History(CommandOutput speech, LedgerQueries ledger, long number)
    {
        PlantEntry plant = ledger.Plant(number);
        IReadOnlyList<PlantSighting> history = ledger.History(number);
        speech.Line(
            Text(
                $"Plant {plant.Number}, block {plant.Block}, row {plant.Row}, place {plant.PlaceInRow}: {plant.State}{(plant.MergedInto is { } kept ? $" (it is plant {kept})" : "")}"
            )
        );
        speech.Line(Text($"  {plant.Place.EastingMetres:F2} E {plant.Place.NorthingMetres:F2} N"));
        speech.Line(Text($"  {"survey", -20} {"height", 10} {"crown", 10} {"NDVI", 8} {"NDRE", 8} {"density", 8}"));
        foreach (PlantSighting sighting in history)
        {
            string Value(string column, int digits, string unit) =>
                sighting.Values.TryGetValue(column, out double value) && double.IsFinite(value)
                    ? value.ToString("F" + digits.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture)
                        + unit
                    : "–";
            speech.Line(
                Text(
                    $"  {sighting.Survey, -20} {Value("top_height_metres", 2, " m"), 10} {Value("crown_area_square_metres", 2, " m²"), 10} {Value("ndvi_mean", 3, ""), 8} {Value("ndre_mean", 3, ""), 8} {Value("foliage_density", 2, ""), 8}"
                )
            );
        }

        speech.Result(
            new
            {
                ok = true,
                plant = Shape(plant),
                history = history.Select(sighting => new
                {
                    sighting.Survey,
                    easting = sighting.Place.EastingMetres,
                    northing = sighting.Place.NorthingMetres,
                    values = sighting.Values.Where(value => double.IsFinite(value.Value)).ToDictionary(),
                }),
            }
        );
    }

    private static void Plants(CommandOutput speech, LedgerQueries ledger, Block block)
    {
        IReadOnlyList<PlantEntry> plants = ledger.OfBlock(block.Id);
        speech.Line(Text($"{"plant", 8} {"row", 5} {"place", 6} {"state", -10} {"first", -20} {"last", -20}"));
        foreach (PlantEntry plant in plants)
        {
            speech.Line(
                Text(
                    $"{plant.Number, 8} {plant.Row, 5} {plant.PlaceInRow, 6} {plant.State, -10} {plant.FirstSurvey, -20} {plant.LastSurvey, -20}"
                )
            );
        }

        speech.Result(
            new
            {
                ok = true,
                block = block.Name,
                plants = plants.Select(Shape),
            }
        );
    }

    private static void Counts(CommandOutput speech, LedgerQueries ledger, string folder)
    {
        IReadOnlyList<BlockCount> counts = ledger.Counts();
        if (counts.Count == 0)
        {
            speech.Line($"No plant has a number yet: make maps and findings with `hillrow run {folder}`.");
        }

        foreach (IGrouping<string, BlockCount> block in counts.GroupBy(count => count.Block))
        {
            speech.Line(
                Text(
                    $"{(block.Key.Length == 0 ? "(no block)" : block.Key)}: {string.Join(", ", block.Select(count => Text($"{count.Plants} {count.State}")))}"
                )
            );
        }

        speech.Result(new { ok = true, blocks = counts });
    }

    private static object Shape(PlantEntry plant) =>
        new
        {
            plant.Number,
            plant.Block,
            plant.Row,
            plant.PlaceInRow,
            easting = plant.Place.EastingMetres,
            northing = plant.Place.NorthingMetres,
            plant.FirstSurvey,
            plant.LastSurvey,
            plant.State,
            plant.MergedInto,
        };

    private static string Text(FormattableString text) => FormattableString.Invariant(text);
}
