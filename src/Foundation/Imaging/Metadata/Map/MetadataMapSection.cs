using System.Globalization;
using Hillrow.Earth;
using Tomlyn.Model;

namespace Hillrow.Imaging;

/// <summary>The [metadata] section of a profile: text to map and back.</summary>
internal static class MetadataMapSection
{
    private const double MostOffsetMinutes = 14 * 60;

    private static readonly string[] Sources = ["tiff", "exif", "gps", "xmp", "fileName", "folder", "value"];

    public static MetadataMap Read(TomlTable table, List<ProfileProblem> problems)
    {
        ProfileSection section = new(table, "metadata", problems);
        Dictionary<string, string> namespaces = [];
        if (section.Section("namespaces") is { } prefixes)
        {
            foreach (string prefix in prefixes.Keys)
            {
                namespaces[prefix] = prefixes.Text(prefix);
            }
        }

        Dictionary<FrameQuantity, IReadOnlyList<ValueRule>> values = [];
        foreach (FrameQuantity quantity in Enum.GetValues<FrameQuantity>())
        {
            ValueRule[] rules =
            [
                .. Alternatives(section, table, ProfileSection.Word(quantity))
                    .Select(entry => ReadRule(entry, quantity, namespaces)),
            ];
            if (rules.Length > 0)
            {
                values[quantity] = rules;
            }
        }

        MetadataMap map = new()
        {
            Values = values,
            Time = [.. Alternatives(section, table, "time").Select(entry => ReadTime(entry, namespaces))],
            SatelliteTime =
            [
                .. Alternatives(section, table, "satelliteTime").Select(entry => ReadTime(entry, namespaces)),
            ],
            HeightReference = section.Choice("heightReference", VerticalReference.Unknown),
        };
        section.RefuseTheRest();
        return map;
    }

    public static TomlTable Write(MetadataMap map)
    {
        TomlTable table = [];
        Dictionary<string, string> prefixes = [];
        TomlTable namespaces = [];
        string Prefix(string uri)
        {
            if (!prefixes.TryGetValue(uri, out string? prefix))
            {
                prefix = FormattableString.Invariant($"n{prefixes.Count + 1}");
                prefixes[uri] = prefix;
                namespaces[prefix] = uri;
            }

            return prefix;
        }

        if (map.HeightReference != VerticalReference.Unknown)
        {
            table["heightReference"] = ProfileSection.Word(map.HeightReference);
        }

        foreach ((FrameQuantity quantity, IReadOnlyList<ValueRule> rules) in map.Values.OrderBy(entry => entry.Key))
        {
            table[ProfileSection.Word(quantity)] = OneOrMany(rules, rule => WriteRule(rule, Prefix));
        }

        if (map.Time.Count > 0)
        {
            table["time"] = OneOrMany(map.Time, rule => WriteTime(rule, Prefix));
        }

        if (map.SatelliteTime.Count > 0)
        {
            table["satelliteTime"] = OneOrMany(map.SatelliteTime, rule => WriteTime(rule, Prefix));
        }

        if (namespaces.Count > 0)
        {
            table["namespaces"] = namespaces;
        }

        return table;
    }

    private static IEnumerable<ProfileSection> Alternatives(ProfileSection section, TomlTable table, string key) =>
        table.TryGetValue(key, out object? found) && found is TomlTableArray or TomlArray ? section.Sections(key, null)
        : section.Section(key) is { } one ? [one]
        : [];

    private static ValueRule ReadRule(
        ProfileSection section,
        FrameQuantity quantity,
        Dictionary<string, string> namespaces
    )
    {
        QuantityKind kind = FrameQuantities.KindOf(quantity);
        PropertyKey? property = ReadKey(section, namespaces);
        string? fileName = ReadPattern(section, "fileName");
        string? folder = ReadPattern(section, "folder");
        string? constant = section.Has("value") ? section.Text("value") : null;
        // Counted by key, so that a place at fault is not told as a missing one too.
        int sources = Sources.Count(section.Has);
        if (sources != 1)
        {
            section.Problem(
                "",
                null,
                "exactly one of tiff, exif, gps, xmp, fileName, folder, value must say where it stands"
            );
        }

        string unit = section.Text("unit", "");
        if (unit.Length > 0 && MetadataUnit.Find(kind, unit) is null)
        {
            section.Problem("unit", unit, $"must be one of {string.Join(", ", MetadataUnit.WordsOf(kind))}");
        }

        ValueRule rule = new()
        {
            Property = property,
            FileName = fileName,
            Folder = folder,
            Constant = constant,
            Item = section.Has("item") ? section.Whole("item", 1, 10_000) : 0,
            Separator = section.Text("separator", ""),
            Pattern = ReadPattern(section, "pattern") ?? "",
            Form = section.Choice("form", NumberForm.Any),
            Scale = section.Number("scale", -1e30, 1e30, 1),
            Offset = section.Number("offset", -1e30, 1e30, 0),
            Unit = unit,
            Letter = section.Section("letter") is { } letter ? ReadAddress(letter, namespaces) : null,
        };
        section.RefuseTheRest();
        return rule;
    }

