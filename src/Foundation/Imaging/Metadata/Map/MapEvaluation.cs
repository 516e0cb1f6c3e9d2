using System.Globalization;
using System.Text.RegularExpressions;
using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>One evaluation of a metadata map: finds values, converts them, and notes what made no sense.</summary>
internal sealed class MapEvaluation(MetadataMap map, PropertyBag bag, string path, List<string> complaints)
{
    public Angle? Angle(FrameQuantity quantity, double mostDegrees) =>
        Number(quantity, -mostDegrees, mostDegrees) is { } degrees ? Numerics.Angle.FromDegrees(degrees) : null;

    /// <summary>The first value in base units, or null when absent or out of range.</summary>
    public double? Number(FrameQuantity quantity, double low, double high) => Numbers(quantity, low, high)?[0];

    /// <summary>All values in base units; null when absent, or when one is out of range.</summary>
    public IReadOnlyList<double>? Numbers(FrameQuantity quantity, double low, double high) =>
        NumbersOf(quantity, low, high, out _);

    /// <summary>With true for W m⁻² nm⁻¹, false for a relative scale.</summary>
    public (IReadOnlyList<double>? Values, bool Absolute) Irradiances()
    {
        IReadOnlyList<double>? values = NumbersOf(FrameQuantity.Irradiance, 0, 1e9, out ValueRule? rule);
        return (values, rule is not null && rule.Unit is not ("" or "relative"));
    }

    /// <summary>Height in metres; the file's own reference code, where it is one of Exif 3.0's new ones, settles the reference.</summary>
    public double? Height(ref VerticalReference reference)
    {
        double? height = NumbersOf(FrameQuantity.Height, -1e5, 1e6, out ValueRule? rule)?[0];
        // Codes 0 and 1 meant "sea level" before Exif 3.0 and "ellipsoid" since: they settle nothing. 2 and 3 are new.
        if (height is not null && rule?.Letter is { } letter && Code(letter) is 2 or 3)
        {
            reference = VerticalReference.Egm96Geoid;
        }

        return height;
    }

    public string? Text(FrameQuantity quantity)
    {
        foreach (ValueRule rule in Rules(quantity))
        {
            string[] texts = Texts(rule);
            int item = Math.Max(rule.Item, 1) - 1;
            if (item < texts.Length && texts[item].Trim() is { Length: > 0 } found)
            {
                return found;
            }
        }

        return null;
    }

    public RecordedTime? Time(IReadOnlyList<TimeRule> rules, string name)
    {
        foreach (TimeRule rule in rules)
        {
            if (TimeOf(rule, name) is { } time)
            {
                return time;
            }
        }

        return null;
    }

    private IReadOnlyList<ValueRule> Rules(FrameQuantity quantity) =>
        map.Values.TryGetValue(quantity, out IReadOnlyList<ValueRule>? rules) ? rules : [];

    private double[]? NumbersOf(FrameQuantity quantity, double low, double high, out ValueRule? used)
    {
        foreach (ValueRule rule in Rules(quantity))
        {
            double[]? found = RawNumbers(quantity, rule);
            if (found is null)
            {
                continue;
            }

            QuantityKind kind = FrameQuantities.KindOf(quantity);
            MetadataUnit unit =
                MetadataUnit.Find(kind, rule.Unit.Length > 0 ? rule.Unit : FrameQuantities.UsualUnitOf(quantity))
                ?? throw new InvalidOperationException($"{quantity}: no unit {rule.Unit}.");
            double sign = rule.Letter is { } letter && IsNegative(letter) ? -1 : 1;
            double[] values = Array.ConvertAll(found, value => sign * unit.ToBase((value * rule.Scale) + rule.Offset));
            if (Array.TrueForAll(values, value => value >= low && value <= high))
            {
                used = rule;
                return values;
            }

            Complain(quantity, rule, FormattableString.Invariant($"{values[0]:R} is out of range"));
        }

        used = null;
        return null;
    }

