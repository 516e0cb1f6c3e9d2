using System.Globalization;
using System.Text.RegularExpressions;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Lists every place of the files where a quantity could stand.</summary>
internal static partial class ChannelListing
{
    /// <summary>Longer lists are curves and thumbnails, not quantities.</summary>
    private const int LongestList = 16;

    private const string LeadingNumber = "^[-+]?[0-9]*[.]?[0-9]+(?:[eE][-+]?[0-9]+)?(?:/[0-9.]+)?";

    /// <summary>Tags that tell how the picture is stored, not how it was taken.</summary>
    private static readonly HashSet<int> StorageTags =
    [
        254,
        256,
        257,
        258,
        259,
        262,
        266,
        273,
        274,
        277,
        278,
        279,
        284,
        296,
        317,
        322,
        323,
        324,
        325,
        338,
        339,
    ];

    public static IReadOnlyList<Channel> Of(IReadOnlyList<SampleFrame> frames)
    {
        List<Channel> channels = [];
        PropertyKey[] keys =
        [
            .. frames
                .SelectMany(frame => frame.Bag.Properties.Keys)
                .Distinct()
                .Where(key => key.Source != PropertySource.Tiff || !StorageTags.Contains(key.Tag))
                .Order(),
        ];
        foreach (PropertyKey key in keys)
        {
            channels.AddRange(OfProperty(key, frames));
        }

        channels.AddRange(FileNameParts.Of(frames));
        if (frames.Any(frame => frame.File.Contains('/')))
        {
            channels.Add(
                new Channel
                {
                    Place = "folder",
                    Words = ["folder"],
                    Rule = new ValueRule { Folder = ".+" },
                    Texts = [.. frames.Select(frame => Path.GetFileName(Path.GetDirectoryName(frame.Path)))],
                    Numbers =
                    [
                        .. frames.Select(frame =>
                            NumberText.Parse(Path.GetFileName(Path.GetDirectoryName(frame.Path)))
                        ),
                    ],
                }
            );
        }

        TellUnits(channels);
        return channels;
    }

    public static string PlaceOf(PropertyKey key) =>
        key.Source == PropertySource.Xmp
            ? $"xmp {key.Path}"
            : string.Create(CultureInfo.InvariantCulture, $"{key.Source.ToString().ToLowerInvariant()} {key.Tag}");

    private static IEnumerable<Channel> OfProperty(PropertyKey key, IReadOnlyList<SampleFrame> frames)
    {
        PropertyValue?[] values = [.. frames.Select(frame => frame.Bag.Find(key))];
        PropertyValue[] there = [.. values.OfType<PropertyValue>()];
        string name = key.Path[(key.Path.LastIndexOf('/') + 1)..];
        string[] words = [.. NameWords.Of(name), .. NameWords.Of(key.Path[..^name.Length])];
        int count = there.Max(value => value.Count);
        if (count > LongestList || there.Any(value => value.Form == PropertyForm.Bytes && value.Bytes.Length > 256))
        {
            yield break;
        }

        if (count > 1)
        {
            for (int item = 1; item <= count; item++)
            {
                int index = item - 1;
                yield return Make(
                    key,
                    words,
                    new ValueRule { Property = key, Item = item },
                    [.. values.Select(value => value is not null && index < value.Count ? value.Text(index) : null)],
                    count
                );
            }

            yield break;
        }

        string?[] texts = [.. values.Select(value => value?.Text(0).Trim())];
        if (ListSeparator(texts) is { } separator)
        {
            int parts = texts.OfType<string>().Max(text => text.Split(separator).Length);
            for (int item = 1; item <= parts; item++)
            {
                int index = item - 1;
                yield return Make(
                    key,
                    words,
                    new ValueRule
                    {
                        Property = key,
                        Separator = separator,
                        Item = item,
                    },
                    [
                        .. texts.Select(text =>
                            text?.Split(separator) is { } all && index < all.Length ? all[index].Trim() : null
                        ),
                    ],
                    parts
                );
            }

            yield break;
        }

        yield return Make(key, words, new ValueRule { Property = key }, texts, 1);
    }

    private static Channel Make(PropertyKey key, string[] words, ValueRule rule, string?[] texts, int list)
    {
        double?[] numbers = [.. texts.Select(text => NumberText.Parse(text))];
        string unit = "";
        string[] told = [.. texts.OfType<string>()];
        if (
            key.Source == PropertySource.Xmp
            && Array.Exists(told, text => NumberText.Parse(text) is null)
            && Array.TrueForAll(told, text => LeadingNumberPattern().IsMatch(text))
            && told.Select(text => LeadingNumberPattern().Replace(text, "").Trim()).Distinct().ToArray()
                is [{ Length: > 0 } rest]
            && char.IsLetter(rest[0]) | rest[0] is '°' or 'µ' or 'μ'
        )
        {
            unit = rest;
            rule = rule with { Pattern = LeadingNumber };
            numbers =
            [
                .. texts.Select(text =>
                    text is null ? null : NumberText.Parse(LeadingNumberPattern().Match(text).Value)
                ),
            ];
        }

        string place = PlaceOf(key);
        return new Channel
        {
            Place = list > 1 ? string.Create(CultureInfo.InvariantCulture, $"{place} item {rule.Item}") : place,
            Words = words,
            Rule = rule,
            Texts = texts,
            Numbers = numbers,
            UnitText = unit,
            ListLength = list,
        };
    }

    /// <summary>What parts several plain numbers in one text; null when the texts are no such lists.</summary>
    private static string? ListSeparator(string?[] texts)
    {
        string[] there = [.. texts.OfType<string>().Where(text => text.Length > 0)];
        foreach (string separator in new[] { ",", ";", "|", " " })
        {
            if (
                there.Length > 0
                && Array.TrueForAll(
                    there,
                    text =>
                        text.Split(separator) is { Length: >= 2 and <= LongestList } parts
                        && parts.Length == there[0].Split(separator).Length
                        && Array.TrueForAll(parts, part => NumberText.Parse(part) is not null)
                )
            )
            {
                return separator;
            }
        }

        return null;
    }

    /// <summary>A property "ShutterUnit" tells the unit of "Shutter" beside it.</summary>
    private static void TellUnits(List<Channel> channels)
    {
        foreach (Channel telling in channels.Where(one => one.Words.Any(word => word is "unit" or "units")))
        {
            string[] stem = [.. telling.Words.Where(word => word is not ("unit" or "units"))];
            if (stem.Length == 0 || telling.Distinct != 1 || telling.IsNumeric)
            {
                continue;
            }

            string unit = telling.Texts.First(text => text is not null)!;
            foreach (Channel other in channels.Where(one => one != telling && one.Words.SequenceEqual(stem)))
            {
                other.UnitText = unit;
            }
        }
    }

    [GeneratedRegex(LeadingNumber, RegexOptions.CultureInvariant)]
    private static partial Regex LeadingNumberPattern();
}
