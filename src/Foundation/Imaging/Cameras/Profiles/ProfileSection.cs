using System.Globalization;
using Hillrow.Numerics;
using Tomlyn.Model;

namespace Hillrow.Imaging;

/// <summary>A table of a profile while it is read: hands out checked values and collects every problem.</summary>
internal sealed class ProfileSection(TomlTable table, string path, List<ProfileProblem> problems)
{
    private const int LongestList = 4_000_000;

    private readonly HashSet<string> known = new(StringComparer.Ordinal);

    public bool Has(string key) => table.ContainsKey(key);

    public string Name(string key) => path.Length == 0 ? key : $"{path}.{key}";

    public void Problem(string key, object? value, string rule) =>
        problems.Add(new ProfileProblem(Name(key), Shown(value), rule));

    public string Text(string key, string? fallback = null)
    {
        object? found = Find(key, fallback is null ? "a text is needed" : null);
        if (found is string text)
        {
            if (fallback is null && string.IsNullOrWhiteSpace(text))
            {
                Problem(key, text, "must not be empty");
            }

            return text;
        }

        if (found is not null)
        {
            Problem(key, found, "must be a text in quotation marks");
        }

        return fallback ?? "";
    }

    public bool Flag(string key)
    {
        object? found = Find(key, null);
        if (found is not null and not bool)
        {
            Problem(key, found, "must be true or false");
        }

        return found is true;
    }

    public TChoice Choice<TChoice>(string key, TChoice fallback)
        where TChoice : struct, Enum
    {
        object? found = Find(key, null);
        if (found is null)
        {
            return fallback;
        }

        foreach (TChoice choice in Enum.GetValues<TChoice>())
        {
            if (found is string text && text == Word(choice))
            {
                return choice;
            }
        }

        Problem(key, found, $"must be one of {string.Join(", ", Enum.GetValues<TChoice>().Select(Word))}");
        return fallback;
    }

    /// <summary>Enumeration names as they stand in the file: first letter small.</summary>
    public static string Word<TChoice>(TChoice choice)
        where TChoice : struct, Enum
    {
        string name = choice.ToString();
        return char.ToLowerInvariant(name[0]) + name[1..];
    }

    public double Number(string key, double low, double high, double? fallback = null) =>
        NumberOrNull(key, low, high, fallback is null) ?? fallback ?? double.NaN;

    public double? NumberOrNull(string key, double low, double high, bool needed = false)
    {
        object? found = Find(key, needed ? $"a number from {Shown(low)} to {Shown(high)} is needed" : null);
        if (found is null)
        {
            return null;
        }

        if (AsNumber(found) is not { } number || !(number >= low && number <= high))
        {
            Problem(key, found, $"must be a number from {Shown(low)} to {Shown(high)}");
            return null;
        }

        return number;
    }

    public int Whole(string key, int low, int high)
    {
        object? found = Find(key, $"a whole number from {low} to {high} is needed");
        if (found is long number && number >= low && number <= high)
        {
            return (int)number;
        }

        if (found is not null)
        {
            Problem(key, found, $"must be a whole number from {low} to {high}");
        }

        return low;
    }

    /// <summary>A list of finite numbers; null when absent or at fault.</summary>
    public double[]? Numbers(string key, int fewest, int most = LongestList, bool needed = false)
    {
        string count =
            fewest == most ? $"{fewest}"
            : most >= LongestList ? $"at least {fewest}"
            : $"{fewest} to {most}";
        object? found = Find(key, needed ? $"a list of {count} numbers is needed" : null);
        if (found is null)
        {
            return null;
        }

        if (
            found is TomlArray list
            && list.Count >= fewest
            && list.Count <= most
            && list.All(entry => AsNumber(entry) is { } number && double.IsFinite(number))
        )
        {
            return [.. list.Select(entry => AsNumber(entry)!.Value)];
        }

        Problem(key, found, $"must be a list of {count} numbers");
        return null;
    }