    /// <summary>Numbers as written, before scale and unit; null when there are none.</summary>
    private double[]? RawNumbers(FrameQuantity quantity, ValueRule rule)
    {
        bool mayBeSexagesimal =
            rule.Form == NumberForm.Sexagesimal
            || (rule.Form == NumberForm.Any && quantity is FrameQuantity.Latitude or FrameQuantity.Longitude);
        if (rule is { Property: { } key, Pattern: "", Separator: "" } && bag.Find(key) is { } property)
        {
            if (mayBeSexagesimal && rule.Item == 0 && property.Count == 3 && Three(property) is { } degrees)
            {
                return [degrees];
            }

            if (property.Form is PropertyForm.Integers or PropertyForm.Rationals or PropertyForm.Reals)
            {
                return Picked(quantity, rule, property.Count, property.Number);
            }
        }

        string[] texts = Texts(rule);
        if (texts.Length == 0)
        {
            return null;
        }

        return Picked(
            quantity,
            rule,
            texts.Length,
            index =>
                (rule.Form == NumberForm.Sexagesimal ? null : NumberText.Parse(texts[index]))
                ?? (mayBeSexagesimal ? NumberText.ParseSexagesimal(texts[index]) : null)
        );
    }

    private double[]? Picked(FrameQuantity quantity, ValueRule rule, int count, Func<int, double?> number)
    {
        const int mostValues = 1024;
        int first = Math.Max(rule.Item, 1) - 1;
        int take = rule.Item > 0 || !FrameQuantities.IsList(quantity) ? 1 : Math.Min(count, mostValues);
        if (first + take > count || take == 0)
        {
            return null;
        }

        double[] values = new double[take];
        for (int i = 0; i < take; i++)
        {
            if (number(first + i) is not { } value)
            {
                // 0/0 and empty text are how files say "unknown": no complaint.
                if (RawText(rule) is { Length: > 0 } text && text != "0/0")
                {
                    Complain(quantity, rule, $"\"{Short(text)}\" is no number");
                }

                return null;
            }

            values[i] = rule.Form == NumberForm.ApexTime ? Math.Pow(2, -value) : value;
        }

        return values;
    }

    private static double? Three(PropertyValue property) =>
        property.Number(0) is { } degrees && property.Number(1) is { } minutes && property.Number(2) is { } seconds
            ? degrees + (minutes / 60) + (seconds / 3600)
            : null;

    private string[] Texts(ValueRule rule)
    {
        string[] texts = rule switch
        {
            { Property: { } key } => bag.Find(key) is { } found
                ? [.. Enumerable.Range(0, found.Count).Select(found.Text)]
                : [],
            { FileName: { } pattern } => Match(pattern, Path.GetFileName(path)),
            { Folder: { } pattern } => Match(pattern, Path.GetFileName(Path.GetDirectoryName(path)) ?? ""),
            { Constant: { } constant } => [constant],
            _ => [],
        };
        if (rule.Separator.Length > 0)
        {
            texts = [.. texts.SelectMany(text => text.Split(rule.Separator)).Select(part => part.Trim())];
        }

        return rule.Pattern.Length > 0 ? [.. texts.SelectMany(text => Match(rule.Pattern, text))] : texts;
    }

    private static string[] Match(string pattern, string text)
    {
        Match match = ValueRule.Compile(pattern).Match(text);
        return !match.Success ? [] : [match.Groups.Count > 1 ? match.Groups[1].Value : match.Value];
    }

    private string RawText(ValueRule rule) =>
        rule.Property is { } key && bag.Find(key) is { } found ? found.ToString().Trim() : "";

    private bool IsNegative(PropertyKey key) =>
        Code(key) is { } code
            ? code is 1 or 3
            : bag.Find(key) is { } found
                && found.Text(0).Trim() is [var first, ..]
                && char.ToUpperInvariant(first) is 'S' or 'W' or '-' or 'B';

