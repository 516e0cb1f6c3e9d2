using System.CommandLine;
using Hillrow.Estate;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>Writes a survey in open formats for any GIS.</summary>
internal static class ExportCommand
{
    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = Given.Estate();
        Argument<string?> survey = UpToDate.Survey();
        Option<string?> formats = Given.Text(
            "--formats",
            $"Some of {string.Join(", ", ExportWriting.Formats)}; all if not said.",
            "A,B"
        );
        Option<string?> to = Given.Text("--to", "Folder; handover/export-SURVEY if not said.", "DIR");
        Option<bool> asIs = UpToDate.AsIs();
        Command command = new("export", "Write a survey for any GIS: layers, maps, styles and a catalogue item.")
        {
            folder,
            survey,
            formats,
            to,
            asIs,
        };
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            HashSet<string> wanted = Wanted(parsed.GetValue(formats));
            if (UpToDate.Bring(estate, parsed.GetValue(asIs), speech, cancellation) is { } code)
            {
                return code;
            }

            IReadOnlyList<string> files = ExportWriting.Write(
                estate,
                parsed.GetValue(survey),
                wanted,
                parsed.GetValue(to),
                cancellation
            );
            speech.Line($"Wrote {files.Count} files to {Path.GetDirectoryName(files[0])}.");
            speech.Result(new { ok = true, files });
            return ExitCodes.Done;
        });
        return command;
    }

    private static HashSet<string> Wanted(string? text)
    {
        if (text is null)
        {
            return [.. ExportWriting.Formats];
        }

        string[] words =
        [
            .. text.Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries)
                .Select(word => word.ToLowerInvariant()),
        ];
        foreach (string word in words.Where(word => !ExportWriting.Formats.Contains(word)))
        {
            string near = NearestWord.To(word, ExportWriting.Formats) is { } one ? $"Did you mean {one}? " : "";
            throw new InputProblemException(
                "--formats",
                $"does not know \"{word}\".",
                $"{near}There are: {string.Join(", ", ExportWriting.Formats)}."
            );
        }

        return [.. words];
    }
}
