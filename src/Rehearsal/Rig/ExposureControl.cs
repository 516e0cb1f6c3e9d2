namespace Hillrow.Rehearsal;

/// <summary>Chooses shutter and gain in steps of a third of a stop, as a camera that meters its own picture.</summary>
public static class ExposureControl
{
    private const double LongestSeconds = 1.0 / 400;
    private const double ShortestSeconds = 1.0 / 20000;

    /// <summary>Brings the bright end (99.5 %) of a frame to about seven tenths of the range.</summary>
    public static Exposure Choose(TrueSensor sensor, ReadOnlySpan<float> radiance)
    {
        ArgumentNullException.ThrowIfNull(sensor);
        const int Stride = 41;
        float[] some = new float[(radiance.Length + Stride - 1) / Stride];
        for (int index = 0; index < some.Length; index++)
        {
            some[index] = radiance[index * Stride];
        }

        Array.Sort(some);
        double bright = Math.Max(1e-6, some[(int)(0.995 * (some.Length - 1))]);
        double wanted = 0.7 * (TrueSensor.WhiteCount - sensor.BlackCounts);
        double seconds = wanted * sensor.ElectronsPerCount / (bright * sensor.ElectronsPerRadianceSecond);
        double gain = 1;
        while (seconds / gain > LongestSeconds && gain < 4)
        {
            gain *= 2;
        }

        double limited = Math.Clamp(seconds / gain, ShortestSeconds, LongestSeconds);
        double thirds = Math.Floor(3 * Math.Log2(limited / ShortestSeconds));
        return new Exposure(ShortestSeconds * Math.Pow(2, thirds / 3), gain);
    }
}
