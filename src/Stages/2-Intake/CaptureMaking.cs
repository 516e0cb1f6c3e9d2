using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>What roles are settled by, beside the capture itself.</summary>
internal sealed record CaptureDetails(string? PanelMarker, string? OwnId);

/// <summary>Makes captures of groups of frames: time in UTC, height above the ellipsoid, values of each frame.</summary>
internal static class CaptureMaking
{
    /// <summary>Captures in order of time; those without a time keep the order of their files, at the end.</summary>
    public static IReadOnlyList<Capture> Make(
        CameraProfile profile,
        IntakeSettings settings,
        IReadOnlyList<IReadOnlyList<CardFrame>> groups,
        List<IntakeNote> notes,
        out IReadOnlyDictionary<string, CaptureDetails> details
    )
    {
        TimeSpan? offset = ClockSettling.Offset(groups, settings, notes);
        (IReadOnlyList<CardFrame> Frames, DateTimeOffset? Time)[] ordered =
        [
            .. groups
                .Select(group => (group, Time: First(group, m => ClockSettling.TimeUtc(m, offset))))
                .OrderBy(entry => entry.Time ?? DateTimeOffset.MaxValue)
                .ThenBy(entry => entry.group[0].File, StringComparer.Ordinal),
        ];
        int digits = Math.Max(4, ordered.Length.ToString(CultureInfo.InvariantCulture).Length);
        Dictionary<string, CaptureDetails> beside = [];
        List<Capture> captures = [];
        HeightSettling heights = new(settings);
        IsoGains gains = new();
        int timeless = 0;
        for (int index = 0; index < ordered.Length; index++)
        {
            (IReadOnlyList<CardFrame> frames, DateTimeOffset? time) = ordered[index];
            string id = (index + 1).ToString(CultureInfo.InvariantCulture).PadLeft(digits, '0');
            timeless += time is null ? 1 : 0;
            captures.Add(
                new Capture
                {
                    Id = id,
                    TimeUtc = time,
                    Position = heights.Settle(FirstOf(frames, metadata => metadata.Position)),
                    Attitude = First(frames, metadata => metadata.Attitude),
                    IrradianceAttitude = First(frames, metadata => metadata.IrradianceAttitude),
                    Frames = [.. frames.Select(frame => FrameOf(profile, frame, gains))],
                }
            );
            beside[id] = new CaptureDetails(
                FirstOf(frames, metadata => metadata.PanelMarker),
                FirstOf(frames, metadata => metadata.CaptureId)
            );
            string[] missing = [.. profile.Bands.Select(band => band.Name).Except(frames.Select(frame => frame.Band))];
            if (missing.Length > 0)
            {
                notes.Add(
                    new IntakeNote(
                        NoteWeight.Excluded,
                        $"capture {id} ({frames[0].File})",
                        $"band {string.Join(", ", missing)} is missing; the other bands are used.",
                        "Copy the missing files from the card again if they are there."
                    )
                    {
                        Fault = FrameFault.MissingBand,
                    }
                );
            }
        }

        heights.Tell(notes);
        gains.Tell(notes);
        if (timeless > 0)
        {
            notes.Add(
                new IntakeNote(
                    NoteWeight.Assumed,
                    "card",
                    $"{timeless} captures tell no time: put last, in the order of their names.",
                    "Tell time or satelliteTime in the camera profile's metadata map."
                )
            );
        }

        details = beside;
        return captures;
    }

    private static T? First<T>(IReadOnlyList<CardFrame> frames, Func<FrameMetadata, T?> value)
        where T : struct => frames.Select(frame => value(frame.Metadata)).FirstOrDefault(found => found is not null);

    private static T? FirstOf<T>(IReadOnlyList<CardFrame> frames, Func<FrameMetadata, T?> value)
        where T : class => frames.Select(frame => value(frame.Metadata)).FirstOrDefault(found => found is not null);

