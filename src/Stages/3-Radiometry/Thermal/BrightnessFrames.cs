using System.Buffers;
using System.Collections.Concurrent;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>
/// A survey's thermal frames as brightness temperature at the camera, kelvin, drift taken off where it is known. Offered
/// through the same door as reflectance, so that a map is laid of them in the same way: what the spans receive is kelvin.
/// </summary>
/// <remarks>Frames are read anew each time. Safe from many threads.</remarks>
public sealed class BrightnessFrames : IReflectanceFrames
{
    private readonly CameraBand band;
    private readonly ThermalScale scale;
    private readonly string captureRoot;
    private readonly Dictionary<string, BandFrame> frames = [];
    private readonly Dictionary<string, CaptureDrift> offsets = [];
    private readonly ThermalDrift? drift;
    private readonly int shift;
    private readonly Lazy<float[]> pattern;

    /// <param name="profile">With a thermal band.</param>
    /// <param name="captureRoot">Files of frames are relative to it.</param>
    /// <param name="captures">Of the survey.</param>
    /// <param name="drift">Null: counts as the camera turned them into temperature; captures it does not name are then left out.</param>
    /// <exception cref="InputProblemException">The profile has no thermal band.</exception>
    public BrightnessFrames(
        CameraProfile profile,
        string captureRoot,
        IReadOnlyList<Capture> captures,
        ThermalDrift? drift = null
    )
    {
        ArgumentNullException.ThrowIfNull(profile);
        ArgumentNullException.ThrowIfNull(captures);
        band =
            profile.ThermalBand
            ?? throw new InputProblemException(
                profile.Name,
                "has no thermal band.",
                "Describe it with kind = \"thermal\" in the camera profile."
            );
        scale =
            band.Thermal
            ?? throw new InputProblemException(
                profile.Name,
                $"does not say what the counts of band {band.Name} mean.",
                "Give [bands.thermal] kelvinPerCount and offsetKelvin."
            );
        (this.captureRoot, this.drift) = (captureRoot, drift);
        shift = band.Sensor.Placement == BitPlacement.High ? 16 - band.Sensor.BitDepth : 0;
        foreach (Capture capture in captures)
        {
            if (capture.FrameOf(band.Name) is { } frame)
            {
                frames[capture.Id] = frame;
            }
        }

        foreach (CaptureDrift known in drift?.Captures ?? [])
        {
            offsets[known.CaptureId] = known;
        }

        pattern = new Lazy<float[]>(Pattern);
        Bands = [band.Name];
    }

    public IReadOnlyList<string> Bands { get; }

    public bool Has(string captureId, string band) =>
        band == Bands[0] && frames.ContainsKey(captureId) && (drift is null || offsets.ContainsKey(captureId));

    /// <summary>Kelvin at the camera and its standard error: noise, drift, pattern and the flight's level; NaN where counts are at an end.</summary>
    public void Load(string captureId, string band, Span<float> reflectance, Span<float> sigma)
    {
        if (!Has(captureId, band))
        {
            throw new InputProblemException(
                $"capture {captureId}, band {band}",
                "has no thermal frame that may be used.",
                "Ask Has first."
            );
        }

        BandSensor sensor = this.band.Sensor;
        int pixels = sensor.Rows * sensor.Columns;
        CaptureDrift? off = offsets.GetValueOrDefault(captureId);
        ushort[] counts = ArrayPool<ushort>.Shared.Rent(pixels);
        try
        {
            Span<ushort> page = counts.AsSpan(0, pixels);
            FrameCounts.Read(captureRoot, frames[captureId], sensor.Rows, sensor.Columns, page);
            int last = (1 << sensor.BitDepth) - 1;
            float[]? shared = drift is null ? null : pattern.Value;
            for (int at = 0; at < pixels; at++)
            {
                int count = page[at] >> shift;
                reflectance[at] =
                    count <= 0 || count >= last
                        ? float.NaN
                        : (float)(
                            scale.OffsetKelvin
                            + (scale.KelvinPerCount * count)
                            - (off?.OffsetKelvin ?? 0)
                            - (shared?[at] ?? 0)
                        );
            }
        }
        finally
        {
            ArrayPool<ushort>.Shared.Return(counts);
        }

        if (!sigma.IsEmpty)
        {
            sigma[..pixels].Fill((float)Math.Sqrt(Square(scale.NoiseKelvin) + SharedVariance(off)));
        }
    }

    private double SharedVariance(CaptureDrift? off) =>
        drift is null || off is null
            ? Square(scale.AccuracyKelvin)
            : Square(off.SigmaKelvin) + Square(drift.PatternSigmaKelvin) + Square(drift.LevelSigmaKelvin);

    private float[] Pattern()
    {
        BandSensor sensor = band.Sensor;
        float[] kelvin = new float[sensor.Rows * sensor.Columns];
        for (int row = 0; row < sensor.Rows; row++)
        {
            for (int column = 0; column < sensor.Columns; column++)
            {
                kelvin[(row * sensor.Columns) + column] = (float)
                    drift!.PatternAt((row + 0.5) / sensor.Rows, (column + 0.5) / sensor.Columns);
            }
        }

        return kelvin;
    }

    private static double Square(double value) => value * value;
}
