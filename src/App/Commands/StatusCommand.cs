using System.CommandLine;
using Hillrow.Estate;

namespace Hillrow.App.Commands;

/// <summary>Says what an estate holds, what is done, degraded or refused and why, and what is to do.</summary>
internal static class StatusCommand
{
    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = Given.Estate();
        Command command = new("status", "Say what is done, degraded or refused and why, and what is still to do.")
        {
            folder,
        };
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            IReadOnlyList<Block> blocks = new BlockBook(estate).Blocks();
            RunEngine engine = EstateRun.Engine(estate, new SilentProgress());
            IReadOnlyList<StepPlan> steps = engine.Plan(RunOrder.Of(estate), cancellation);
            StepWarning[] warnings = [.. engine.Records().SelectMany(record => record.Warnings)];
            double area = blocks.Sum(block => block.AreaSquareMetres);
            speech.Line(
                $"{estate.Settings.Name}: UTM zone {UtmZoneText.ZoneOf(estate.ReferenceSystem)}, {blocks.Count} {(blocks.Count == 1 ? "block" : "blocks")}, {Messages.Area(area, estate.Settings.Units)}, {estate.Surveys().Count} {(estate.Surveys().Count == 1 ? "survey" : "surveys")}"
            );
            foreach (StepPlan step in steps)
            {
                speech.Line("  " + Messages.Step(step));
            }

            foreach (StepWarning warning in warnings)
            {
                speech.Warning($"{warning.About}: {warning.Message}. {warning.Remedy}".TrimEnd());
            }

            if (blocks.Count == 0)
            {
                speech.Line(Messages.NextBlocks(parsed.GetRequiredValue(folder)));
            }

            speech.Result(
                new
                {
                    ok = true,
                    name = estate.Settings.Name,
                    referenceSystem = UtmZoneText.CodeOf(estate.ReferenceSystem),
                    blocks = blocks.Count,
                    areaSquareMetres = Math.Round(area, 1),
                    surveys = estate.Surveys().Select(survey => survey.Id),
                    steps = steps.Select(step => new
                    {
                        step = step.Step.Key.Step,
                        subject = step.Step.Key.Subject,
                        step.Need,
                        step.Because,
                        state = step.Record?.State,
                        reasons = step.Record?.Reasons ?? [],
                    }),
                    warnings,
                }
            );
            return ExitCodes.Done;
        });
        return command;
    }
}
