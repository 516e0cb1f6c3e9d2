using System.Globalization;
using Hillrow.Earth;

namespace Hillrow.Estate;

/// <summary>What estate.toml says: how the estate is named, where it lies, and how Hillrow speaks and measures there.</summary>
/// <param name="Name">As the grower says it; shown on every page.</param>
/// <param name="ReferenceSystem">WGS 84 / UTM zone of every map and table of the estate.</param>
/// <param name="Language">Language of reports and progress.</param>
/// <param name="Units">Units shown to people; files and tables always hold metres and kilograms.</param>
/// <param name="Limits">What flights and this machine may not exceed.</param>
public sealed record EstateSettings(
    string Name,
    ReferenceSystem ReferenceSystem,
    Language Language,
    EstateUnits Units,
    EstateLimits Limits
)
{
    public static EstateSettings Plain(string name, ReferenceSystem referenceSystem, Language language) =>
        new(name, referenceSystem, language, EstateUnits.Metric, EstateLimits.Cautious);

    /// <summary>Every broken rule, each naming its setting, the value found and what is allowed.</summary>
    public IReadOnlyList<string> Problems()
    {
        List<string> problems = [];
        if (string.IsNullOrWhiteSpace(Name) || Name.Length > 80 || Name.Any(char.IsControl))
        {
            problems.Add($"name is \"{Name}\", but must be 1 to 80 characters on one line");
        }

        if (!UtmZoneText.IsUtm(ReferenceSystem))
        {
            problems.Add(
                $"reference_system is {ReferenceSystem}, but must be WGS 84 / UTM (EPSG:32601-32660 or 32701-32760)"
            );
        }

        problems.AddRange(Units.Problems());
        problems.AddRange(Limits.Problems());
        return problems;
    }
}

/// <summary>Units shown to people.</summary>
/// <param name="Area">"hectare" or "acre".</param>
/// <param name="Length">"metre" or "foot".</param>
/// <param name="Mass">"kilogram" or "pound".</param>
/// <param name="Currency">Three capital letters (ISO 4217).</param>
public sealed record EstateUnits(string Area, string Length, string Mass, string Currency)
{
    public static EstateUnits Metric { get; } = new("hectare", "metre", "kilogram", "USD");

    internal IEnumerable<string> Problems()
    {
        foreach (
            (string key, string value, string[] allowed) in new[]
            {
                ("units.area", Area, new[] { "hectare", "acre" }),
                ("units.length", Length, ["metre", "foot"]),
                ("units.mass", Mass, ["kilogram", "pound"]),
            }
        )
        {
            if (!allowed.Contains(value))
            {
                yield return $"{key} is \"{value}\", but must be {string.Join(" or ", allowed)}";
            }
        }

        if (Currency.Length != 3 || !Currency.All(char.IsAsciiLetterUpper))
        {
            yield return $"units.currency is \"{Currency}\", but must be three capital letters such as USD";
        }
    }
}

/// <summary>Bounds that no plan and no run may exceed.</summary>
/// <param name="HeightAboveGroundMetres">
/// Highest flight above ground. 120 m is a common legal ceiling (common practice): check the law of the place.
/// </param>
/// <param name="LineOfSightMetres">Farthest from the pilot. 500 m is where a small aircraft is still seen (common practice).</param>
/// <param name="Threads">Threads that work at once; 0 takes every processor. Results do not depend on it.</param>
/// <param name="MemoryGibibytes">Memory a run plans for: 6 leaves room for others on a laptop of 8.</param>
/// <param name="FreeDiskGibibytes">Left free on the disk: a full disk stops the whole machine.</param>
public sealed record EstateLimits(
    double HeightAboveGroundMetres,
    double LineOfSightMetres,
    int Threads,
    double MemoryGibibytes,
    double FreeDiskGibibytes
)
{
    public static EstateLimits Cautious { get; } = new(120, 500, 0, 6, 2);

    internal IEnumerable<string> Problems()
    {
        foreach (
            (string key, double value, double lowest, double highest) in new[]
            {
                ("limits.height_above_ground_metres", HeightAboveGroundMetres, 5, 1000),
                ("limits.line_of_sight_metres", LineOfSightMetres, 50, 20_000),
                ("limits.threads", Threads, 0, 1024),
                ("limits.memory_gibibytes", MemoryGibibytes, 1, 4096),
                ("limits.free_disk_gibibytes", FreeDiskGibibytes, 0, 100_000),
            }
        )
        {
            if (!(value >= lowest && value <= highest))
            {
                yield return string.Create(
                    CultureInfo.InvariantCulture,
                    $"{key} is {value}, but must be from {lowest} to {highest}"
                );
            }
        }
    }
}
