using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>Finds how far the camera's clock is from UTC, and tells how it is known.</summary>
internal static class ClockSettling
{
    private const double TrustedSeconds = 2;

    /// <summary>Camera clock minus UTC; null when frames tell their own offsets and these hold.</summary>
    public static TimeSpan? Offset(
        IReadOnlyList<IReadOnlyList<CardFrame>> groups,
        IntakeSettings settings,
        List<IntakeNote> notes
    )
    {
        FrameMetadata[] all =
        [
            .. groups.Select(group => group[0].Metadata).Where(metadata => metadata.Time is not null),
        ];
        if (all.Length == 0)
        {
            return null;
        }

        double[] against =
        [
            .. all.Where(metadata => metadata.SatelliteTime?.TimeUtc is not null)
                .Select(metadata =>
                    (metadata.Time!.Clock - metadata.SatelliteTime!.TimeUtc!.Value.UtcDateTime).TotalSeconds
                )
                .Order(),
        ];
        bool stated = all.All(metadata => metadata.Time!.TimeUtc is not null);
        if (against.Length > 0)
        {
            double median = against[against.Length / 2];
            TimeSpan statedOffset = all[0].Time!.OffsetFromUtc ?? TimeSpan.Zero;
            double off = median - (stated ? statedOffset.TotalSeconds : 0);
            if (stated && Math.Abs(off) <= TrustedSeconds)
            {
                return null;
            }

            // Receivers often tell whole seconds only: a clock set by them is an exact number of minutes away.
            double minutes = Math.Round(median / 60) * 60;
            TimeSpan offset = TimeSpan.FromSeconds(Math.Abs(median - minutes) <= TrustedSeconds ? minutes : median);
            notes.Add(
                new IntakeNote(
                    stated ? NoteWeight.Assumed : NoteWeight.Told,
                    "card",
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"the camera's clock runs {offset.TotalHours:0.####} h from UTC by the satellite time of {against.Length} captures{(stated ? ", not as its files say" : "")}: times corrected."
                    ),
                    stated ? "Set the camera's clock and zone." : ""
                )
            );
            return offset;
        }

        if (stated)
        {
            return null;
        }

        TimeSpan assumed = settings.ClockOffsetMinutes is { } given ? TimeSpan.FromMinutes(given) : Guess(all);
        notes.Add(
            new IntakeNote(
                NoteWeight.Assumed,
                "card",
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"nothing in the files tells the clock's zone: taken as UTC{assumed.TotalHours:+0.##;-0.##;+0} h{(settings.ClockOffsetMinutes is null ? ", by the sun's height" : ", as given")}."
                ),
                "Tell the clock's offset from UTC if this is not so."
            )
        );
        return assumed;
    }

    /// <summary>UTC when the sun stood well up then; else the zone of the longitude.</summary>
    private static TimeSpan Guess(FrameMetadata[] all)
    {
        FrameMetadata? placed = all.FirstOrDefault(metadata => metadata is { Latitude: not null, Longitude: not null });
        if (placed is null)
        {
            return TimeSpan.Zero;
        }

        DateTimeOffset asUtc = new(DateTime.SpecifyKind(placed.Time!.Clock, DateTimeKind.Utc));
        GeodeticPosition place = new(placed.Latitude!.Value, placed.Longitude!.Value, 0);
        TimeSpan zone = TimeSpan.FromHours(Math.Round(place.Longitude.WrappedSigned().Degrees / 15));
        double high = SunPosition.At(asUtc, place).Altitude.Degrees;
        double local = SunPosition.At(asUtc - zone, place).Altitude.Degrees;
        return high >= 20 || high >= local ? TimeSpan.Zero : zone;
    }

    public static DateTimeOffset? TimeUtc(FrameMetadata metadata, TimeSpan? offset)
    {
        if (metadata.Time is not { } time)
        {
            return metadata.SatelliteTime?.TimeUtc;
        }

        if (offset is not { } settled)
        {
            return time.TimeUtc;
        }

        long ticks = time.Clock.Ticks - settled.Ticks;
        return ticks > DateTime.MinValue.Ticks && ticks < DateTime.MaxValue.Ticks
            ? new DateTimeOffset(ticks, TimeSpan.Zero)
            : null;
    }
}
