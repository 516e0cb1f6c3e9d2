using System.CommandLine;
using Hillrow.Earth;
using Hillrow.Estate;
using Hillrow.Numerics;
using NetTopologySuite.Geometries;

namespace Hillrow.App.Commands;

/// <summary>Adds a block by its corners.</summary>
internal static class BlockAddCommand
{
    public static Command Create(CommandOutput speech)
    {
        Argument<string> folder = Given.Estate();
        Argument<string> name = new("NAME") { Description = "The block's name, unique in the estate." };
        Option<string[]> corners = new("--corner")
        {
            Description = "A corner, latitude,longitude in degrees; give three or more, in order round the block.",
            HelpName = "LAT,LON",
            Required = true,
            AllowMultipleArgumentsPerToken = true,
        };
        FactOptions facts = new();
        Command command = new("add", "Add a block by its corners.") { folder, name, corners };
        facts.AddTo(command);
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            BlockBook book = new(estate);
            string given = parsed.GetRequiredValue(name);
            BlockImportResult found = BlockImport.Read(
                Outline(given, parsed.GetRequiredValue(corners)),
                estate.ReferenceSystem,
                book.Blocks(),
                "name"
            );
            foreach (string told in found.Told)
            {
                speech.Warning(told);
            }

            if (found.Refused.Count > 0)
            {
                throw new InputProblemException(
                    $"block \"{given}\"",
                    string.Join("; ", found.Refused) + ".",
                    "Check the corners."
                );
            }

            Block block = found.Blocks[0] with { Facts = facts.Read(parsed), Source = "corners given by hand" };
            book.Store([block], replace: false);
            speech.Line(Messages.Block(block, estate.Settings.Units));
            speech.Result(
                new
                {
                    ok = true,
                    block = BlockListCommand.Shape(block),
                    warnings = found.Told,
                }
            );
            return ExitCodes.Done;
        });
        return command;
    }

    private static BoundarySet Outline(string name, string[] corners)
    {
        if (corners.Length < 3)
        {
            throw new InputProblemException(
                "--corner",
                $"{corners.Length} corners enclose nothing.",
                "Give three or more."
            );
        }

        List<Coordinate> ring =
        [
            .. corners.Select(corner =>
            {
                (double latitude, double longitude) = Given.Place("--corner", corner);
                return new Coordinate(longitude, latitude);
            }),
        ];
        ring.Add(ring[0]);
        Dictionary<string, string> attributes = new(StringComparer.OrdinalIgnoreCase) { ["name"] = name };
        return new BoundarySet(
            "corners",
            ReferenceSystem.Wgs84Geographic,
            [new Boundary("corners", attributes, [new Polygon(new LinearRing([.. ring]))])],
            []
        );
    }
}
