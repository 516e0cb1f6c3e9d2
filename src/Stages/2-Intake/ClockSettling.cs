using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>Finds how far the camera's clock is from UTC, and tells how it is known.</summary>
internal static class ClockSettling
{
    private const double TrustedSeconds = 2;

    /// <summary>Shadows are then six times as long as what casts them.</summary>
    private const double LowestSunDegrees = 10;

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
                {
                    Fault = stated ? FrameFault.Clock : null,
                }
            );
            return offset;
        }

        if (stated)
        {
            TellLowSun(all, metadata => metadata.Time!.TimeUtc, notes);
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
        TellLowSun(all, metadata => TimeUtc(metadata, assumed), notes);
        return assumed;
    }

    /// <summary>Nobody maps by a sun that low: a clock that says so is off, or its zone is.</summary>
    private static void TellLowSun(
        FrameMetadata[] all,
        Func<FrameMetadata, DateTimeOffset?> time,
        List<IntakeNote> notes
    )
    {
        double[] heights =
        [
            .. all.Where(metadata => metadata is { Latitude: not null, Longitude: not null })
                .Select(metadata => (metadata, Time: time(metadata)))
                .Where(one => one.Time is not null)
                .Select(one =>
                    SunPosition
                        .At(
                            one.Time!.Value,
                            new GeodeticPosition(one.metadata.Latitude!.Value, one.metadata.Longitude!.Value, 0)
                        )
                        .Altitude.Degrees
                )
                .Order(),
        ];
        if (heights.Length == 0 || heights[heights.Length / 2] >= LowestSunDegrees)
        {
            return;
        }

        double sun = heights[heights.Length / 2];
        notes.Add(
            new IntakeNote(
                NoteWeight.Assumed,
                "card",
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"by the camera's clock the sun stood {(sun < 0 ? "below the horizon" : $"only {sun:0}° high")}: the clock or its zone is off, or the light was too poor to map."
                ),
                "Set the camera's clock; until then tell how far it is off with offsetMinutes in [metadata.time] of the camera profile."
            )
            {
                Fault = FrameFault.Clock,
            }
        );
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
