using System.CommandLine;
using Hillrow.Estate;

namespace Hillrow.App.Commands;

/// <summary>Says what a survey found in each block.</summary>
internal static class PlantsCommand
{
    public static Command Create(CommandOutput speech)
    {
        Argument<string> folder = Given.Estate();
        Argument<string?> survey = new("SURVEY")
        {
            Description = "A survey's id; the last one with plants if not said.",
            Arity = ArgumentArity.ZeroOrOne,
        };
        Command command = new("plants", "Say what a survey found in each block: plants, gaps, rows, distances, doubts.")
        {
            folder,
            survey,
        };
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            SurveyInventory inventory = SurveyInventory.Read(estate, parsed.GetValue(survey));
            speech.Line(FormattableString.Invariant($"Survey {inventory.Survey}"));
            foreach (BlockInventory block in inventory.Blocks)
            {
                speech.Line(
                    FormattableString.Invariant(
                        $"  {block.Block}: {block.Plants} plants, {block.Gaps} gaps, {block.Hidden} hidden, {(block.Rows == 0 ? "no rows" : $"{block.Rows} rows {block.RowSpacingMetres:F2} m apart")}, plants {block.PlantSpacingMetres:F2} m apart"
                    )
                );
                if (block.Learning.Length > 0)
                {
                    speech.Line($"    {block.Learning}");
                }

                foreach (string reason in block.Reasons)
                {
                    speech.Line($"    {reason}");
                }
            }

            speech.Result(
                new
                {
                    ok = true,
                    inventory.Survey,
                    inventory.Blocks,
                }
            );
            return ExitCodes.Done;
        });
        return command;
    }
}
