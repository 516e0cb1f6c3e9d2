using System.Buffers;
using System.Collections.Concurrent;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>A survey's frames as reflectance, made from counts when asked for.</summary>
/// <remarks>Keeps one correction a band (4 bytes a pixel); frames are read anew each time. Safe from many threads.</remarks>
public sealed class ReflectanceFrames : IReflectanceFrames
{
    private readonly CameraProfile profile;
    private readonly string captureRoot;
    private readonly string? profileFolder;
    private readonly Dictionary<(string Capture, string Band), Usable> frames = [];
    private readonly ConcurrentDictionary<string, Lazy<BandCorrection>> corrections = new();

    /// <param name="calibration">Of the same survey.</param>
    /// <param name="profile">Of the camera.</param>
    /// <param name="captureRoot">Files of frames are relative to it.</param>
    /// <param name="captures">Of the survey.</param>
    /// <param name="profileFolder">Where falloff maps lie.</param>
    public ReflectanceFrames(
        Calibration calibration,
        CameraProfile profile,
        string captureRoot,
        IReadOnlyList<Capture> captures,
        string? profileFolder = null
    )
    {
        ArgumentNullException.ThrowIfNull(calibration);
        ArgumentNullException.ThrowIfNull(profile);
        ArgumentNullException.ThrowIfNull(captures);
        (this.profile, this.captureRoot, this.profileFolder) = (profile, captureRoot, profileFolder);
        Bands = [.. calibration.Bands.Select(band => band.Band)];
        CoverBands = CoverShare.BandsOf([.. Bands.Select(band => profile.Band(band).CentreNanometres)]);
        Dictionary<string, BandFactor> bands = calibration.Bands.ToDictionary(band => band.Band);
        Dictionary<(string, string), FrameFactor> gains = calibration.CaptureGains.ToDictionary(gain =>
            (gain.CaptureId, gain.Band)
        );
        Dictionary<(string, string), FrameLight> lights = FrameLight.All(calibration.Light);
        Dictionary<string, Capture> byId = captures.ToDictionary(capture => capture.Id);
        foreach (FrameFactor factor in calibration.Frames)
        {
            if (
                !bands.TryGetValue(factor.Band, out BandFactor? band)
                || band.Method == CalibrationMethod.None
                || byId.GetValueOrDefault(factor.CaptureId)?.FrameOf(factor.Band) is not { } frame
            )
            {
                continue;
            }

            FrameLight? light = lights.GetValueOrDefault((factor.CaptureId, factor.Band));
            FrameFactor? gain = gains.GetValueOrDefault((factor.CaptureId, factor.Band));
            double sigma = Math.Sqrt(
                Square(band.RelativeSigma)
                    + (light is null ? Square(factor.RelativeSigma) : 0)
                    + Square(gain?.RelativeSigma ?? 0)
            );
            frames[(factor.CaptureId, factor.Band)] = new Usable(
                frame,
                band.Factor * factor.Factor * (gain?.Factor ?? 1),
                sigma,
                light,
                light is null && calibration.TakesStrayLight ? band.StrayLightShare : null
            );
        }
    }

    public IReadOnlyList<string> Bands { get; }

    /// <summary>Positions of the bands that tell canopy from open ground; null without red or near infrared.</summary>
    public (int Red, int Infrared)? CoverBands { get; }

    public bool Has(string captureId, string band) => frames.ContainsKey((captureId, band));

    public void Load(string captureId, string band, Span<float> reflectance, Span<float> sigma) =>
        LoadPart(captureId, band, [], reflectance, sigma);

    /// <inheritdoc/>
    public void LoadPart(
        string captureId,
        string band,
        ReadOnlySpan<ColumnSpan> wanted,
        Span<float> reflectance,
        Span<float> sigma
    )
    {
        Usable usable = UsableOf(captureId, band);
        if (usable.Light is null)
        {
            Read(band, usable, usable.Sigma, reflectance, sigma, wanted);
            return;
        }

        Read(band, usable, 0, reflectance, sigma, wanted);
        BandSensor sensor = profile.Band(band).Sensor;
        usable.Light.Apply(sensor.Rows, sensor.Columns, reflectance, sigma, wanted);
        if (!sigma.IsEmpty)
        {
            AddCommon(usable, sensor, reflectance, sigma, wanted);
        }
    }

