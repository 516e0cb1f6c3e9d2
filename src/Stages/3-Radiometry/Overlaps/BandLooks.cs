using Hillrow.Imaging;

namespace Hillrow.Radiometry;

/// <summary>What one band brings to the comparison: its light as the sensor tells it, and what is taken off its looks.</summary>
internal sealed record BandLooks
{
    private const double SmallestReflectance = 0.002;

    /// <summary>Clouds drift about so fast; with the aircraft's own way it tells how soon another cloud is seen.</summary>
    private const double CloudMetresPerSecond = 5;

    private BandLooks(CameraBand band, int index, LightCourse course)
    {
        (Band, Index, Course) = (band, index, course);
    }

    public CameraBand Band { get; }

    /// <summary>In the frames' bands.</summary>
    public int Index { get; }

    public LightCourse Course { get; private init; }

    /// <summary>Stray light of lens and air by capture, reflectance.</summary>
    public required IReadOnlyList<double> Offsets { get; init; }

    public required IReadOnlyList<double> OffsetSigmas { get; init; }

    /// <summary>What the frame's factor holds beside the sensor's light: the panel's looks interpolated in time.</summary>
    public required IReadOnlyList<double> Drift { get; init; }

    /// <summary>ln of what the frame's factor took for the sensor's light: the survey's light over the capture's.</summary>
    public required IReadOnlyList<double> LogFollow { get; init; }

    /// <summary>
    /// ln of the light told over the panel's brightness, by look: looks at one panel differ by what the light was told
    /// wrong, and by a little of their own.
    /// </summary>
    public required IReadOnlyList<double> PanelLogs { get; init; }

    /// <summary>The same where the overlaps say that the light was not as steady as the sensor told.</summary>
    public BandLooks Contradicted(OverlapSettings settings) => this with { Course = Course.Contradicted(settings) };

    /// <summary>Null when the band has no reflectance.</summary>
    public static BandLooks? Of(
        OverlapInput input,
        OverlapSettings settings,
        IReadOnlyList<CaptureLooks> captures,
        int bandIndex
    )
    {
        string name = input.Frames.Bands[bandIndex];
        CameraBand band = input.Profile.Band(name);
        BandFactor factor = input.Calibration.Bands.First(one => one.Band == name);
        if (factor.Method == CalibrationMethod.None)
        {
            return null;
        }

        IrradianceSeries light = IrradianceSeries.Of(input.Profile, band, input.Captures);
        bool sensor = factor.Method != CalibrationMethod.Panel && light.Usable;
        PanelReading[] readings =
        [
            .. input.Calibration.PanelReadings.Where(reading => reading.Band == name && reading.Accepted),
        ];
        Capture[] looks =
        [
            .. readings.Select(reading => input.Captures.First(capture => capture.Id == reading.CaptureId)),
        ];
        Dictionary<string, FrameFactor> factors = input
            .Calibration.Frames.Where(frame => frame.Band == name)
            .ToDictionary(frame => frame.CaptureId);
        double[] follow =
        [
            .. captures.Select(capture =>
                sensor && light.At(capture.Capture.Id) is { } level ? light.Median / level : 1
            ),
        ];
        (double Offset, double Sigma)[] offsets =
        [
            .. captures.Select(capture => OffsetOf(settings, band, factor, capture, bandIndex)),
        ];
        return new BandLooks(
            band,
            bandIndex,
            LightCourse.Of(captures, looks, light, sensor, settings, CloudMetresPerSecond)
        )
        {
            Offsets = [.. offsets.Select(entry => entry.Offset)],
            OffsetSigmas = [.. offsets.Select(entry => entry.Sigma)],
            Drift =
            [
                .. captures.Select(
                    (capture, index) =>
                        factors.TryGetValue(capture.Capture.Id, out FrameFactor? frame)
                            ? frame.Factor / follow[index]
                            : 1
                ),
            ],
            PanelLogs =
            [
                .. readings.Select(reading =>
                    Math.Log(((sensor ? light.At(reading.CaptureId) : null) ?? 1) / reading.RelativeRadiance)
                ),
            ],
            LogFollow = [.. follow.Select(value => Math.Log(value))],
        };
    }

    /// <summary>ln of a look's reflectance as the sensor's light has it, stray light off; NaN when it is too dark.</summary>
    public double LogOf(int capture, OverlapLook look) => LogOf(capture, look.Reflectance[Index]);

    /// <summary>The same of a part of a look.</summary>
    public double LogOf(int capture, float reflectance)
    {
        double found = (reflectance / Drift[capture]) - Offsets[capture];
        return found > SmallestReflectance ? Math.Log(found) : double.NaN;
    }

    private static (double Offset, double Sigma) OffsetOf(
        OverlapSettings settings,
        CameraBand band,
        BandFactor factor,
        CaptureLooks capture,
        int bandIndex
    )
    {
        double mean = double.IsFinite(capture.MeanReflectance[bandIndex]) ? capture.MeanReflectance[bandIndex] : 0;
        // The panel's levels, where they tell stray light, tell this lens's own.
        (double share, double shareSigma) = factor is { StrayLightShare: { } told, StrayLightSigma: { } toldSigma }
            ? Together(settings.StrayLightShare, settings.StrayLightShareSigma, told, toldSigma)
            : (settings.StrayLightShare, settings.StrayLightShareSigma);
        double stray = share * mean;
        double air =
            capture.TowardsSun.Z > 0
                ? PathLight.Reflectance(
                    band.CentreNanometres,
                    capture.HeightMetres,
                    capture.TowardsSun.Z,
                    settings.HazeDepth
                )
                : 0;
        double straySigma = shareSigma * mean;
        double airSigma = settings.PathLightRelativeSigma * air;
        return (stray + air, Math.Sqrt((straySigma * straySigma) + (airSigma * airSigma)));
    }

    /// <summary>
    /// The usual value and what was seen: weights by errors when they fit within three of them, else what was seen.
    /// </summary>
    private static (double Value, double Sigma) Together(double usual, double usualSigma, double seen, double seenSigma)
    {
        if (Math.Abs(seen - usual) > 3 * double.Hypot(usualSigma, seenSigma))
        {
            return (seen, seenSigma);
        }

        double a = 1 / (usualSigma * usualSigma);
        double b = 1 / (seenSigma * seenSigma);
        return (((a * usual) + (b * seen)) / (a + b), 1 / Math.Sqrt(a + b));
    }
}
