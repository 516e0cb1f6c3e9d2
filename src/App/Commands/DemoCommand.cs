using System.CommandLine;
using System.Diagnostics;
using System.Globalization;
using Hillrow.Estate;
using Hillrow.Numerics;
using Hillrow.Rehearsal;

namespace Hillrow.App.Commands;

/// <summary>The whole job once, on an invented estate: model it, fly it at every date, run, score, leave the report.</summary>
internal static class DemoCommand
{
    private const string EstateName = "estate";

    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = new("DIR") { Description = "A folder that is new or empty, or an earlier demo's." };
        Option<string?> seed = Given.Text("--seed", "Which estate; 1 when not said.", "NUMBER");
        Option<string?> hectares = Given.Text("--hectares", "Size, 0.3 to 6; 2 when not said.", "HECTARES");
        Option<string?> captures = Given.Text("--captures", "Pictures per flight; 40 when not said.", "NUMBER");
        Command command = new(
            "demo",
            "Do the whole job once on an invented estate: fly it twice, run everything, leave the report. Stopped, it goes on next time."
        )
        {
            folder,
            seed,
            hectares,
            captures,
        };
        command.SetAction(parsed =>
        {
            RehearsedEstateSettings asked = new();
            asked = asked with
            {
                Seed = RehearseCommand.Seed(parsed.GetValue(seed)) ?? asked.Seed,
                Hectares = Given.Number("--hectares", parsed.GetValue(hectares)) ?? asked.Hectares,
            };
            string root = Path.Combine(Path.GetFullPath(parsed.GetRequiredValue(folder)), EstateName);
            Demo demo = new(speech, root, (int?)Given.Number("--captures", parsed.GetValue(captures)));
            return demo.Do(asked, cancellation);
        });
        return command;
    }

    /// <summary>One demo's way through the job, with the time each part took.</summary>
    private sealed class Demo(CommandOutput speech, string root, int? captures)
    {
        private readonly Dictionary<string, double> seconds = [];

        public int Do(RehearsedEstateSettings asked, CancellationToken cancellation)
        {
            (EstateFolder estate, RehearsedEstate model, TruthFolder truth) = Timed("modelling", () => Begin(asked));
            foreach (DateOnly day in model.Settings.Dates)
            {
                Timed("flying", () => Fly(estate, model, truth, day, cancellation));
            }

            RunSummary summary = Timed("running", () => EstateRun.Do(estate, speech, cancellation));
            speech.Line(Messages.Ran(summary));
            string? report = summary.Cancelled ? null : estate.CurrentReport();
            RehearsalScore? score = null;
            if (!summary.Cancelled)
            {
                score = Timed("scoring", () => RehearseScoreCommand.ScoreOf(estate, truth));
                RehearseScoreCommand.Tell(speech, score);
            }

            speech.Line(report is null ? Messages.DemoEstate(estate.Root) : Messages.Report(report));
            int code = EstateRun.ExitCodeOf(summary);
            speech.Result(
                new
                {
                    ok = code == ExitCodes.Done,
                    stopped = summary.Cancelled,
                    estate = estate.Root,
                    truth = TruthFolder.Beside(root),
                    report,
                    seconds,
                    steps = summary.Steps.Select(EstateRun.Shape),
                    score = score is null ? null : RehearseScoreCommand.Shape(score, ok: true),
                }
            );
            return code;
        }

        private (EstateFolder, RehearsedEstate, TruthFolder) Begin(RehearsedEstateSettings asked)
        {
            RefuseForeign(Path.GetDirectoryName(root)!);
            string beside = TruthFolder.Beside(root);
            if (File.Exists(Path.Combine(root, EstateToml.FileName)) && Directory.Exists(beside))
            {
                TruthFolder kept = TruthFolder.Open(beside);
                return (EstateFolder.Open(root), RehearsedEstate.Build(kept.Settings()), kept);
            }

            RehearsedEstate model = RehearsedEstate.Build(asked);
            Directory.CreateDirectory(Path.GetDirectoryName(root)!);
            TruthFolder truth = TruthFolder.Create(beside, root, asked);
            EstateFolder estate = RehearseEstateCommand.Make(root, model);
            speech.Line(Messages.Made(estate));
            return (estate, model, truth);
        }

        /// <summary>Nothing of the demo's may land among somebody's own files.</summary>
        private static void RefuseForeign(string folder)
        {
            string? foreign = Directory.Exists(folder)
                ? Directory
                    .EnumerateFileSystemEntries(folder)
                    .Select(entry => Path.GetFileName(entry))
                    .FirstOrDefault(name =>
                        name != EstateName && !name.StartsWith(EstateName + "-", StringComparison.Ordinal)
                    )
                : null;
            if (foreign is not null)
            {
                throw new InputProblemException(
                    folder,
                    $"holds other files already, \"{foreign}\" among them.",
                    "Name a folder that is new or empty, or an earlier demo's."
                );
            }
        }

        private int Fly(
            EstateFolder estate,
            RehearsedEstate model,
            TruthFolder truth,
            DateOnly day,
            CancellationToken cancellation
        )
        {
            string id = day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
            if (estate.Surveys().Any(survey => survey.Id == id && File.Exists(survey.SettingsFile)))
            {
                return 0;
            }

            CardFlightSettings flight = new(id, day, CardDialect.All[0]);
            flight = flight with { Captures = captures ?? flight.Captures };
            string card = Path.Combine(estate.Root + "-cards", id);
            CardFlightResult flown = CardFlight.Fly(
                model,
                flight,
                card,
                truth,
                new PlainProgress(speech),
                cancellation
            );
            SurveyAdded added = SurveyAddition.Add(
                estate,
                [card],
                // Links need rights of their own on Windows; a copy always works.
                new SurveyWishes(day, null, flight.Dialect.Name, Link: !OperatingSystem.IsWindows()),
                null,
                cancellation
            );
            speech.Line(Messages.Added(added));
            return flown.Made;
        }

        private T Timed<T>(string part, Func<T> work)
        {
            Stopwatch watch = Stopwatch.StartNew();
            T result = work();
            seconds[part] = Math.Round(seconds.GetValueOrDefault(part) + watch.Elapsed.TotalSeconds, 1);
            return result;
        }
    }
}
