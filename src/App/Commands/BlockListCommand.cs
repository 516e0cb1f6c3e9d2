using System.CommandLine;
using Hillrow.Estate;

namespace Hillrow.App.Commands;

/// <summary>Lists the blocks.</summary>
internal static class BlockListCommand
{
    public static Command Create(CommandOutput speech)
    {
        Argument<string> folder = Given.Estate();
        Command command = new("list", "List the blocks with their areas and what grows there.") { folder };
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            IReadOnlyList<Block> blocks = new BlockBook(estate).Blocks();
            foreach (Block block in blocks)
            {
                speech.Line(Messages.Block(block, estate.Settings.Units));
            }

            if (blocks.Count == 0)
            {
                speech.Line(Messages.NextBlocks(parsed.GetRequiredValue(folder)));
            }

            speech.Result(new { ok = true, blocks = blocks.Select(Shape) });
            return ExitCodes.Done;
        });
        return command;
    }

    /// <summary>A block as JSON shows it.</summary>
    public static object Shape(Block block) =>
        new
        {
            block.Name,
            areaSquareMetres = Math.Round(block.AreaSquareMetres, 1),
            parts = block.Boundary.NumGeometries,
            block.Facts.Crop,
            block.Facts.Variety,
            block.Facts.Planted,
            block.Facts.Stumped,
            block.Facts.PlantSpacingMetres,
            block.Facts.RowSpacingMetres,
            block.Facts.ShadePercent,
            block.Source,
        };
}
