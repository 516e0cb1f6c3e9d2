using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Tomlyn.Model;

namespace Hillrow.Estate;

/// <summary>Reads and writes estate.toml. All problems of a file are told together.</summary>
public static class EstateToml
{
    public const string FileName = "estate.toml";

    /// <summary>No honest settings file is longer.</summary>
    private const int LongestBytes = 1 << 20;

    /// <summary>Characters of problems told in one line; a person mends a few at a time.</summary>
    private const int LongestList = 1_200;

    private static readonly string[] Keys = ["name", "reference_system", "language", "units", "limits"];
    private static readonly string[] UnitKeys = ["area", "length", "mass", "currency"];
    private static readonly string[] LimitKeys =
    [
        "height_above_ground_metres",
        "line_of_sight_metres",
        "threads",
        "memory_gibibytes",
        "free_disk_gibibytes",
    ];

    public static string Write(EstateSettings settings) =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"""
            # An estate of Hillrow. Edit with any text editor; every line is checked when it is read.
            name = {Quoted(settings.Name)}
            # WGS 84 / UTM zone of all maps and tables. Do not change it once maps exist.
            reference_system = "{UtmZoneText.CodeOf(settings.ReferenceSystem)}"   # zone {UtmZoneText.ZoneOf(
                settings.ReferenceSystem
            )}
            # Language of reports and progress: {string.Join(", ", LanguageCodes.All)}
            language = "{LanguageCodes.CodeOf(settings.Language)}"

            [units]   # shown to people; files hold metres and kilograms
            area = "{settings.Units.Area}"          # hectare, acre
            length = "{settings.Units.Length}"          # metre, foot
            mass = "{settings.Units.Mass}"         # kilogram, pound
            currency = "{settings.Units.Currency}"          # ISO 4217

            [limits]
            # Flights: the law of the place rules, whatever stands here.
            height_above_ground_metres = {settings.Limits.HeightAboveGroundMetres}
            line_of_sight_metres = {settings.Limits.LineOfSightMetres}
            # This machine: 0 threads takes every processor.
            threads = {settings.Limits.Threads}
            memory_gibibytes = {settings.Limits.MemoryGibibytes}
            free_disk_gibibytes = {settings.Limits.FreeDiskGibibytes}

            """
        );

    /// <exception cref="InputProblemException">The file is missing or anything in it is wrong; all of it is told.</exception>
    public static EstateSettings Read(string path)
    {
        FileInfo file = new(path);
        if (!file.Exists || file.Length > LongestBytes)
        {
            throw new InputProblemException(
                path,
                file.Exists ? $"{file.Length} bytes are no settings file." : "does not exist.",
                "Make an estate with `hillrow new`, or restore the file."
            );
        }

        try
        {
            return Parse(File.ReadAllText(path), path);
        }
        catch (UnauthorizedAccessException fault)
        {
            throw new InputProblemException(path, "may not be read.", "Give yourself the right to read it.", fault);
        }
    }

    /// <exception cref="InputProblemException">Anything in the text is wrong; all of it is told.</exception>
    public static EstateSettings Parse(string text, string path)
    {
        TomlTable root = TomlText.Read(text, path);
        List<string> problems = [];
        TomlTable units = Table(root, "units", problems);
        TomlTable limits = Table(root, "limits", problems);
        Unknown(root, "", Keys, problems);
        Unknown(units, "units.", UnitKeys, problems);
        Unknown(limits, "limits.", LimitKeys, problems);
        string systemText = Text(root, "", "reference_system", null, problems);
        ReferenceSystem? system = UtmZoneText.Parse(systemText);
        if (system is null && systemText.Length > 0)
        {
            problems.Add(
                $"reference_system is \"{systemText}\", but must be a UTM zone such as \"EPSG:32723\" or \"23S\""
            );
        }

        string code = Text(root, "", "language", "en", problems);
        Language? language = LanguageCodes.Find(code);
        if (language is null)
        {
            problems.Add($"language is \"{code}\", but must be one of {string.Join(", ", LanguageCodes.All)}");
        }

        EstateUnits plain = EstateUnits.Metric;
        EstateLimits cautious = EstateLimits.Cautious;
        EstateSettings settings = new(
            Text(root, "", "name", null, problems),
            system ?? ReferenceSystem.Utm(31, north: true),
            language ?? Language.English,
            new EstateUnits(
                Text(units, "units.", "area", plain.Area, problems),
                Text(units, "units.", "length", plain.Length, problems),
                Text(units, "units.", "mass", plain.Mass, problems),
                Text(units, "units.", "currency", plain.Currency, problems)
            ),
            new EstateLimits(
                Number(limits, LimitKeys[0], cautious.HeightAboveGroundMetres, problems),
                Number(limits, LimitKeys[1], cautious.LineOfSightMetres, problems),
                WholeNumber(limits, LimitKeys[2], cautious.Threads, problems),
                Number(limits, LimitKeys[3], cautious.MemoryGibibytes, problems),
                Number(limits, LimitKeys[4], cautious.FreeDiskGibibytes, problems)
            )
        );
        problems.AddRange(settings.Problems().Where(problem => !problems.Contains(problem)));
        return problems.Count == 0 ? settings : throw Wrong(path, problems);
    }

    /// <summary>One line for all broken rules of a file or command; a line of bearable length, whatever was given.</summary>
    public static InputProblemException Wrong(string where, IReadOnlyList<string> problems)
    {
        List<string> shown = [];
        int length = 0;
        foreach (string problem in problems)
        {
            string plain = new([.. problem.Select(c => char.IsControl(c) ? ' ' : c)]);
            string cut = plain.Length > 160 ? plain[..160] + " …" : plain;
            length += cut.Length;
            if (shown.Count > 0 && length > LongestList)
            {
                shown.Add(FormattableString.Invariant($"and {problems.Count - shown.Count} more"));
                break;
            }

            shown.Add(cut);
        }

        return new InputProblemException(
            where,
            string.Join("; ", shown) + ".",
            problems.Count == 1 ? "Correct it." : "Correct them."
        );
    }

    /// <summary>The parser goes on after a fault and lists its consequences; only the first tells where to look.</summary>
    private static TomlTable Table(TomlTable root, string key, List<string> problems)
    {
        if (!root.TryGetValue(key, out object? value))
        {
            return [];
        }

        if (value is TomlTable table)
        {
            return table;
        }

        problems.Add($"{key} must be a section [{key}]");
        return [];
    }

    private static void Unknown(TomlTable table, string prefix, string[] allowed, List<string> problems) =>
        problems.AddRange(
            table
                .Keys.Where(key => !allowed.Contains(key))
                .Select(key =>
                    NearestWord.To(key, allowed) is { } near
                        ? $"{prefix}{key} is unknown (did you mean {near}?)"
                        : $"{prefix}{key} is unknown (there are {string.Join(", ", allowed)})"
                )
        );

    private static string Text(TomlTable table, string prefix, string key, string? fallback, List<string> problems)
    {
        if (!table.TryGetValue(key, out object? value))
        {
            if (fallback is null)
            {
                problems.Add($"{prefix}{key} is missing");
            }

            return fallback ?? "";
        }

        if (value is string text)
        {
            return text;
        }

        problems.Add($"{prefix}{key} must be a text in quotes");
        return fallback ?? "";
    }

    private static double Number(TomlTable table, string key, double fallback, List<string> problems)
    {
        switch (table.TryGetValue(key, out object? value) ? value : fallback)
        {
            case double number:
                return number;
            case long whole:
                return whole;
            default:
                problems.Add($"limits.{key} must be a number");
                return fallback;
        }
    }

    private static int WholeNumber(TomlTable table, string key, int fallback, List<string> problems)
    {
        switch (table.TryGetValue(key, out object? value) ? value : (long)fallback)
        {
            case long whole when whole is >= int.MinValue and <= int.MaxValue:
                return (int)whole;
            default:
                problems.Add($"limits.{key} must be a whole number");
                return fallback;
        }
    }

    private static string Quoted(string text) =>
        "\""
        + text.Replace("\\", "\\\\", StringComparison.Ordinal).Replace("\"", "\\\"", StringComparison.Ordinal)
        + "\"";
}
