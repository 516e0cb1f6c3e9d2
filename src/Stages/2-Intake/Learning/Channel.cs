using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>One place of the files that may hold a quantity: a property, an item of a list, a part of a name.</summary>
internal sealed class Channel
{
    /// <summary>Shown and answered with.</summary>
    public required string Place { get; init; }

    /// <summary>Small-letter words of its name, of its last part first.</summary>
    public required IReadOnlyList<string> Words { get; init; }

    /// <summary>How the metadata map finds it.</summary>
    public required ValueRule Rule { get; init; }

    /// <summary>Per frame; null where it is not there.</summary>
    public required IReadOnlyList<string?> Texts { get; init; }

    /// <summary>Per frame; null where the text holds no number.</summary>
    public required IReadOnlyList<double?> Numbers { get; init; }

    /// <summary>What stands behind the number ("mW per square metre"), or in a property beside it that tells the unit.</summary>
    public string UnitText { get; set; } = "";

    /// <summary>Values in the list that this is an item of; 1 for none.</summary>
    public int ListLength { get; init; } = 1;

    public int Present => Texts.Count(text => text is not null);

    public int Distinct => Texts.Where(text => text is not null).Distinct(StringComparer.Ordinal).Count();

    public bool IsNumeric =>
        Present > 0 && Texts.Zip(Numbers).All(pair => pair.First is null || pair.Second is not null);

    public IEnumerable<double> Values => Numbers.Where(value => value is not null).Select(value => value!.Value);

    public bool IsText =>
        Rule.Property is { Source: PropertySource.Xmp } || Rule.FileName is not null || Rule.Folder is not null;

    /// <summary>The whole list, for quantities that take one.</summary>
    public ValueRule WholeList => Rule with { Item = 0 };
}
