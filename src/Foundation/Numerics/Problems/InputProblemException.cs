namespace Hillrow.Numerics;

/// <summary>
/// Something a person gave us cannot be used: says what, where and how to mend it, in one line. The program
/// prints the line and ends with exit code 2; everything else that is thrown is our own fault (exit code 1).
/// </summary>
public class InputProblemException : Exception
{
    /// <param name="where">The file, block, band, command or setting concerned.</param>
    /// <param name="problem">What is wrong, with the value found.</param>
    /// <param name="remedy">What the person can do about it.</param>
    /// <param name="cause">The exception behind it, if any; never shown to the person.</param>
    public InputProblemException(string where, string problem, string remedy, Exception? cause = null)
        : base(OneLine($"{where}: {problem} {remedy}"), cause)
    {
        Where = where;
        Problem = problem;
        Remedy = remedy;
    }

    public string Where { get; }

    public string Problem { get; }

    public string Remedy { get; }

    /// <summary>Damaged files put control characters into the values told; a terminal must not obey them.</summary>
    private static string OneLine(string text)
    {
        string line = text.ReplaceLineEndings(" ");
        return line.Any(char.IsControl)
            ? string.Concat(line.Select(letter => char.IsControl(letter) ? ' ' : letter))
            : line;
    }
}
