using System.Text.RegularExpressions;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Finds the camera's clock and the receiver's.</summary>
internal static partial class TimeProposal
{
    private static readonly string[] SatelliteWords = ["gps", "gnss", "satellite", "utc", "receiver"];

    public static bool ReadsAsTime(string text) => TimePattern().IsMatch(text);

    public static void Make(LearningDesk desk)
    {
        double? offset = desk.Answers.Number("clock.offsetMinutes");
        foreach (
            (int text, int subSeconds, int zone, bool exif) in new[]
            {
                (36867, 37521, 36881, true),
                (36868, 37522, 36882, true),
                (306, 37520, 36880, false),
            }
        )
        {
            PropertyKey key = exif ? PropertyKey.Exif(text) : PropertyKey.Tiff(text);
            if (desk.Has(key) && desk.Time.Count == 0)
            {
                desk.Time.Add(
                    new TimeRule
                    {
                        Text = key,
                        SubSeconds = PropertyKey.Exif(subSeconds),
                        Zone = PropertyKey.Exif(zone),
                        OffsetMinutes = offset,
                    }
                );
            }
        }

        FromXmp(desk, offset);
        if (desk.Has(PropertyKey.Gps(29)) && desk.Has(PropertyKey.Gps(7)))
        {
            desk.SatelliteTime.Add(
                new TimeRule
                {
                    Date = PropertyKey.Gps(29),
                    Clock = PropertyKey.Gps(7),
                    OffsetMinutes = 0,
                }
            );
        }

        Judge(desk);
    }

    private static void FromXmp(LearningDesk desk, double? offset)
    {
        Channel[] candidates =
        [
            .. desk.Channels.Where(one =>
                one.Rule.Property is { Source: PropertySource.Xmp }
                && one.ListLength == 1
                && one.Present > 0.9 * desk.Sample.Frames.Count
                && (one.Distinct > 1 || desk.Structure.Captures == 1)
            ),
        ];
        foreach (Channel one in candidates.Where(one => one.Texts.All(text => text is null || ReadsAsTime(text))))
        {
            bool satellite = one.Words.Any(SatelliteWords.Contains);
            bool file = one.Words.Any(word => word is "modify" or "metadata" or "create" or "process");
            List<TimeRule> target = satellite && desk.Time.Count > 0 ? desk.SatelliteTime : desk.Time;
            if (target.Count == 0 && !file)
            {
                target.Add(new TimeRule { Text = one.Rule.Property, OffsetMinutes = satellite ? 0 : offset });
            }
        }

        if (desk.Time.Count > 0)
        {
            return;
        }

        foreach (Channel one in candidates.Where(one => one.IsNumeric))
        {
            double middle = one.Values.Order().ElementAt(one.Values.Count() / 2);
            foreach ((string unit, double scale) in new[] { ("s", 1.0), ("ms", 1e3), ("us", 1e6), ("ns", 1e9) })
            {
                // Seconds since 1970 of the years 2009 to 2065.
                if (
                    desk.Time.Count == 0
                    && middle / scale is > 1.23e9 and < 3e9
                    && desk.Structure.SameWithinCapture(one) > 0.9
                )
                {
                    desk.Time.Add(new TimeRule { Epoch = one.Rule.Property, EpochUnit = unit });
                }
            }
        }
    }

    private static void Judge(LearningDesk desk)
    {
        MetadataMap map = new() { Time = [.. desk.Time], SatelliteTime = [.. desk.SatelliteTime] };
        FrameMetadata[] read = desk.PerCapture(map);
        int told = read.Count(one => (one.Time ?? one.SatelliteTime) is not null);
        if (told < 0.9 * read.Length)
        {
            desk.Doubt(
                "time",
                told == 0
                    ? "no property looks like a date and time."
                    : $"only {told} of {read.Length} triggers tell a time.",
                "mend [metadata.time] in the profile by hand"
            );
        }
        else if (read.All(one => one.Time?.OffsetFromUtc is null) && read.All(one => one.SatelliteTime is null))
        {
            desk.Doubt(
                "clock",
                "the camera's clock tells no time zone, and no receiver time stands beside it.",
                "clock.offsetMinutes=MINUTES (clock minus UTC; 0 when it runs on UTC)"
            );
        }

        foreach (
            (string name, List<TimeRule> rules) in new[] { ("time", desk.Time), ("satelliteTime", desk.SatelliteTime) }
        )
        {
            if (rules.Count > 0 && (rules[0].Text ?? rules[0].Epoch ?? rules[0].Date) is { } key)
            {
                desk.Quantities.Add(
                    new LearnedQuantity(
                        name,
                        ChannelListing.PlaceOf(key),
                        rules[0].Epoch is null ? "" : rules[0].EpochUnit,
                        "reads as a time",
                        Certainty.Sure
                    )
                );
            }
        }
    }

    [GeneratedRegex("^[0-9]{4}[:/.-][0-9]{2}[:/.-][0-9]{2}[ T][0-9]{2}:[0-9]{2}", RegexOptions.CultureInvariant)]
    private static partial Regex TimePattern();
}
