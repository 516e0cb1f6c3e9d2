using System.Globalization;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Judges panel pictures and the irradiance series.</summary>
internal static class LightJudging
{
    private const double ClippedPanel = 0.01;
    private const double DarkPanel = 0.02;

    public static PanelCheck Panel(FieldCheckInput input, FrameJudging judging, FieldCheckSettings settings)
    {
        IReadOnlyList<IntakeCapture> captures = input.Intake.Captures;
        int first = captures.ToList().FindIndex(one => one.Role == CaptureRole.Survey);
        int last = captures.ToList().FindLastIndex(one => one.Role == CaptureRole.Survey);
        List<int> before = [];
        List<int> after = [];
        int unusable = 0;
        int dark = 0;
        for (int at = 0; at < captures.Count; at++)
        {
            if (captures[at].Role != CaptureRole.Panel)
            {
                continue;
            }

            bool usable = Usable(judging, at);
            unusable += usable ? 0 : 1;
            dark += IsDark(judging, at) ? 1 : 0;
            if (usable)
            {
                (
                    at < first ? before
                    : at > last ? after
                    : []
                ).Add(at);
            }
        }

        double? disagreement = null;
        string told = "";
        foreach (CameraBand band in input.Profile.ReflectiveBands)
        {
            double? one = Level(input, judging, band.Name, before);
            double? other = Level(input, judging, band.Name, after);
            if (one is > 0 && other is > 0)
            {
                disagreement = Math.Max(disagreement ?? 0, Math.Abs(Math.Log(one.Value / other.Value)));
            }
        }

        if (before.Count + after.Count == 0)
        {
            told = unusable > 0 ? $"none of {unusable} panel pictures can be used" : "no panel picture";
        }
        else if (before.Count == 0 || after.Count == 0)
        {
            told = $"panel pictures only {(before.Count == 0 ? "after" : "before")} the flight";
        }
        else if (disagreement > settings.PanelDisagreement)
        {
            told = string.Create(
                CultureInfo.InvariantCulture,
                $"panel before and after differ by {100 * disagreement:0} %: one may be in shadow"
            );
        }

        if (dark > 0)
        {
            told = string.Create(
                CultureInfo.InvariantCulture,
                $"{(told.Length > 0 ? told + "; " : "")}{dark} too dark: the panel lay in shadow, or was exposed too briefly"
            );
        }

        if (before.Count + after.Count > 0 && ImpliedLand(input, judging) is > BrightestLand and { } land)
        {
            told = string.Create(
                CultureInfo.InvariantCulture,
                $"{(told.Length > 0 ? told + "; " : "")}by the panel the land would reflect {100 * land:0} %, more than land does: the panel was in shadow"
            );
        }

        return new PanelCheck(before.Count, after.Count, disagreement, told) { TooDark = dark };
    }

    public static LightCheck Irradiance(FieldCheckInput input, FieldCheckSettings settings)
    {
        HashSet<string> survey = [.. input.Intake.OfRole(CaptureRole.Survey).Select(capture => capture.Id)];
        Dictionary<string, double> middles = input
            .Intake.Irradiance.Where(reading => survey.Contains(reading.CaptureId))
            .GroupBy(reading => reading.Band)
            .ToDictionary(group => group.Key, group => Median([.. group.Select(reading => reading.Irradiance)]));
        (string Id, DateTimeOffset? Time, double Level)[] series =
        [
            .. input
                .Intake.Irradiance.Where(reading => survey.Contains(reading.CaptureId) && middles[reading.Band] > 0)
                .GroupBy(reading => reading.CaptureId)
                .Select(group =>
                    (
                        group.Key,
                        group.First().TimeUtc,
                        group.Average(reading => reading.Irradiance / middles[reading.Band])
                    )
                )
                .OrderBy(one => one.Item2)
                .ThenBy(one => one.Key, StringComparer.Ordinal),
        ];
        if (series.Length < 5)
        {
            return new LightCheck(true, null, [], "no irradiance series: steadiness of the light is unknown");
        }

        DateTimeOffset start = series[0].Time ?? default;
        LightPoint[] points =
        [
            .. series.Select(
                (one, at) => new LightPoint(one.Time is { } time ? (time - start).TotalSeconds : at, one.Level)
            ),
        ];
        // Against the middle of a quarter of an hour or so, the sun's own course is slow.
        const int reach = 60;
        double[] off =
        [
            .. points.Select(
                (point, at) =>
                    Math.Abs(
                        point.Level
                            - Median([
                                .. points[Math.Max(0, at - reach)..Math.Min(points.Length, at + reach + 1)]
                                    .Select(one => one.Level),
                            ])
                    )
            ),
        ];
        double spread = off.Order().ElementAt((int)(0.95 * (off.Length - 1))) / 2;
        bool steady = spread <= settings.LightSpread;
        return new LightCheck(
            steady,
            spread,
            points,
            steady
                ? ""
                : string.Create(
                    CultureInfo.InvariantCulture,
                    $"light was broken: irradiance wanders by {100 * spread:0} %"
                )
        );
    }