    /// <summary>A list of numbers that rise strictly.</summary>
    public double[]? Rising(string key, int fewest, bool needed = true)
    {
        double[]? numbers = Numbers(key, fewest, LongestList, needed);
        for (int index = 1; index < numbers?.Length; index++)
        {
            if (numbers[index] <= numbers[index - 1])
            {
                Problem(
                    key,
                    numbers[index],
                    $"entry {index + 1} must be above the one before ({Shown(numbers[index - 1])})"
                );
                return null;
            }
        }

        return numbers;
    }

    public PixelPoint? Pixel(string key, bool needed = false) =>
        Numbers(key, 2, 2, needed) is { } pair ? new PixelPoint(pair[0], pair[1]) : null;

    public Vector3D? Vector(string key, double largest)
    {
        double[]? three = Numbers(key, 3, 3);
        if (three is not null && !Array.TrueForAll(three, value => Math.Abs(value) <= largest))
        {
            Problem(key, table[key], $"no part may be beyond ±{Shown(largest)}");
            return null;
        }

        return three is null ? null : new Vector3D(three[0], three[1], three[2]);
    }

    /// <summary>Numbers by free names (bands), each within bounds.</summary>
    public Dictionary<string, double> NumbersByName(string key, double low, double high)
    {
        Dictionary<string, double> numbers = new(StringComparer.Ordinal);
        if (Section(key) is { } section)
        {
            foreach (string name in section.Keys)
            {
                numbers[name] = section.Number(name, low, high);
            }
        }

        return numbers;
    }

    public IEnumerable<string> Keys => [.. table.Keys];

    public ProfileSection? Section(string key, bool needed = false)
    {
        object? found = Find(key, needed ? "this section is needed" : null);
        if (found is TomlTable inner)
        {
            return new ProfileSection(inner, Name(key), problems);
        }

        if (found is not null)
        {
            Problem(key, found, $"must be a section: [{Name(key)}]");
        }

        return null;
    }

    public TomlTable Table(string key) =>
        Find(key, null) switch
        {
            null => [],
            TomlTable inner => inner,
            { } other => Refused(key, other),
        };

    public IReadOnlyList<ProfileSection> Sections(string key, string? needed)
    {
        object? found = Find(key, needed);
        switch (found)
        {
            case null:
                return [];
            case TomlTableArray tables when tables.Count > 0:
                return
                [
                    .. tables.Select(
                        (inner, index) => new ProfileSection(inner, $"{Name(key)}[{index + 1}]", problems)
                    ),
                ];
            case TomlArray list when list.Count > 0 && list.All(entry => entry is TomlTable):
                return
                [
                    .. list.Select(
                        (inner, index) => new ProfileSection((TomlTable)inner!, $"{Name(key)}[{index + 1}]", problems)
                    ),
                ];
            default:
                Problem(key, found, $"must be one or more sections [[{Name(key)}]]");
                return [];
        }
    }

    /// <summary>Reports every setting that was never asked for: most are misspelt.</summary>
    public void RefuseTheRest()
    {
        foreach (string key in table.Keys)
        {
            if (!known.Contains(key))
            {
                Problem(key, table[key], $"is not a setting here (known: {string.Join(", ", known)})");
            }
        }
    }

    private TomlTable Refused(string key, object value)
    {
        Problem(key, value, $"must be a section: [{Name(key)}]");
        return [];
    }

    private object? Find(string key, string? needed)
    {
        known.Add(key);
        if (table.TryGetValue(key, out object? found) && found is not null)
        {
            return found;
        }

        if (needed is not null)
        {
            problems.Add(new ProfileProblem(Name(key), "", $"is missing: {needed}"));
        }

        return null;
    }

    private static double? AsNumber(object? value) =>
        value switch
        {
            double number => number,
            long whole => whole,
            _ => null,
        };

    private static string Shown(object? value)
    {
        string text = value switch
        {
            null => "",
            string words => $"\"{words}\"",
            bool flag => flag ? "true" : "false",
            TomlTable => "{…}",
            TomlTableArray tables => $"{tables.Count} sections",
            TomlArray list => $"[{string.Join(", ", list.Take(6).Select(Shown))}{(list.Count > 6 ? ", …" : "")}]",
            IFormattable number => number.ToString(null, CultureInfo.InvariantCulture),
            _ => value.ToString() ?? "",
        };
        return text.Length > 80 ? text[..79] + "…" : text;
    }
}
