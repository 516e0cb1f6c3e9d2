namespace Hillrow.Imaging;

/// <summary>One thing wrong with a profile: the setting, the value found, the rule it breaks.</summary>
public sealed record ProfileProblem(string Setting, string Value, string Rule)
{
    private const int LongestLine = 400;

    public override string ToString() => Value.Length == 0 ? $"{Setting}: {Rule}" : $"{Setting} = {Value}: {Rule}";

    /// <summary>All problems as one line; of very many the first ones and how many are left.</summary>
    public static string OneLine(IReadOnlyList<ProfileProblem> problems)
    {
        string line = problems.Count == 1 ? "" : $"{problems.Count} problems: ";
        for (int index = 0; index < problems.Count; index++)
        {
            string text = Printable(problems[index].ToString());
            if (index > 0 && line.Length + text.Length > LongestLine)
            {
                return $"{line}and {problems.Count - index} more.";
            }

            text = text.Length > LongestLine ? text[..(LongestLine - 1)] + "…" : text;
            line += index + 1 < problems.Count ? text + "; " : text + ".";
        }

        return line;
    }

    /// <summary>Names and values come from the file and may hold anything.</summary>
    private static string Printable(string text) =>
        string.Concat(text.Select(letter => char.IsControl(letter) || char.IsSurrogate(letter) ? '\uFFFD' : letter));
}