    /// <summary>Of the panel, for one second, gain 1 and the irradiance of its moment where told.</summary>
    private static double? Level(FieldCheckInput input, FrameJudging judging, string band, List<int> captures)
    {
        List<double> levels = [];
        foreach (int at in captures)
        {
            Capture capture = input.Intake.Captures[at].Capture;
            int frame = capture.Frames.ToList().FindIndex(one => one.Band == band);
            if (frame >= 0 && judging.Looks[at][frame] is { } look)
            {
                BandFrame said = capture.Frames[frame];
                levels.Add(look.EvenShare / Light(said));
            }
        }

        return levels.Count == 0 ? null : Median([.. levels]);
    }

    /// <summary>What a frame's counts hang on beside the ground: exposure, gain, and irradiance where told.</summary>
    public static double Light(BandFrame said) =>
        (said.ExposureSeconds ?? 1) * (said.Gain ?? 1) * (said.Irradiance is > 0 ? said.Irradiance.Value : 1);

    /// <summary>Of all usable panel pictures; null when a band has none.</summary>
    public static double? PanelLevel(FieldCheckInput input, FrameJudging judging, string band) =>
        Level(
            input,
            judging,
            band,
            [
                .. Enumerable
                    .Range(0, input.Intake.Captures.Count)
                    .Where(at => input.Intake.Captures[at].Role == CaptureRole.Panel && Usable(judging, at)),
            ]
        );

    private static bool Usable(FrameJudging judging, int at) =>
        judging.Looks[at].Length > 0
        && judging
            .Looks[at]
            .All(look => look is null or { EvenSaturatedShare: < ClippedPanel, EvenShare: > DarkPanel });

    private static bool IsDark(FrameJudging judging, int at) =>
        judging.Looks[at].Any(look => look is { EvenShare: <= DarkPanel });

    /// <summary>
    /// The brightest that land as a whole can be, in any band: fresh snow aside. With the panel in shadow the ground
    /// seems brighter than that.
    /// </summary>
    private const double BrightestLand = 0.8;

    /// <summary>Mean reflectance of the land as the panel has it, in the band where it is largest; null without either.</summary>
    private static double? ImpliedLand(FieldCheckInput input, FrameJudging judging)
    {
        double? largest = null;
        foreach (CameraBand band in input.Profile.ReflectiveBands)
        {
            List<double> ground = [];
            for (int at = 0; at < input.Intake.Captures.Count; at++)
            {
                IReadOnlyList<BandFrame> frames = input.Intake.Captures[at].Capture.Frames;
                int frame = frames.ToList().FindIndex(one => one.Band == band.Name);
                if (
                    input.Intake.Captures[at].Role == CaptureRole.Survey
                    && frame >= 0
                    && judging.Looks[at][frame] is { } look
                )
                {
                    ground.Add(look.MeanShare / Light(frames[frame]));
                }
            }

            double? certified = input.Profile.Panel?.Levels.Min(level =>
                level.ReflectanceByBand.TryGetValue(band.Name, out double value) ? value : (double?)null
            );
            if (ground.Count > 0 && certified is { } said && PanelLevel(input, judging, band.Name) is > 0 and { } level)
            {
                largest = Math.Max(largest ?? 0, said * Median([.. ground]) / level);
            }
        }

        return largest;
    }

    private static double Median(double[] values)
    {
        Array.Sort(values);
        return values[values.Length / 2];
    }
}
