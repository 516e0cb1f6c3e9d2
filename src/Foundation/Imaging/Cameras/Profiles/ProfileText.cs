using Tomlyn;
using Tomlyn.Model;

namespace Hillrow.Imaging;

/// <summary>TOML text to a table, with a fault told as a problem with its line.</summary>
internal static class ProfileText
{
    // Deeper nesting than any setting needs could exhaust the parser's stack.
    private const int DeepestNesting = 64;

    public static bool TryRead(string toml, out TomlTable root, out ProfileProblem? problem)
    {
        root = [];
        problem = null;
        if (Nesting(toml) > DeepestNesting)
        {
            problem = new ProfileProblem("file", "", $"brackets are nested more than {DeepestNesting} deep");
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
            problem = new ProfileProblem("file", "", $"is not valid TOML: {fault.Message.ReplaceLineEndings(" ")}");
            return false;
        }
    }

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
