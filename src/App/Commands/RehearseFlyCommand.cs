using System.CommandLine;
using System.Globalization;
using Hillrow.Estate;
using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Rehearsal;

namespace Hillrow.App.Commands;

/// <summary>Flies the modelled estate and leaves a card folder.</summary>
internal static class RehearseFlyCommand
{
    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = Given.Estate();
        Option<string?> truth = RehearseEstateCommand.TruthOption();
        Option<string?> date = Given.Text("--date", "One of the rehearsal's days.", "YYYY-MM-DD");
        Option<string?> name = Given.Text("--name", "Short name when a day has several flights.", "WORD");
        Option<string?> card = Given.Text("--card", "Where the pictures go; ESTATE-cards/DATE when not said.", "DIR");
        Option<string?> dialect = Given.Text(
            "--dialect",
            $"How the camera writes: {string.Join(", ", CardDialect.All.Select(one => one.Name))}.",
            "NAME"
        );
        Option<string?> start = Given.Text("--start", "First picture, UTC; 14:30 when not said.", "HH:MM");
        Option<string?> clouds = Given.Text("--clouds", "Cloud cover, 0 to 1; 0 when not said.", "SHARE");
        Option<string?> captures = Given.Text("--captures", "Pictures over the crop; 40 when not said.", "NUMBER");
        Option<string?> height = Given.Text("--height", "Above ground; 65 when not said.", "METRES");
        Option<string?> rays = Given.Text(
            "--rays",
            "Rays a pixel: 1, 4, 9 or 16; 4 when not said. Fewer make a coarser picture sooner.",
            "NUMBER"
        );
        Option<string?> plan = Given.Text(
            "--plan",
            "Fly a plan that `hillrow plan` left in the estate, instead of plain lines; its captures and heights rule.",
            "NAME"
        );
        Option<string?> sortie = Given.Text("--sortie", "Of the plan, only this one.", "NUMBER");
        Option<string?> threads = Given.Text("--threads", "0 takes every processor.", "NUMBER");
        Command command = new(
            "fly",
            "Fly the modelled estate and leave a card as the camera would; goes on where an earlier try stopped."
        )
        {
            folder,
            truth,
            date,
            name,
            card,
            dialect,
            start,
            clouds,
            captures,
            height,
            rays,
            plan,
            sortie,
            threads,
        };
        command.SetAction(parsed =>
        {
            string root = parsed.GetRequiredValue(folder);
            EstateFolder estate = EstateFolder.Open(root);
            TruthFolder kept = TruthFolder.Open(parsed.GetValue(truth) ?? TruthFolder.Beside(root));
            RehearsedEstate model = RehearsedEstate.Build(kept.Settings());
            DateOnly day = Given.Day("--date", parsed.GetValue(date)) ?? model.Settings.Dates[0];
            int? only = (int?)Given.Number("--sortie", parsed.GetValue(sortie));
            IReadOnlyList<PlannedCapture>? flown = PlannedWay(estate, model, parsed.GetValue(plan), only, day);
            string id = SurveyFolder.Checked(
                parsed.GetValue(name) is { } word
                    ? string.Create(CultureInfo.InvariantCulture, $"{day:yyyy-MM-dd}-{word}")
                    : day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)
            );
            CardFlightSettings settings = new(id, day, CardDialect.Named(parsed.GetValue(dialect) ?? "brisa"));
            settings = settings with
            {
                Start = Start(day, parsed.GetValue(start)),
                CloudCover = Given.Number("--clouds", parsed.GetValue(clouds)) ?? settings.CloudCover,
                Captures = (int?)Given.Number("--captures", parsed.GetValue(captures)) ?? settings.Captures,
                HeightMetres = Given.Number("--height", parsed.GetValue(height)) ?? settings.HeightMetres,
                Samples = (int?)Given.Number("--rays", parsed.GetValue(rays)) ?? settings.Samples,
                Plan = flown,
                Threads = (int?)Given.Number("--threads", parsed.GetValue(threads)) is > 0 and { } many
                    ? many
                    : settings.Threads,
            };
            string cardFolder = Path.GetFullPath(parsed.GetValue(card) ?? Path.Combine(estate.Root + "-cards", id));
            RehearseCommand.RefuseInside(estate, cardFolder, "--card");
            CardFlightResult result = CardFlight.Fly(
                model,
                settings,
                cardFolder,
                kept,
                new PlainProgress(speech),
                cancellation
            );
            string profile = RehearseEstateCommand.BringProfile(estate, model, settings.Dialect);
            speech.Line(
                $"{result.Captures} captures are in {cardFolder} ({result.Made} made now), written for the camera profile {profile}."
            );
            speech.Result(
                new
                {
                    ok = true,
                    flight = id,
                    card = cardFolder,
                    profile,
                    groundControl = Path.Combine(cardFolder, "ground-control"),
                    captures = result.Captures,
                    made = result.Made,
                }
            );
            return ExitCodes.Done;
        });
        return command;
    }

    /// <summary>The plan's triggers in the model's frame; null when no plan is asked for.</summary>
    private static IReadOnlyList<PlannedCapture>? PlannedWay(
        EstateFolder estate,
        RehearsedEstate model,
        string? name,
        int? sortie,
        DateOnly day
    )
    {
        if (name is null)
        {
            return sortie is null
                ? null
                : throw new InputProblemException(
                    "--sortie",
                    "needs a plan.",
                    "Name the plan with --plan, or leave --sortie out."
                );
        }

        // By name it is there, or Choose says what is.
        FiledPlan filed = FiledPlans.Choose(estate, name, day)!;
        return PlanFlown.Of(filed, sortie, model.Place.Frame);
    }

    private static DateTimeOffset? Start(DateOnly day, string? text) =>
        text is null ? null
        : TimeOnly.TryParseExact(text, "HH:mm", CultureInfo.InvariantCulture, DateTimeStyles.None, out TimeOnly time)
            ? new DateTimeOffset(day, time, TimeSpan.Zero)
        : throw new InputProblemException("--start", $"\"{text}\" is no time.", "Write HH:MM in UTC, such as 14:30.");
}