    private double? Code(PropertyKey key) => bag.Find(key) is { Count: > 0 } found ? found.Number(0) : null;

    private RecordedTime? TimeOf(TimeRule rule, string name)
    {
        (DateTime Clock, TimeSpan? Offset, bool HasFraction)? read = null;
        if (rule.Text is { } textKey && First(textKey) is { } text)
        {
            read = TimeText.Parse(text);
            if (read is null && text.AsSpan().ContainsAnyInRange('1', '9'))
            {
                complaints.Add($"{name}: {textKey} = \"{Short(text)}\" is no date and time");
            }
        }
        else if (rule.Date is { } dateKey && rule.Clock is { } clockKey)
        {
            if (First(dateKey) is { } date && TimeText.ParseDate(date) is { } day && ClockAt(clockKey) is { } clock)
            {
                read = (day + clock, null, true);
            }
        }
        else if (rule.Epoch is { } epochKey && First(epochKey) is { } count)
        {
            return SinceEpoch(count, rule.EpochUnit);
        }

        if (read is not { } time)
        {
            return null;
        }

        DateTime shown = time.Clock;
        if (
            !time.HasFraction
            && rule.SubSeconds is { } fractionKey
            && First(fractionKey) is { } digits
            && TimeText.ParseSubSeconds(digits) is { } fraction
        )
        {
            shown += fraction;
        }

        TimeSpan? stated =
            time.Offset ?? (rule.Zone is { } zone && First(zone) is { } told ? TimeText.ParseOffset(told) : null);
        return stated is not null ? new RecordedTime(shown, stated, ZoneKnowledge.StatedInFile)
            : rule.OffsetMinutes is { } minutes
                ? new RecordedTime(shown, TimeSpan.FromMinutes(minutes), ZoneKnowledge.StatedInMap)
            : new RecordedTime(shown, null, ZoneKnowledge.Unknown);
    }

    /// <summary>Read as a decimal: a double would not keep today's microseconds.</summary>
    private static RecordedTime? SinceEpoch(string count, string unit)
    {
        const long mostSeconds = 250_000_000_000;
        return
            decimal.TryParse(count, NumberStyles.Float, CultureInfo.InvariantCulture, out decimal number)
            && number is > 0 and < 1e21m
            && MetadataUnit.Find(QuantityKind.Duration, unit) is { } scale
            && number * (decimal)scale.Scale is < mostSeconds and var seconds
            ? new RecordedTime(
                new DateTime(1970, 1, 1, 0, 0, 0, DateTimeKind.Unspecified).AddTicks(
                    (long)(seconds * TimeSpan.TicksPerSecond)
                ),
                TimeSpan.Zero,
                ZoneKnowledge.StatedInFile
            )
            : null;
    }

    private TimeSpan? ClockAt(PropertyKey key)
    {
        if (bag.Find(key) is not { } found)
        {
            return null;
        }

        if (found.Count == 3)
        {
            return
                found.Number(0) is { } hours and >= 0 and < 24
                && found.Number(1) is { } minutes and >= 0 and < 60
                && found.Number(2) is { } seconds and >= 0 and <= 60
                ? TimeText.Clock((decimal)hours, (decimal)minutes, (decimal)seconds)
                : null;
        }

        return TimeText.ParseClock(found.Text(0).AsSpan().Trim());
    }

    private string? First(PropertyKey key) => bag.Find(key) is { Count: > 0 } found ? found.Text(0) : null;

    private void Complain(FrameQuantity quantity, ValueRule rule, string what) =>
        complaints.Add($"{ProfileSection.Word(quantity)}: {rule.Property?.ToString() ?? "rule"}: {what}");

    private static string Short(string text)
    {
        string clean = string.Concat(text.Take(80).Select(letter => char.IsControl(letter) ? ' ' : letter));
        return text.Length > 80 ? clean + "…" : clean;
    }
}
