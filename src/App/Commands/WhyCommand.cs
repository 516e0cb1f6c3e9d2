using System.CommandLine;
using Hillrow.Estate;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>Says how an output, or a number of the findings, came about.</summary>
internal static class WhyCommand
{
    public static Command Create(CommandOutput speech)
    {
        // One or two words: as with the other commands the estate may stand first.
        Argument<string[]> words = new("[ESTATE] OUTPUT")
        {
            Arity = new ArgumentArity(1, 2),
            Description =
                "The estate's folder, if it is not found from OUTPUT or the working folder; and a file or folder that a run made; a step: mapping, or 2026-03-14/mapping; or a finding: blocks.Ladera.share, plant.1204, patches.3, or the key beside a number of the report.",
        };
        Option<string?> folder = Given.Text(
            "--estate",
            "The estate's folder; found from OUTPUT or the working folder if not said.",
            "DIR"
        );
        Command command = new(
            "why",
            "Say how an output or a number came about: inputs, method, formula, settings, source."
        )
        {
            words,
            folder,
        };
        command.SetAction(parsed =>
        {
            string[] said = parsed.GetRequiredValue(words);
            string asked = said[^1];
            string? named = parsed.GetValue(folder) ?? (said.Length == 2 ? said[0] : null);
            EstateFolder estate = EstateFolder.Open(named ?? FindEstate(asked));
            RunEngine engine = EstateRun.Engine(estate, new SilentProgress());
            IReadOnlyList<StepRecord> records = engine.Why(asked);
            if (records.Count == 0 && WhyFinding.Tell(speech, estate, engine, asked))
            {
                return ExitCodes.Done;
            }

            if (records.Count == 0)
            {
                string[] steps = [.. engine.Records().Select(record => record.Key.Step).Distinct()];
                string near = NearestWord.To(asked, steps) is { } word ? $"Did you mean {word}? " : "";
                throw new InputProblemException(
                    asked,
                    $"is nothing that a run made in {estate.Root}.",
                    steps.Length == 0
                        ? "No run has ended there yet."
                        : $"{near}There are the steps {string.Join(", ", steps)}, and findings such as estate.share, blocks.NAME.share, patches.1, plant.NUMBER."
                );
            }

            foreach (StepRecord record in records)
            {
                Tell(speech, record);
            }

            speech.Result(new { ok = true, records });
            return ExitCodes.Done;
        });
        return command;
    }

    internal static void Tell(CommandOutput speech, StepRecord record)
    {
        speech.Line($"{record.Key}: {record.State.ToString().ToLowerInvariant()}");
        foreach (string reason in record.Reasons)
        {
            speech.Line($"  because     {reason}");
        }

        speech.Line($"  method      {record.Method}");
        speech.Line($"  source      {record.Source}");
        speech.Line($"  settings    {record.Settings}");
        foreach (InputRecord input in record.Inputs)
        {
            speech.Line($"  input       {input.Name}: {input.What} ({Short(input.Digest)})");
        }

        foreach (OutputRecord file in record.Outputs)
        {
            speech.Line($"  output      {record.Place}/{file.File} ({file.Bytes} bytes, {Short(file.Digest)})");
        }

        foreach (StepFigure figure in record.Figures)
        {
            speech.Line(FormattableString.Invariant($"  figure      {figure.Name} = {figure.Value:G6}"));
        }

        foreach (StepWarning warning in record.Warnings)
        {
            speech.Line($"  warning     {warning.About}: {warning.Message}. {warning.Remedy}".TrimEnd());
        }

        speech.Line($"  program     {record.Program.Program}");
        speech.Line($"  runtime     {record.Program.Runtime}, {record.Program.Processor}");
        speech.Line($"  libraries   {string.Join(", ", record.Program.Libraries)}");
    }

    private static string Short(string digest) => digest[..Math.Min(12, digest.Length)];

    private static string FindEstate(string output)
    {
        string start = Path.Exists(output) ? Path.GetFullPath(output) : Directory.GetCurrentDirectory();
        for (string? at = start; at is not null; at = Path.GetDirectoryName(at))
        {
            if (File.Exists(Path.Combine(at, EstateToml.FileName)))
            {
                return at;
            }
        }

        throw new InputProblemException(
            output,
            "lies in no estate.",
            $"Name the estate before it: `hillrow why ESTATE {output}`."
        );
    }
}