    private static TimeRule ReadTime(ProfileSection section, Dictionary<string, string> namespaces)
    {
        PropertyKey? Part(string key) => section.Section(key) is { } part ? ReadAddress(part, namespaces) : null;
        PropertyKey? text = Part("text");
        PropertyKey? date = Part("date");
        PropertyKey? clock = Part("clock");
        PropertyKey? epoch = Part("epoch");
        int ways = (text is null ? 0 : 1) + (date is null && clock is null ? 0 : 1) + (epoch is null ? 0 : 1);
        if (ways != 1 || date is null != clock is null)
        {
            section.Problem("", null, "either text, or date and clock, or epoch must say where the time stands");
        }

        string unit = section.Text("epochUnit", "s");
        if (MetadataUnit.Find(QuantityKind.Duration, unit) is null)
        {
            section.Problem(
                "epochUnit",
                unit,
                $"must be one of {string.Join(", ", MetadataUnit.WordsOf(QuantityKind.Duration))}"
            );
        }

        TimeRule rule = new()
        {
            Text = text,
            Date = date,
            Clock = clock,
            Epoch = epoch,
            EpochUnit = unit,
            SubSeconds = Part("subSeconds"),
            Zone = Part("zone"),
            OffsetMinutes = section.NumberOrNull("offsetMinutes", -MostOffsetMinutes, MostOffsetMinutes),
        };
        section.RefuseTheRest();
        return rule;
    }

    private static PropertyKey? ReadAddress(ProfileSection section, Dictionary<string, string> namespaces)
    {
        PropertyKey? key = ReadKey(section, namespaces);
        if (Sources.Take(4).Count(section.Has) != 1)
        {
            section.Problem("", null, "exactly one of tiff, exif, gps, xmp must say where it stands");
        }

        section.RefuseTheRest();
        return key;
    }

    private static PropertyKey? ReadKey(ProfileSection section, Dictionary<string, string> namespaces)
    {
        PropertyKey? found = null;
        foreach (PropertySource source in Enum.GetValues<PropertySource>())
        {
            string word = ProfileSection.Word(source);
            if (!section.Has(word))
            {
                continue;
            }

            found =
                source == PropertySource.Xmp
                    ? ReadXmp(section, namespaces)
                    : new PropertyKey(source, section.Whole(word, 0, ushort.MaxValue), "", "");
        }

        return found;
    }

    private static PropertyKey? ReadXmp(ProfileSection section, Dictionary<string, string> namespaces)
    {
        string text = section.Text("xmp");
        int colon = text.IndexOf(':', StringComparison.Ordinal);
        if (colon < 0 || !namespaces.TryGetValue(text[..colon], out string? uri))
        {
            section.Problem("xmp", text, "must be prefix:Name with the prefix from [metadata.namespaces]");
            return null;
        }

        return PropertyKey.Xmp(uri, text[(colon + 1)..]);
    }

    private static string? ReadPattern(ProfileSection section, string key)
    {
        if (!section.Has(key))
        {
            return null;
        }

        string pattern = section.Text(key);
        try
        {
            _ = ValueRule.Compile(pattern);
        }
        catch (Exception fault) when (fault is ArgumentException or NotSupportedException)
        {
            section.Problem(key, pattern, "is not a pattern (.NET regular expression without back references)");
        }

        return pattern;
    }

    private static object OneOrMany<TRule>(IReadOnlyList<TRule> rules, Func<TRule, TomlTable> write)
    {
        if (rules.Count == 1)
        {
            return write(rules[0]);
        }

        TomlTableArray many = [];
        foreach (TRule rule in rules)
        {
            many.Add(write(rule));
        }

        return many;
    }

    private static TomlTable WriteRule(ValueRule rule, Func<string, string> prefix)
    {
        TomlTable table = rule.Property is { } key ? WriteKey(key, prefix) : [];
        Put(table, "fileName", rule.FileName);
        Put(table, "folder", rule.Folder);
        Put(table, "value", rule.Constant);
        if (rule.Item > 0)
        {
            table["item"] = (long)rule.Item;
        }

        Put(table, "separator", rule.Separator);
        Put(table, "pattern", rule.Pattern);
        Put(table, "form", rule.Form == NumberForm.Any ? "" : ProfileSection.Word(rule.Form));
        if (!rule.Scale.Equals(1))
        {
            table["scale"] = rule.Scale;
        }

        if (!rule.Offset.Equals(0))
        {
            table["offset"] = rule.Offset;
        }

        Put(table, "unit", rule.Unit);
        if (rule.Letter is { } letter)
        {
            table["letter"] = WriteKey(letter, prefix);
        }

        return table;
    }

    private static TomlTable WriteTime(TimeRule rule, Func<string, string> prefix)
    {
        TomlTable table = [];
        foreach (
            (string name, PropertyKey? key) in new[]
            {
                ("text", rule.Text),
                ("date", rule.Date),
                ("clock", rule.Clock),
                ("epoch", rule.Epoch),
                ("subSeconds", rule.SubSeconds),
                ("zone", rule.Zone),
            }
        )
        {
            if (key is { } place)
            {
                table[name] = WriteKey(place, prefix);
            }
        }

        Put(table, "epochUnit", rule.EpochUnit == "s" ? "" : rule.EpochUnit);
        if (rule.OffsetMinutes is { } minutes)
        {
            table["offsetMinutes"] = minutes;
        }

        return table;
    }

    private static TomlTable WriteKey(PropertyKey key, Func<string, string> prefix) =>
        key.Source == PropertySource.Xmp
            ? new TomlTable { ["xmp"] = $"{prefix(key.NamespaceUri)}:{key.Path}" }
            : new TomlTable { [ProfileSection.Word(key.Source)] = (long)key.Tag };

    private static void Put(TomlTable table, string key, string? text)
    {
        if (!string.IsNullOrEmpty(text))
        {
            table[key] = text;
        }
    }
}
