using System.CommandLine;
using System.Globalization;
using Hillrow.Estate;
using Hillrow.Intake;

namespace Hillrow.App.Commands;

/// <summary>The field check: go or re-fly, before leaving the hill.</summary>
internal static class CheckCommand
{
    /// <summary>Left-out captures told in text; check.json has all.</summary>
    private const int MostTold = 20;

    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = Given.Estate();
        Argument<string?> survey = new("SURVEY")
        {
            Description = "The survey's id; the newest if not said.",
            Arity = ArgumentArity.ZeroOrOne,
        };
        Option<string[]> keep = Given.Texts(
            "--keep",
            "Have this capture in the map whatever is found, once for each: a file of it, or its number.",
            "CAPTURE"
        );
        Option<string[]> leaveOut = Given.Texts(
            "--leave-out",
            "Leave this capture out of the map, once for each.",
            "CAPTURE"
        );
        Option<string[]> asFound = Given.Texts(
            "--as-found",
            "Go by what is found of this capture again, once for each.",
            "CAPTURE"
        );
        Option<string?> because = Given.Text("--because", "Why, kept with the survey.", "TEXT");
        Option<string?> plan = Given.Text("--plan", "The plan that was flown; that of the day if not said.", "NAME");
        Command command = new("check", "Before leaving the hill: is the survey whole? Go, or what to fly again.")
        {
            folder,
            survey,
            keep,
            leaveOut,
            asFound,
            because,
            plan,
        };
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            int limit = estate.Settings.Limits.Threads;
            int threads = limit > 0 ? limit : Environment.ProcessorCount;
            PlainProgress progress = new(speech);
            (SurveyFolder chosen, FieldCheckInput input) = FieldChecks.Gather(
                estate,
                parsed.GetValue(survey),
                new SaidOfCaptures
                {
                    Keep = parsed.GetValue(keep) ?? [],
                    LeaveOut = parsed.GetValue(leaveOut) ?? [],
                    AsFound = parsed.GetValue(asFound) ?? [],
                    Because = parsed.GetValue(because) ?? "",
                },
                threads,
                progress,
                cancellation,
                plan: parsed.GetValue(plan)
            );
            FieldCheckSettings settings = new() { Threads = threads };
            FieldCheckResult check = FieldCheck.Run(input, settings, progress, cancellation);
            string page = FieldChecks.Keep(estate, chosen, input, check, settings);
            Tell(speech, check);
            speech.Line($"The page: {page}");
            speech.Result(Shape(chosen, check, page));
            return ExitCodes.Done;
        });
        return command;
    }

    /// <summary>The check as people's programs read it.</summary>
    internal static object Shape(SurveyFolder survey, FieldCheckResult check, string page) =>
        new
        {
            ok = true,
            survey = survey.Id,
            verdict = check.Go ? "go" : "re-fly",
            minutes = Math.Ceiling(check.ReflyMinutes),
            check.Captures,
            check.SharpCaptures,
            check.ForwardOverlap,
            check.SideOverlap,
            check.Reasons,
            check.Cautions,
            check.Blocks,
            holes = check.Holes.Select(hole => new
            {
                hole.Block,
                hole.AreaSquareMetres,
                hole.WidthMetres,
                hole.Minutes,
            }),
            check.Panel,
            light = new { check.Light.Steady, check.Light.Spread },
            achieved = new
            {
                lines = check.Achieved.Lines,
                pixels = check.Achieved.Pixels,
                plan = check.Achieved.Plan,
                linesFlown = check.Achieved.Plan?.LinesFlown,
            },
            check.Findings,
            exclusions = check.Exclusions.Select(one => new
            {
                one.Capture,
                one.File,
                one.Faults,
                one.Reason,
                one.LeftOut,
                decision = one.Decision?.Kind,
                because = one.Decision?.Because,
            }),
            page,
            holesFile = Path.Combine(survey.Root, "holes.geojson"),
        };

    internal static void Tell(CommandOutput speech, FieldCheckResult check)
    {
        static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
        speech.Line(check.Go ? "Go." : Text($"Re-fly, about {Math.Ceiling(check.ReflyMinutes):0} min."));
        foreach (string reason in check.Reasons)
        {
            speech.Line($"  {reason}");
        }

        speech.Line(
            Text($"{check.SharpCaptures} of {check.Captures} captures count for the map")
                + (
                    check is { ForwardOverlap: { } forward, SideOverlap: { } side }
                        ? Text($"; overlap forward {100 * forward:0} %, side {100 * side:0} %.")
                        : "."
                )
        );
        speech.Line(
            check.Placing.ByPictures
                ? Text(
                    $"Places by the pictures: {check.Placing.Tied} of {check.Placing.Captures} captures share ground with a neighbour; widths of holes to ± {check.Placing.WidthSigmaMetres:0.#} m, and all lies off as far as the receiver does."
                )
                : Text(
                    $"Places by the receiver alone: the pictures share too little that can be told apart; widths of holes to ± {check.Placing.WidthSigmaMetres:0.#} m."
                )
        );
        if (check.Achieved is { Pixels: { } pixels, Lines: var lines })
        {
            speech.Line(
                Text(
                    $"{lines.Count} lines told apart; pixels {100 * pixels.FinestMetres:0.0} to {100 * pixels.CoarsestMetres:0.0} cm, half below {100 * pixels.MiddleMetres:0.0} cm."
                )
            );
        }

        if (check.Achieved.Plan is { } plan)
        {
            speech.Line(
                Text(
                    $"Of plan {plan.Plan}: {plan.AchievedCaptures} of {plan.PlannedCaptures} captures, {plan.LinesFlown} of {plan.Lines.Count} lines; asked forward {100 * plan.WantedForwardOverlap:0} %, side {100 * plan.WantedSideOverlap:0} %, pixels {100 * plan.WantedPixelMetres:0.0} cm."
                )
            );
        }

        foreach (BlockCoverage block in check.Blocks)
        {
            speech.Line(
                Text(
                    $"  {block.Block}: least {block.LeastViews} views, half by {block.MedianViews:0}; {100 * block.ShareWellSeen:0.0} % well seen; pixels {100 * block.FinestPixelMetres:0.0} to {100 * block.CoarsestPixelMetres:0.0} cm"
                )
            );
        }

        foreach (CaptureExclusion one in check.Exclusions.Take(MostTold))
        {
            speech.Line($"  {(one.LeftOut ? "out " : "kept")} {one.Capture} ({one.File}): {one}");
        }

        if (check.Exclusions.Count > MostTold)
        {
            speech.Line($"  and {check.Exclusions.Count - MostTold} more, in check.json.");
        }

        foreach (string caution in check.Cautions)
        {
            speech.Warning(caution);
        }
    }
}