    private static BandFrame FrameOf(CameraProfile profile, CardFrame frame, IsoGains gains)
    {
        FrameMetadata said = frame.Metadata;
        int band = IndexOf(profile, frame.Band);

        double scale = profile.IrradianceSensor?.BandScale.GetValueOrDefault(frame.Band, 1) ?? 1;
        return new BandFrame
        {
            Band = frame.Band,
            File = frame.File,
            Page = frame.Page,
            Plane = profile.Bands[band].Plane ?? 0,
            ExposureSeconds = said.ExposureSeconds,
            Gain = gains.Of(said),
            BlackLevelCounts = BlackLevel(profile, said.BlackLevelsCounts, frame.Band),
            Irradiance = One(profile, said.Irradiances, band) * scale,
            SensorTemperatureCelsius = said.TemperatureCelsius,
        };
    }

    /// <summary>One value is this frame's own; as many as bands: this band's.</summary>
    private static double? One(CameraProfile profile, IReadOnlyList<double>? values, int band) =>
        values is null or { Count: 0 } ? null
        : values.Count == 1 ? values[0]
        : values.Count == profile.Bands.Count ? values[band]
        : null;

    /// <summary>A sensor's pattern has four cells; their mean is what the frame's black is.</summary>
    internal static double? BlackLevel(CameraProfile profile, IReadOnlyList<double>? values, string band) =>
        values is null or { Count: 0 } ? null
        : values.Count == 4 ? values.Average()
        : One(profile, values, IndexOf(profile, band)) ?? values.Average();

    private static int IndexOf(CameraProfile profile, string band)
    {
        int index = 0;
        while (profile.Bands[index].Name != band)
        {
            index++;
        }

        return index;
    }
}

/// <summary>Gain from the film-speed number when the camera tells no gain: 100 is an amplification of 1.</summary>
internal sealed class IsoGains
{
    private bool used;

    public double? Of(FrameMetadata said)
    {
        if (said.Gain is { } gain)
        {
            return gain;
        }

        used |= said.Iso is not null;
        return said.Iso / 100;
    }

    public void Tell(List<IntakeNote> notes)
    {
        if (used)
        {
            notes.Add(new IntakeNote(NoteWeight.Told, "card", "gain is taken from the ISO number, 100 being 1.", ""));
        }
    }
}

/// <summary>Brings every height above the ellipsoid and counts the assumptions made.</summary>
internal sealed class HeightSettling(IntakeSettings settings)
{
    private int assumed;
    private int converted;

    public CapturePosition? Settle(CapturePosition? position)
    {
        if (position is null || position.HeightReference == VerticalReference.Ellipsoid)
        {
            return position;
        }

        bool unknown = position.HeightReference == VerticalReference.Unknown;
        VerticalReference reference = unknown ? settings.UnknownHeightReference : position.HeightReference;
        assumed += unknown ? 1 : 0;
        converted += unknown ? 0 : 1;
        double metres = new Height(position.HeightMetres, reference).EllipsoidalMetres(
            new GeographicPoint(position.Latitude, position.Longitude.WrappedSigned()),
            GeoidModel.Egm96
        );
        return position with { HeightMetres = metres, HeightReference = VerticalReference.Ellipsoid };
    }

    public void Tell(List<IntakeNote> notes)
    {
        if (assumed > 0)
        {
            string meaning =
                settings.UnknownHeightReference == VerticalReference.Ellipsoid
                    ? "above the WGS 84 ellipsoid"
                    : "above sea level (EGM96)";
            notes.Add(
                new IntakeNote(
                    NoteWeight.Assumed,
                    "card",
                    $"{assumed} captures do not say what their height is measured from: taken as {meaning}.",
                    "State heightReference in the camera profile's metadata map."
                )
            );
        }

        if (converted > 0)
        {
            notes.Add(
                new IntakeNote(
                    NoteWeight.Told,
                    "card",
                    $"heights above sea level of {converted} captures were brought above the ellipsoid with EGM96.",
                    ""
                )
            );
        }
    }
}
