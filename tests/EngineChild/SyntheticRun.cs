using System.Security.Cryptography;
using System.Text;
using Hillrow.Estate;
using Hillrow.Numerics;
using Microsoft.Data.Sqlite;

namespace Hillrow.EngineChild;

/// <summary>
/// Twenty steps over two surveys and the whole estate, whose files are worked out of their inputs' bytes, so that any
/// slip in what a step reads shows in everything behind it. Every third step also leaves rows, one is degraded, one is
/// refused for want of data, and one optional reader copes without it.
/// </summary>
public static class SyntheticRun
{
    private const int StepsPerSurvey = 9;
    private static readonly string[] SurveyIds = ["2026-02-03", "2026-05-11"];

    /// <summary>Makes an estate with two surveys and an input folder for each.</summary>
    public static EstateFolder MakeEstate(string path, ulong seed)
    {
        EstateFolder estate = EstateFolder.Create(
            path,
            EstateSettings.Plain("Vale of the Test", Earth.ReferenceSystem.Utm(18, north: false), Language.English)
        );
        foreach (string id in SurveyIds)
        {
            SurveyFolder survey = estate.AddSurvey(id);
            Directory.CreateDirectory(survey.Captures);
            for (int file = 0; file < 6; file++)
            {
                byte[] bytes = Bytes(FormattableString.Invariant($"{seed} {id} {file}"), 40_000);
                File.WriteAllBytes(Path.Combine(survey.Captures, $"frame-{file}.bin"), bytes);
            }
        }

        return estate;
    }

    /// <param name="millisecondsPerStep">Time each step takes besides its writing, to widen the window for kills.</param>
    public static IReadOnlyList<RunStep> Order(int millisecondsPerStep)
    {
        List<RunStep> order = [];
        foreach (string id in SurveyIds)
        {
            for (int number = 0; number < StepsPerSurvey; number++)
            {
                order.Add(SurveyStep(id, number, millisecondsPerStep));
            }
        }

        order.Add(EstateStep("compare", [.. SurveyIds.Select(id => Key(id, StepsPerSurvey - 1))], millisecondsPerStep));
        order.Add(EstateStep("report", [new StepKey("compare", StepKey.WholeEstate)], millisecondsPerStep));
        return order;
    }

    private static StepKey Key(string id, int number) => new(FormattableString.Invariant($"work-{number}"), id);

    private static RunStep SurveyStep(string id, int number, int milliseconds)
    {
        List<StepInput> inputs =
            number == 0
                ? [StepInput.Folder("captures", $"surveys/{id}/captures")]
                : [StepInput.Output("before", Key(id, number - 1), optional: number == 7)];
        if (number > 2 && number != 7)
        {
            inputs.Add(StepInput.Output("start", Key(id, 0)));
        }

        return new RunStep(
            Key(id, number),
            new Words(
                $"working on part {number}",
                $"trabajando en la parte {number}",
                $"trabalhando na parte {number}"
            ),
            "hash chain",
            "own",
            inputs,
            StepSettings.TextOf(new { number, rounds = 3 }),
            context => Work(context, id, number, milliseconds)
        );
    }

    private static RunStep EstateStep(string name, StepKey[] from, int milliseconds) =>
        new(
            new StepKey(name, StepKey.WholeEstate),
            new Words("comparing", "comparando", "comparando"),
            "hash of hashes",
            "own",
            [
                .. from.Select((key, index) => StepInput.Output($"part-{index}", key)),
                StepInput.Table("treatments", "treatments"),
            ],
            StepSettings.None,
            context => Work(context, StepKey.WholeEstate, name.Length, milliseconds)
        );

    private static StepResult Work(StepContext context, string subject, int number, int milliseconds)
    {
        if (number == 6 && subject == SurveyIds[1])
        {
            return new StepResult(StageOutcome.Refused("the second survey has no panel. Fly it again."));
        }

        string seen = ReadAll(context);
        int files = 1 + (number % 4);
        for (int file = 0; file < files; file++)
        {
            byte[] bytes = Bytes(FormattableString.Invariant($"{seen} {number} {file}"), 20_000 + (number * 7_001));
            string path = context.NewFile(file == 0 ? "main.bin" : $"parts/part-{file}.bin");
            // In pieces, so that a kill can fall between two of them.
            using FileStream stream = File.Create(path);
            for (int piece = 0; piece < 4; piece++)
            {
                stream.Write(
                    bytes,
                    piece * bytes.Length / 4,
                    ((piece + 1) * bytes.Length / 4) - (piece * bytes.Length / 4)
                );
                stream.Flush();
                context.Report(((file * 4.0) + piece + 1) / (files * 4.0));
                context.Cancellation.WaitHandle.WaitOne(milliseconds / (files * 4));
            }
        }

        StageOutcome outcome =
            number == 4 && subject == SurveyIds[0]
                ? StageOutcome.Degraded("clouds passed over the first survey. Read its values with care.")
                : StageOutcome.Done;
        return new StepResult(outcome)
        {
            Figures = [new StepFigure("filesWritten", files)],
            Warnings = number == 2 ? [new StepWarning("blur", subject, "two frames are blurred", "Fly slower.")] : [],
            CommitRows = number % 3 == 0 ? connection => LeaveRows(connection, subject, number, seen) : null,
        };
    }

    private static void LeaveRows(SqliteConnection connection, string subject, int number, string seen)
    {
        string question = FormattableString.Invariant($"part {number}");
        GeoPackageConnection.Execute(
            connection,
            "DELETE FROM findings WHERE survey = $survey AND question = $question",
            ("$survey", subject),
            ("$question", question)
        );
        for (int row = 0; row < 25; row++)
        {
            GeoPackageConnection.Execute(
                connection,
                "INSERT INTO findings (survey, question, plant, value, evidence) VALUES ($survey, $question, $plant, $value, $seen)",
                ("$survey", subject),
                ("$question", question),
                ("$plant", row),
                ("$value", Math.Sin(row + number)),
                ("$seen", seen[..20])
            );
        }
    }

    private static string ReadAll(StepContext context)
    {
        StringBuilder seen = new();
        foreach (string name in new[] { "captures", "before", "start", "part-0", "part-1" })
        {
            string? path = TryPath(context, name);
            if (path is null)
            {
                continue;
            }

            foreach (string file in Directory.EnumerateFiles(path, "*", SearchOption.AllDirectories).Order())
            {
                seen.Append(Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(file))));
                seen.Append(Path.GetRelativePath(path, file));
            }
        }

        return ContentHashes.OfText(seen.ToString());
    }

    private static string? TryPath(StepContext context, string name)
    {
        try
        {
            return context.Has(name) ? context.PathOf(name) : null;
        }
        catch (ArgumentException)
        {
            return null;
        }
    }

    private static byte[] Bytes(string seed, int count)
    {
        SplittableRandom random = new SplittableRandom(1).Split(seed);
        byte[] bytes = new byte[count];
        for (int at = 0; at < count; at++)
        {
            bytes[at] = (byte)random.NextInt32(256);
        }

        return bytes;
    }
}
