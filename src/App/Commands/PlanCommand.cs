using System.CommandLine;
using System.Globalization;
using Hillrow.Earth;
using Hillrow.Estate;
using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Sheets;

namespace Hillrow.App.Commands;

/// <summary>Plans a flight over an estate's blocks, or over targets, and leaves what pilot and autopilot need.</summary>
internal static class PlanCommand
{
    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        PlanOptions options = new();
        Command command = new(
            "plan",
            "Plan a flight: lines that keep overlap and height on the slope, shared out to batteries, in the right light."
        );
        options.AddTo(command);
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(options.EstateOf(parsed));
            int limit = estate.Settings.Limits.Threads;
            int threads = limit > 0 ? limit : Environment.ProcessorCount;
            PlanningSettings settings = options.Settings(parsed, estate.Settings.Limits) with { Threads = threads };
            Paper paper = options.PaperOf(parsed);
            PlanningInput input = PlanInputs.Gather(estate, options.Wishes(parsed), threads);
            PlanningResult plan = PlanningStage.Run(input, settings, new PlainProgress(speech), cancellation);
            string name = options.NameOf(parsed, settings);
            string folder = PlanFolder.Write(estate, plan, name, paper);
            Tell(speech, plan, folder);
            speech.Result(Shape(plan, name, folder));
            return ExitCodes.Done;
        });
        return command;
    }

    private static void Tell(CommandOutput speech, PlanningResult plan, string folder)
    {
        static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
        double hectares = plan.Input.Blocks.Sum(block => block.AreaSquareMetres) / 10_000;
        speech.Line(
            Text(
                $"{plan.Sorties.Count} {(plan.Sorties.Count == 1 ? "sortie" : "sorties")} over {hectares:0.0} ha, {plan.CaptureCount} captures, {plan.Sorties.Sum(sortie => sortie.Seconds) / 60:0} min in the air, {plan.HeightMetres:0} m above ground."
            )
        );
        foreach (Sortie sortie in plan.Sorties)
        {
            speech.Line(
                Text(
                    $"  {sortie.Number}: {sortie.Lines.Count} lines {sortie.LineMetres / 1000:0.0} km, turns {sortie.TurnMetres / 1000:0.0} km, transit {sortie.TransitMetres / 1000:0.0} km, climbs {sortie.ClimbMetres:0} m, {sortie.Captures.Count} captures, {sortie.Seconds / 60:0.0} min, {100 * sortie.EnergyWattHours / plan.Input.Aircraft.BatteryWattHours:0} % of the battery, from {sortie.Home.Name}"
                )
            );
        }

        speech.Line(
            Text(
                $"{plan.CapturesPerHectare:0} captures a hectare, edges included; the inside of a level field without errors would take {plan.LevelCapturesPerHectare:0}."
            )
        );
        speech.Line(
            Text(
                $"Every place is planned to be seen by {plan.Settings.Views} captures; the least seen by {plan.Coverage.LeastViews}, half of them by {plan.Coverage.MedianViews:0}. Pixels {100 * plan.Coverage.FinestPixelMetres:0.0} to {100 * plan.Coverage.CoarsestPixelMetres:0.0} cm."
            )
        );
        foreach (string caution in PlanCautions.Always.Take(1).Concat(plan.Cautions))
        {
            speech.Warning(caution);
        }

        speech.Line($"The plan: {folder}");
    }

    private static object Shape(PlanningResult plan, string name, string folder) =>
        new
        {
            ok = true,
            plan = name,
            folder,
            captures = plan.CaptureCount,
            capturesPerHectare = plan.CapturesPerHectare,
            levelCapturesPerHectare = plan.LevelCapturesPerHectare,
            heightMetres = plan.HeightMetres,
            storageBytes = plan.StorageBytes,
            blurPixels = plan.LargestBlurPixels,
            views = new
            {
                asked = plan.Settings.Views,
                least = plan.Coverage.LeastViews,
                median = plan.Coverage.MedianViews,
                shareOnRaisedGround = plan.Coverage.RaisedShare,
            },
            fields = plan.Fields.Select(field => new
            {
                field.Blocks,
                field.Chosen,
                field.Contour,
            }),
            sorties = plan.Sorties.Select(sortie => new
            {
                sortie.Number,
                home = sortie.Home.Name,
                lines = sortie.Lines.Count,
                captures = sortie.Captures.Count,
                sortie.Seconds,
                sortie.EnergyWattHours,
                sortie.BudgetWattHours,
                sortie.LineMetres,
                sortie.TurnMetres,
                sortie.TransitMetres,
                sortie.ClimbMetres,
                sortie.HighestAboveHomeMetres,
                sortie.LeastClearanceMetres,
            }),
            cautions = plan.Cautions,
        };
}
