using Hillrow.Imaging;

namespace Hillrow.Radiometry;

/// <summary>Settles one band: its factor, and each frame's.</summary>
internal sealed class BandCalibrating(
    RadiometryInput input,
    RadiometrySettings settings,
    List<string> faults,
    IReadOnlyList<PanelReading> darker,
    double panelLookSigma
)
{
    public const double SamePanelLookSeconds = 90;

    /// <summary>Two fields of a panel in one picture are told apart to this: unevenness of each; common practice, no source.</summary>
    private const double LeastRatioSigma = 0.003;

    /// <summary>A level at a moment: reflectance per relative radiance in the survey's median light.</summary>
    private readonly record struct Look(double Seconds, double Level, int Count);

    public (BandFactor Band, IReadOnlyList<FrameFactor> Frames) Settle(
        CameraBand band,
        IReadOnlyList<PanelReading> readings,
        IrradianceSeries light,
        bool anyExposure
    )
    {
        Dictionary<string, Capture> byId = input.Captures.ToDictionary(capture => capture.Id);
        PanelReading[] good = [.. readings.Where(reading => reading.Band == band.Name && reading.Accepted)];
        if (good.Length > 0 && CertifiedOf(band, good[0].Level) is null)
        {
            good = [];
            faults.Add(
                $"Band {band.Name}: the panel's certificate in the camera profile does not name it; it may be of another camera. Write the certificate's value of every band into the profile."
            );
        }

        bool panel =
            good.Length > 0
            && settings.Force is null or CalibrationMethod.Panel or CalibrationMethod.PanelAndIrradiance;
        bool sensor = light.Usable && settings.Force is not CalibrationMethod.Panel;
        if (panel && good.Length > 0)
        {
            return WithPanel(band, good, sensor ? light : null, light, byId, anyExposure);
        }

        bool absolute =
            sensor
            && settings.Force is null or CalibrationMethod.Irradiance
            && band.RadiometricScale is not null
            && input.Profile.IrradianceSensor?.Unit == IrradianceUnit.WattsPerSquareMetreNanometre;
        if (absolute && light.Usable)
        {
            faults.Add(
                $"Band {band.Name}: no usable picture of the panel; the level comes from the makers' calibrations of camera and irradiance sensor. Take panel pictures before and after each flight."
            );
            return (
                new BandFactor(
                    band.Name,
                    Math.PI / (band.RadiometricScale!.Value * light.Median),
                    settings.AbsoluteRelativeSigma,
                    CalibrationMethod.Irradiance,
                    "no usable panel; camera and irradiance sensor are calibrated absolutely"
                ),
                Frames(band, light, _ => 1, settings.IrradianceRelativeSigma, anyExposure)
            );
        }

        faults.Add(
            $"Band {band.Name} cannot be turned into reflectance: no usable picture of the panel, and {(light.Usable ? "camera or irradiance sensor are not calibrated absolutely" : light.Fault)}. Give a panel picture by hand, or point out the panel in it."
        );
        return (new BandFactor(band.Name, 0, 0, CalibrationMethod.None, "neither panel nor absolute irradiance"), []);
    }

    private (BandFactor, IReadOnlyList<FrameFactor>) WithPanel(
        CameraBand band,
        PanelReading[] good,
        IrradianceSeries? sensor,
        IrradianceSeries light,
        Dictionary<string, Capture> byId,
        bool anyExposure
    )
    {
        PanelLevel level = input.Profile.Panel!.Levels.First(one => one.Name == good[0].Level);
        PanelLine line = PanelLine.Fit(LevelsOf(band, level, good));
        DateTimeOffset origin = input.Captures.Select(capture => capture.TimeUtc).Min() ?? DateTimeOffset.UnixEpoch;
        List<Look> looks = [];
        foreach (PanelReading reading in good)
        {
            double relativeLight = sensor is null ? 1 : (sensor.At(reading.CaptureId) ?? sensor.Median) / sensor.Median;
            double value = line.Gain / reading.RelativeRadiance * relativeLight;
            double seconds = (byId[reading.CaptureId].TimeUtc - origin)?.TotalSeconds ?? 0;
            if (looks.Count > 0 && seconds - looks[^1].Seconds < SamePanelLookSeconds)
            {
                Look last = looks[^1];
                looks[^1] = new Look(
                    ((last.Seconds * last.Count) + seconds) / (last.Count + 1),
                    ((last.Level * last.Count) + value) / (last.Count + 1),
                    last.Count + 1
                );
            }
            else
            {
                looks.Add(new Look(seconds, value, 1));
            }
        }

        double mean = looks.Average(look => look.Level);
        double spread = (looks.Max(look => look.Level) - looks.Min(look => look.Level)) / mean;
        if (spread > settings.LargestDisagreement)
        {
            faults.Add(
                FormattableString.Invariant(
                    $"Band {band.Name}: the panel's looks differ by {100 * spread:0} % (limit {100 * settings.LargestDisagreement:0} %): the light changed, or the panel lay in shadow. Take the panel again in the survey's light."
                )
            );
        }

        double certificate = line.GainRelativeSigma;
        double bandSigma = Math.Sqrt(
            (certificate * certificate)
                + (
                    (
                        sensor is null
                            ? settings.PanelRelativeSigma * settings.PanelRelativeSigma
                            : panelLookSigma * panelLookSigma
                    ) / looks.Count
                )
                + (sensor is null ? spread * spread / 12 : 0)
        );
        double frameSigma = Math.Max(
            sensor is null ? settings.UnwatchedLightRelativeSigma : settings.IrradianceRelativeSigma,
            spread / 4
        );
        string reason = sensor is null
            ? $"{good.Length} panel readings in {looks.Count} looks, {(looks.Count > 1 ? "interpolated in time" : "held for the whole survey")}; {light.Fault}"
            : $"{good.Length} panel readings in {looks.Count} looks set the level, the irradiance sensor follows the light";
        return (
            new BandFactor(
                band.Name,
                mean,
                bandSigma,
                sensor is null ? CalibrationMethod.Panel : CalibrationMethod.PanelAndIrradiance,
                reason + Told(line, input.Profile.Panel!.Levels.Count)
            )
            {
                PanelLevels = line.Levels,
                PanelResidual = line.Levels > 1 ? line.Residual : null,
                StrayLightShare = line.UsesOffset ? line.StrayShare * BrightOverFrame(good) : null,
                StrayLightSigma = line.UsesOffset ? line.StraySigma * BrightOverFrame(good) : null,
                PanelChange = looks.Count > 1 ? spread : null,
            },
            Frames(
                band,
                sensor,
                capture => At(looks, (capture.TimeUtc - origin)?.TotalSeconds ?? 0) / mean,
                frameSigma,
                anyExposure
            )
        );
    }

    private static string Told(PanelLine line, int inProfile) =>
        inProfile < 2 ? ""
        : line.Levels < 2 ? $"; of the panel's {inProfile} levels only the brightest was found: a line through 0"
        : line.UsesOffset
            ? FormattableString.Invariant(
                $"; a line through {line.Levels} of {inProfile} levels with an offset: {100 * line.StrayShare:0.0} ± {100 * line.StraySigma:0.0} % of the brightest level's light is in the picture where nothing is reflected"
            )
        : FormattableString.Invariant(
            $"; a line through {line.Levels} of {inProfile} levels and 0: an offset would not exceed twice its error of {100 * line.StraySigma:0.0} %"
        );

    private static double BrightOverFrame(PanelReading[] good)
    {
        double[] ratios =
        [
            .. good.Select(reading => reading.RelativeRadiance / Math.Max(1e-12, reading.FrameRadiance)).Order(),
        ];
        return ratios[ratios.Length / 2];
    }

    /// <summary>Brightness of each level over the brightest's: the light drops out, so all looks are put together.</summary>
    private List<GreyLevel> LevelsOf(CameraBand band, PanelLevel brightest, PanelReading[] good)
    {
        Dictionary<string, PanelReading> bright = [];
        foreach (PanelReading reading in good)
        {
            bright[reading.CaptureId] = reading;
        }

        List<GreyLevel> levels =
        [
            new GreyLevel(CertifiedOf(band, brightest.Name)!.Value, brightest.CertificateSigma, 1, 0),
        ];
        foreach (
            IGrouping<string, PanelReading> level in darker
                .Where(reading => reading.Band == band.Name && bright.ContainsKey(reading.CaptureId))
                .GroupBy(reading => reading.Level)
        )
        {
            if (CertifiedOf(band, level.Key) is not { } certified)
            {
                continue;
            }

            double[] ratios =
            [
                .. level
                    .Select(reading => reading.RelativeRadiance / bright[reading.CaptureId].RelativeRadiance)
                    .Order(),
            ];
            double median = (ratios[ratios.Length / 2] + ratios[(ratios.Length - 1) / 2]) / 2;
            double sigma = Math.Max(
                LeastRatioSigma * median,
                1.4826
                    * ratios.Select(ratio => Math.Abs(ratio - median)).Order().ElementAt(ratios.Length / 2)
                    / Math.Sqrt(ratios.Length)
            );
            double certificate = input.Profile.Panel!.Levels.First(one => one.Name == level.Key).CertificateSigma;
            levels.Add(new GreyLevel(certified, certificate, median, sigma));
        }

        return levels;
    }

    private List<FrameFactor> Frames(
        CameraBand band,
        IrradianceSeries? sensor,
        Func<Capture, double> level,
        double sigma,
        bool anyExposure
    )
    {
        List<FrameFactor> frames = [];
        int dark = 0;
        foreach (Capture capture in input.Captures)
        {
            if (capture.FrameOf(band.Name) is not { } frame)
            {
                continue;
            }

            double? light = sensor is null ? 1 : sensor.At(capture.Id) / sensor.Median;
            if (light is null || (anyExposure && frame.ExposureSeconds is null))
            {
                dark++;
                continue;
            }

            frames.Add(new FrameFactor(capture.Id, band.Name, level(capture) / light.Value, sigma));
        }

        if (dark > 0)
        {
            faults.Add(
                $"Band {band.Name}: {dark} frames tell no exposure or no irradiance while others do; they are left out. Mend the camera profile's metadata map if the files tell them."
            );
        }

        return frames;
    }

    private double? CertifiedOf(CameraBand band, string level) =>
        input
            .Profile.Panel!.Levels.First(one => one.Name == level)
            .ReflectanceByBand.TryGetValue(band.Name, out double value) && value is > 0 and < 1.2
            ? value
            : null;

    /// <summary>Straight lines between looks, the first and last held beyond.</summary>
    private static double At(List<Look> looks, double seconds)
    {
        int after = looks.FindIndex(look => look.Seconds >= seconds);
        if (after <= 0)
        {
            return after == 0 ? looks[0].Level : looks[^1].Level;
        }

        (Look a, Look b) = (looks[after - 1], looks[after]);
        return a.Level + ((b.Level - a.Level) * (seconds - a.Seconds) / (b.Seconds - a.Seconds));
    }
}