    /// <summary>As <see cref="Load"/>, the standard error in its two parts.</summary>
    /// <param name="captureId">A capture of the survey.</param>
    /// <param name="band">One of <see cref="Bands"/>.</param>
    /// <param name="reflectance">Receives Rows × Columns.</param>
    /// <param name="noiseSigma">Receives what is independent from pixel to pixel: over n pixels it shrinks by √n.</param>
    /// <param name="commonSigma">Receives what neighbouring pixels share: calibration and light; it does not shrink.</param>
    public void LoadApart(
        string captureId,
        string band,
        Span<float> reflectance,
        Span<float> noiseSigma,
        Span<float> commonSigma
    )
    {
        Usable usable = UsableOf(captureId, band);
        Read(band, usable, 0, reflectance, noiseSigma);
        BandSensor sensor = profile.Band(band).Sensor;
        usable.Light?.Apply(sensor.Rows, sensor.Columns, reflectance, noiseSigma);
        commonSigma.Clear();
        AddCommon(usable, sensor, reflectance, commonSigma, []);
    }

    /// <summary>Adds what neighbouring pixels share to a standard error.</summary>
    private static void AddCommon(
        Usable usable,
        BandSensor sensor,
        ReadOnlySpan<float> reflectance,
        Span<float> sigma,
        ReadOnlySpan<ColumnSpan> wanted
    )
    {
        float[] variances = new float[sensor.Columns];
        Array.Fill(variances, (float)Square(usable.Sigma));
        float offset = (float)Square(usable.Light?.OffsetSigma ?? 0);
        for (int row = 0; row < sensor.Rows; row++)
        {
            ColumnSpan columns = wanted.IsEmpty ? new ColumnSpan(0, sensor.Columns) : wanted[row];
            if (columns.IsEmpty)
            {
                continue;
            }

            usable.Light?.RelativeVariances(row, sensor.Rows, Square(usable.Sigma), variances);
            int start = row * sensor.Columns;
            for (int column = columns.First; column < columns.End; column++)
            {
                float value = reflectance[start + column];
                ref float own = ref sigma[start + column];
                own = MathF.Sqrt((own * own) + (value * value * variances[column]) + offset);
            }
        }
    }

    private Usable UsableOf(string captureId, string band) =>
        frames.TryGetValue((captureId, band), out Usable? usable)
            ? usable
            : throw new InputProblemException(
                $"capture {captureId}, band {band}",
                "there is no calibrated frame of it.",
                "Ask Has first; see the survey's notes for why it is missing."
            );

    private void Read(
        string band,
        Usable usable,
        double relativeSigma,
        Span<float> reflectance,
        Span<float> sigma,
        ReadOnlySpan<ColumnSpan> wanted = default
    )
    {
        BandCorrection correction = corrections
            .GetOrAdd(
                band,
                name => new Lazy<BandCorrection>(() => new BandCorrection(profile.Band(name), profileFolder))
            )
            .Value;
        int pixels = correction.Rows * correction.Columns;
        if (reflectance.Length != pixels || (!sigma.IsEmpty && sigma.Length != pixels))
        {
            throw new ArgumentException(
                $"Band {band} has {correction.Rows} × {correction.Columns} pixels; {reflectance.Length} reflectances and {sigma.Length} sigmas given."
            );
        }

        ushort[] samples = ArrayPool<ushort>.Shared.Rent(pixels);
        try
        {
            Span<ushort> page = samples.AsSpan(0, pixels);
            FrameCounts.Read(captureRoot, usable.Frame, correction.Rows, correction.Columns, page);
            correction.Apply(
                page,
                usable.Frame,
                usable.Factor,
                relativeSigma,
                markSaturated: true,
                reflectance,
                sigma,
                usable.StrayShare is null ? wanted : default
            );
            if (usable.StrayShare is { } share)
            {
                TakeStray(reflectance, share);
            }
        }
        finally
        {
            ArrayPool<ushort>.Shared.Return(samples);
        }
    }

    /// <summary>A share of the frame's mean is light that the optics spread over all of it.</summary>
    private static void TakeStray(Span<float> reflectance, double share)
    {
        const int Step = 7;
        double sum = 0;
        int known = 0;
        for (int at = 0; at < reflectance.Length; at += Step)
        {
            if (!float.IsNaN(reflectance[at]))
            {
                sum += reflectance[at];
                known++;
            }
        }

        float stray = known == 0 ? 0 : (float)(share * sum / known);
        foreach (ref float value in reflectance)
        {
            value -= stray;
        }
    }

    private static double Square(double value) => value * value;

    private sealed record Usable(BandFrame Frame, double Factor, double Sigma, FrameLight? Light, double? StrayShare);
}
