using System.CommandLine;
using Hillrow.Estate;

namespace Hillrow.App.Commands;

/// <summary>Brings block boundaries from a file.</summary>
internal static class BlockImportCommand
{
    public static Command Create(CommandOutput speech)
    {
        Argument<string> folder = Given.Estate();
        Argument<string> file = new("FILE") { Description = "GeoJSON, KML, KMZ, shapefile (.shp) or GeoPackage." };
        Option<string?> layer = Given.Text("--layer", "Layer of a GeoPackage that has several.", "NAME");
        Option<string?> nameFrom = Given.Text("--name-from", "Attribute that holds the blocks' names.", "ATTRIBUTE");
        Option<bool> replace = new("--replace") { Description = "Give blocks of the same name the new boundary." };
        Option<bool> keepGood = new("--keep-good")
        {
            Description = "Store the good outlines even when others cannot be used.",
        };
        Command command = new(
            "import",
            "Bring boundaries from a file; crossings are repaired, and what was done is told."
        )
        {
            folder,
            file,
            layer,
            nameFrom,
            replace,
            keepGood,
        };
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            BlockBook book = new(estate);
            BoundarySet set = BoundaryFile.Read(parsed.GetRequiredValue(file), parsed.GetValue(layer));
            BlockImportResult found = BlockImport.Read(
                set,
                estate.ReferenceSystem,
                book.Blocks(),
                parsed.GetValue(nameFrom)
            );
            foreach (string told in found.Told)
            {
                speech.Warning(told);
            }

            foreach (string refused in found.Refused)
            {
                speech.Error.WriteLine($"refused: {refused}");
            }

            bool store = found.Blocks.Count > 0 && (found.Refused.Count == 0 || parsed.GetValue(keepGood));
            if (store)
            {
                book.Store(found.Blocks, parsed.GetValue(replace));
                double area = found.Blocks.Sum(block => block.AreaSquareMetres);
                speech.Line(Messages.Stored(found.Blocks.Count, area, estate.Settings.Units));
            }
            else
            {
                speech.Error.WriteLine(
                    $"{set.File}: {Messages.NothingStored(found.Refused.Count)} Mend them, or store the others with --keep-good."
                );
            }

            speech.Result(
                new
                {
                    ok = found.Refused.Count == 0,
                    stored = store ? found.Blocks.Select(block => BlockListCommand.Shape(block)).ToArray() : [],
                    warnings = found.Told,
                    refused = found.Refused,
                }
            );
            return found.Refused.Count == 0 ? ExitCodes.Done : ExitCodes.BadInput;
        });
        return command;
    }
}
