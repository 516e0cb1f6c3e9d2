using System.Collections.Concurrent;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>Captures and panel pictures in, calibration out; see README.md beside this file.</summary>
public static class RadiometryStage
{
    /// <summary>Reads only the panel's pictures; frames become reflectance later, by <see cref="ReflectanceFrames"/>.</summary>
    /// <exception cref="InputProblemException">Settings at fault, or a falloff map that cannot be read.</exception>
    public static RadiometryResult Run(
        RadiometryInput input,
        RadiometrySettings settings,
        IProgress<WorkProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(input);
        ArgumentNullException.ThrowIfNull(settings);
        settings.Validate();
        if (input.Profile.IsColour)
        {
            return ColourCalibrating.Settle(input);
        }

        List<string> faults = [];
        List<string> remarks = [];
        PanelReading[] seen = [.. LookAtPanels(input, settings, remarks, progress, cancel)];
        string? brightest = input.Profile.Panel is { } panel ? PanelLevels.InOrder(panel)[0].Name : null;
        List<PanelReading> readings = [.. seen.Where(reading => reading.Level == brightest)];
        PanelReading[] darker = [.. seen.Where(reading => reading.Level != brightest)];
        bool anyExposure = input.Captures.Any(capture =>
            capture.Frames.Any(frame => frame.ExposureSeconds is not null)
        );
        if (!anyExposure)
        {
            faults.Add(
                "No frame tells its exposure: all are taken as exposed alike. Tell exposure in the camera profile's metadata map."
            );
        }

        CameraBand[] bands = [.. input.Profile.ReflectiveBands];
        Dictionary<string, IrradianceSeries> lights = bands.ToDictionary(
            band => band.Name,
            band => IrradianceSeries.Of(input.Profile, band, input.Captures)
        );
        RefuseShadowed(input, settings, readings, lights);
        BandCalibrating calibrating = new(
            input,
            settings,
            faults,
            darker,
            PanelLookScatter.Of(input, readings, lights, settings.PanelRelativeSigma)
        );
        List<BandFactor> factors = [];
        List<FrameFactor> frames = [];
        foreach (CameraBand band in bands)
        {
            (BandFactor factor, IReadOnlyList<FrameFactor> own) = calibrating.Settle(
                band,
                readings,
                lights[band.Name],
                anyExposure
            );
            factors.Add(factor);
            frames.AddRange(own);
            remarks.Add($"Band {band.Name}: {factor.Reason}.");
        }

        faults.AddRange(CertificateCheck.Hold(input.Profile, factors, lights));
        remarks.AddRange(
            readings
                .Where(reading => !reading.Accepted)
                .Select(reading => $"Capture {reading.CaptureId}, band {reading.Band}, panel: {reading.Reason}.")
        );
        if (input.PanelCaptureIds.Count > 0 && readings.Exists(reading => !reading.Accepted))
        {
            faults.AddRange(RejectedLooks(readings));
        }

        bool unwatched = factors.Exists(factor => factor.Method == CalibrationMethod.Panel);
        if (unwatched)
        {
            faults.Add(
                "No usable irradiance sensor: clouds between the panel pictures stay unseen, so levels may be off from capture to capture."
            );
        }

        progress?.Report(new WorkProgress("measuring the light", 1));
        Calibration calibration = new()
        {
            Bands = factors,
            Frames = frames,
            PanelReadings = readings,
            DarkerReadings = darker,
            Remarks = remarks,
        };
        StageOutcome outcome =
            factors.TrueForAll(factor => factor.Method == CalibrationMethod.None) ? StageOutcome.Refused([.. faults])
            : faults.Count > 0 ? StageOutcome.Degraded([.. faults])
            : StageOutcome.Done;
        return new RadiometryResult(calibration, outcome);
    }

    private static IEnumerable<PanelReading> LookAtPanels(
        RadiometryInput input,
        RadiometrySettings settings,
        List<string> remarks,
        IProgress<WorkProgress>? progress,
        CancellationToken cancel
    )
    {
        if (input.Profile.Panel is null)
        {
            remarks.Add("The camera profile describes no panel.");
            return [];
        }

        HashSet<string> wanted = [.. input.PanelCaptureIds];
        Capture[] panels = [.. input.Captures.Where(capture => wanted.Contains(capture.Id))];
        ConcurrentDictionary<string, Lazy<BandCorrection>> corrections = new();
        PanelMeasuring measuring = new(
            input,
            settings,
            name =>
                corrections
                    .GetOrAdd(
                        name,
                        band => new Lazy<BandCorrection>(() =>
                            new BandCorrection(input.Profile.Band(band), input.ProfileFolder)
                        )
                    )
                    .Value
        );
        IReadOnlyList<PanelReading>[] found = new IReadOnlyList<PanelReading>[panels.Length];
        Parallel.For(
            0,
            panels.Length,
            new ParallelOptions { MaxDegreeOfParallelism = settings.Threads, CancellationToken = cancel },
            index =>
            {
                found[index] = measuring.Measure(panels[index]);
                progress?.Report(new WorkProgress("measuring the light", 0.9 * (index + 1) / panels.Length));
            }
        );
        return found.SelectMany(readings => readings);
    }

    /// <summary>
    /// With the light known by the sensor, a panel that is far darker than another look at it lay in shadow: its
    /// look is left out.
    /// </summary>
    private static void RefuseShadowed(
        RadiometryInput input,
        RadiometrySettings settings,
        List<PanelReading> readings,
        Dictionary<string, IrradianceSeries> lights
    )
    {
        Dictionary<string, double> brightness = [];
        foreach (
            IGrouping<string, PanelReading> capture in readings
                .Where(reading => reading.Accepted && lights[reading.Band].Usable)
                .GroupBy(reading => reading.CaptureId)
        )
        {
            // The mean of logarithms over the bands; only captures of all the same bands are compared.
            if (capture.All(reading => lights[reading.Band].At(reading.CaptureId) is not null))
            {
                brightness[capture.Key] = capture.Average(reading =>
                    Math.Log(reading.RelativeRadiance / lights[reading.Band].At(reading.CaptureId)!.Value)
                );
            }
        }

        if (brightness.Count < 2)
        {
            return;
        }

        double brightest = brightness.Values.Max();
        for (int index = 0; index < readings.Count; index++)
        {
            PanelReading reading = readings[index];
            if (
                reading.Accepted
                && brightness.TryGetValue(reading.CaptureId, out double level)
                && Math.Exp(level - brightest) < 1 - settings.LargestDisagreement
            )
            {
                readings[index] = reading with
                {
                    Accepted = false,
                    Reason = FormattableString.Invariant(
                        $"the panel shows {100 * Math.Exp(level - brightest):0} % of the brightness of another look in the same light: it lay in shadow"
                    ),
                };
            }
        }
    }

    /// <summary>One line a capture whose panel is not used, with the first reason.</summary>
    private static IEnumerable<string> RejectedLooks(List<PanelReading> readings) =>
        readings
            .Where(reading => !reading.Accepted)
            .GroupBy(reading => reading.CaptureId)
            .Select(capture =>
                $"Capture {capture.Key}, panel, band {string.Join(", ", capture.Select(reading => reading.Band))}: {capture.First().Reason}. The look is left out; take the panel again if no other is left."
            );
}
