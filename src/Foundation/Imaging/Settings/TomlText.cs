using System.Text.RegularExpressions;
using Hillrow.Numerics;
using Tomlyn;
using Tomlyn.Model;

namespace Hillrow.Imaging;

/// <summary>TOML text to a table, for every settings file of the program; a fault is told with its line.</summary>
/// <remarks>The parser throws of many kinds on damaged text; which ones is known here alone.</remarks>
public static partial class TomlText
{
    // Deeper nesting than any setting needs could exhaust the parser's stack.
    private const int DeepestNesting = 64;

    /// <exception cref="InputProblemException">Not TOML, or nested too deeply.</exception>
    public static TomlTable Read(string toml, string where) =>
        TryRead(toml, out TomlTable root, out string problem)
            ? root
            : throw new InputProblemException(where, problem + ".", "Correct that line in a text editor.");

    /// <summary>False with what is wrong, on one line, without a full stop.</summary>
    public static bool TryRead(string toml, out TomlTable root, out string problem)
    {
        ArgumentNullException.ThrowIfNull(toml);
        root = [];
        problem = "";
        if (Nesting(toml) > DeepestNesting)
        {
            problem = $"brackets are nested more than {DeepestNesting} deep";
            return false;
        }

        try
        {
            root = TomlSerializer.Deserialize<TomlTable>(toml) ?? [];
            return true;
        }
        catch (Exception fault)
            when (fault
                    is TomlException
                        or FormatException
                        or OverflowException
                        or ArgumentException
                        or InvalidOperationException
                        or IndexOutOfRangeException
                        or KeyNotFoundException
                        or InvalidCastException
            )
        {
            problem = $"is not valid TOML: {FirstFault(fault.Message)}";
            return false;
        }
    }

    /// <summary>The parser lists every fault that follows from the first one.</summary>
    private static string FirstFault(string message)
    {
        string line = message.ReplaceLineEndings("\n").Split('\n')[0].Trim().TrimEnd('.');
        Match place = FaultPlace().Match(line);
        return place.Success
            ? $"line {place.Groups[1].Value}, column {place.Groups[2].Value}: {place.Groups[3].Value}"
            : line;
    }

    [GeneratedRegex("^\\(([0-9]+),([0-9]+)\\) : error : (.*)$", RegexOptions.None, 1000)]
    private static partial Regex FaultPlace();

    private static int Nesting(string toml)
    {
        int depth = 0;
        int deepest = 0;
        foreach (char letter in toml)
        {
            if (letter is '[' or '{')
            {
                deepest = Math.Max(++depth, deepest);
            }
            else if (letter is ']' or '}')
            {
                depth = Math.Max(0, depth - 1);
            }
        }

        return deepest;
    }
}
