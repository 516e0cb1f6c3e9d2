using System.CommandLine;
using Hillrow.Estate;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>Changes what is said of a block.</summary>
internal static class BlockEditCommand
{
    public static Command Create(CommandOutput speech)
    {
        Argument<string> folder = Given.Estate();
        Argument<string> name = new("NAME") { Description = "The block." };
        FactOptions options = new();
        Command command = new("edit", "Say or correct what grows in a block.") { folder, name };
        options.AddTo(command);
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            BlockBook book = new(estate);
            BlockFacts facts = options.Read(parsed);
            if (facts == new BlockFacts())
            {
                throw new InputProblemException(
                    "hillrow block edit",
                    "is told nothing to change.",
                    "Give for instance --crop coffee or --stumped 2025-08-01."
                );
            }

            Block block = book.Find(parsed.GetRequiredValue(name));
            Block edited = block with { Facts = facts.Or(block.Facts) };
            book.Store([edited], replace: true);
            speech.Line(Messages.Block(edited, estate.Settings.Units));
            speech.Result(new { ok = true, block = BlockListCommand.Shape(edited) });
            return ExitCodes.Done;
        });
        return command;
    }
}
