using System.CommandLine;
using System.Globalization;
using Hillrow.Intake;

namespace Hillrow.App.Commands;

/// <summary>Writes a camera profile from a folder of the camera's files.</summary>
internal static class CameraLearnCommand
{
    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = new("FOLDER")
        {
            Description = "One camera's files, best of a whole flight; folders below are searched too.",
        };
        Option<string?> output = Given.Text(
            "--output",
            "Profile to write; the camera's name beside the current folder if not said.",
            "FILE"
        );
        Option<string[]> answer = new("--answer")
        {
            Description = "Settles a doubt: key=value, as the doubt says. May be given several times.",
            HelpName = "KEY=VALUE",
        };
        Option<bool> properties = new("--properties") { Description = "List every property that the files have." };
        Command command = new(
            "learn",
            "Learn a camera from its files: where they say what, in which unit; what is unsure is told."
        )
        {
            folder,
            output,
            answer,
            properties,
        };
        command.SetAction(parsed =>
        {
            LearnedCamera learned = CameraLearning.Run(
                parsed.GetRequiredValue(folder),
                LearningAnswers.Parse(parsed.GetValue(answer) ?? []),
                cancellation
            );
            string file = parsed.GetValue(output) ?? FileNameOf(learned.Profile.Name);
            ProfileFile.Write(file, learned.Profile.ToToml());
            Tell(speech, learned, parsed.GetValue(properties));
            speech.Line($"The profile: {file}");
            speech.Result(
                new
                {
                    ok = true,
                    file,
                    sure = learned.Doubts.Count == 0,
                    camera = learned.Profile.Name,
                    learned.Files,
                    bands = learned.Profile.Bands.Select(band => new
                    {
                        band.Name,
                        band.CentreNanometres,
                        band.WidthNanometres,
                        band.Sensor.Columns,
                        band.Sensor.Rows,
                        band.Sensor.BitDepth,
                        band.Sensor.Placement,
                    }),
                    quantities = learned.Quantities,
                    doubts = learned.Doubts,
                    properties = learned.Properties,
                    check = learned.Check,
                }
            );
            return ExitCodes.Done;
        });
        return command;
    }

    private static void Tell(CommandOutput speech, LearnedCamera learned, bool all)
    {
        static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
        if (all)
        {
            foreach (LearnedProperty one in learned.Properties)
            {
                string example = one.Example.Length > 48 ? one.Example[..48] + "…" : one.Example;
                speech.Line(
                    Text($"  {one.Place} = {example}  ({one.Varies}, {one.Distinct} values in {one.Frames} frames)")
                );
            }
        }

        speech.Line(
            Text(
                $"{learned.Profile.Name}: {learned.Files} files, {learned.Check.Captures} captures, {learned.Profile.Bands.Count} bands"
            )
        );
        foreach (Imaging.CameraBand band in learned.Profile.Bands)
        {
            speech.Line(
                Text(
                    $"  band {band.Name}: {band.CentreNanometres:0.#} nm, {band.WidthNanometres:0.#} nm wide, {band.Sensor.Columns} × {band.Sensor.Rows}, {band.Sensor.BitDepth} bits"
                )
            );
        }

        foreach (LearnedQuantity one in learned.Quantities)
        {
            string mark = one.Certainty == Certainty.Doubtful ? "?" : " ";
            speech.Line(
                $" {mark} {one.Quantity} <- {one.Place}{(one.Unit.Length > 0 ? " in " + one.Unit : "")}: {one.Why}"
            );
        }

        speech.Line(Text($"Read back: {learned.Check.Complete} of {learned.Check.Captures} captures have every band."));
        foreach (LearningDoubt doubt in learned.Doubts)
        {
            speech.Warning($"unsure of {doubt.About}: {doubt.What} Answer: {doubt.Answer}");
        }
    }

    private static string FileNameOf(string name)
    {
        string plain = string.Concat(
                name.ToLowerInvariant().Select(letter => char.IsAsciiLetterOrDigit(letter) ? letter : '-')
            )
            .Trim('-');
        return (plain.Length > 0 ? plain : "camera") + ".toml";
    }
}
