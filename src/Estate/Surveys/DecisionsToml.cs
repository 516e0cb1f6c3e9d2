using System.Globalization;
using System.Text;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;
using Tomlyn.Model;

namespace Hillrow.Estate;

/// <summary>
/// A survey's decisions.toml: which captures a person keeps or leaves out, whatever the field check finds. Field check
/// and run go by it; it stays as it is when they are done over.
/// </summary>
public static class DecisionsToml
{
    public const string FileName = "decisions.toml";

    private const int LongestBytes = 4 << 20;
    private const int LongestText = 400;
    private const int MostProblems = 8;

    private const string Keep = "keep";
    private const string LeaveOut = "leave out";

    private static readonly string[] Keys = ["capture", "decision", "because"];

    /// <summary>Empty when there is no such file.</summary>
    /// <exception cref="InputProblemException">The file cannot be read or anything in it is wrong; all of it is told.</exception>
    public static IReadOnlyList<CaptureDecision> Read(string path)
    {
        FileInfo file = new(path);
        if (!file.Exists)
        {
            return [];
        }

        if (file.Length > LongestBytes)
        {
            throw new InputProblemException(
                path,
                $"{file.Length} bytes are no list of decisions.",
                "Remove the file, or restore it."
            );
        }

        TomlTable root = TomlText.Read(File.ReadAllText(path), path);
        List<string> problems =
        [
            .. root.Keys.Where(key => key != "captures").Select(key => $"does not know \"{key}\""),
        ];
        List<CaptureDecision> read = [];
        TomlTableArray? list = null;
        if (root.TryGetValue("captures", out object? value) && (list = value as TomlTableArray) is null)
        {
            problems.Add("captures must be written as [[captures]]");
        }

        int number = 0;
        foreach (TomlTable entry in list ?? [])
        {
            number++;
            problems.AddRange(
                entry.Keys.Where(key => !Keys.Contains(key)).Select(key => $"entry {number} does not know \"{key}\"")
            );
            string capture = Text(entry, "capture");
            string decision = Text(entry, "decision");
            if (capture.Length is 0 or > LongestText)
            {
                problems.Add($"entry {number} does not name a capture");
            }

            if (decision is not (Keep or LeaveOut))
            {
                problems.Add($"decision of entry {number} must be \"{Keep}\" or \"{LeaveOut}\"");
            }

            read.Add(
                new CaptureDecision(
                    capture,
                    decision == Keep ? DecisionKind.Keep : DecisionKind.LeaveOut,
                    Text(entry, "because")
                )
            );
        }

        return problems.Count == 0
            ? read
            : throw new InputProblemException(
                path,
                string.Join("; ", problems.Take(MostProblems)) + ".",
                "Correct it in a text editor, or remove the file and decide again with `hillrow check`."
            );
    }

    /// <summary>Writes the list; an empty one takes the file away.</summary>
    public static void Write(string path, IReadOnlyList<CaptureDecision> decisions)
    {
        ArgumentNullException.ThrowIfNull(decisions);
        if (decisions.Count == 0)
        {
            File.Delete(path);
            return;
        }

        StringBuilder text = new(
            """
            # What a person decided of captures; it stands above what the field check finds, and the run goes by it.
            # decision: "keep" or "leave out". Written by `hillrow check --keep`, `--leave-out`; may be edited.

            """
        );
        foreach (CaptureDecision decision in decisions)
        {
            text.Append(
                CultureInfo.InvariantCulture,
                $"""

                [[captures]]
                capture = {Quoted(decision.Capture)}
                decision = "{(decision.Kind == DecisionKind.Keep ? Keep : LeaveOut)}"
                because = {Quoted(decision.Because)}

                """
            );
        }

        DurableFiles.WriteAllText(path, text.ToString());
    }

    private static string Text(TomlTable entry, string key) =>
        entry.TryGetValue(key, out object? value) && value is string text ? text : "";

    /// <summary>A basic string of TOML 1.0.</summary>
    private static string Quoted(string text)
    {
        StringBuilder quoted = new("\"");
        foreach (char letter in text)
        {
            _ =
                letter is '"' or '\\' ? quoted.Append('\\').Append(letter)
                : char.IsControl(letter) ? quoted.Append(CultureInfo.InvariantCulture, $"\\u{(int)letter:x4}")
                : quoted.Append(letter);
        }

        return quoted.Append('"').ToString();
    }
}
