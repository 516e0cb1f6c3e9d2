using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class TrueSensorTests
{
    private const int Columns = 400;
    private const int Rows = 300;

    [Fact]
    public void Radiance_OfExposedFrame_RecoversMeanWithinATenthOfAPercent()
    {
        TrueSensor sensor = TrueRig.Build(2).Lenses[1].Sensor;
        float[] radiance = new float[Columns * Rows];
        for (int index = 0; index < radiance.Length; index++)
        {
            radiance[index] = 0.02f + (0.05f * (index % 37) / 37f);
        }

        ushort[] counts = new ushort[radiance.Length];
        Exposure exposure = new(0.0006, 1);
        sensor.Expose(radiance, Columns, Rows, exposure, 7, counts, 2, out double stray);
        double got = 0;
        double want = 0;
        for (int index = 0; index < counts.Length; index++)
        {
            double column = (index % Columns) + 0.5;
            double row = (index / Columns) + 0.5;
            got += sensor.Radiance(counts[index] >> TrueSensor.StoredShift, column, row, exposure) - stray;
            want += radiance[index];
        }

        Assert.Equal(1, got / want, 1e-3);
    }

    [Fact]
    public void Expose_FlatLight_NoiseIsThatOfPhotonsAndReading()
    {
        TrueSensor sensor = TrueSensor.Nominal(1) with { Falloff = [0, 0, 0] };
        float[] radiance = new float[Columns * Rows];
        Array.Fill(radiance, 0.05f);
        ushort[] counts = new ushort[radiance.Length];
        Exposure exposure = new(0.0005, 1);
        sensor.Expose(radiance, Columns, Rows, exposure, 3, counts, 1, out _);
        double[] values = [.. counts.Select(count => (double)(count >> TrueSensor.StoredShift))];
        double mean = values.Average();
        double variance = values.Select(value => (value - mean) * (value - mean)).Average();
        double electrons = 0.05 * sensor.ElectronsPerRadianceSecond * exposure.Seconds;
        double perCount = sensor.ElectronsPerCount;
        double expected =
            ((electrons + (sensor.ReadNoiseElectrons * sensor.ReadNoiseElectrons)) / (perCount * perCount))
            + (1.0 / 12);
        Assert.Equal(1, variance / expected, 0.02);
        Assert.Equal(sensor.BlackCounts + (electrons / perCount), mean, 0.5);
    }

    [Fact]
    public void Expose_TooBright_ClipsAtWhite()
    {
        TrueSensor sensor = TrueSensor.Nominal(0);
        ushort[] counts = new ushort[4];
        sensor.Expose([5f, 5f, 5f, 5f], 2, 2, new Exposure(0.01, 4), 1, counts, 1, out _);
        Assert.All(counts, count => Assert.Equal(TrueSensor.WhiteCount << TrueSensor.StoredShift, count));
    }

    [Fact]
    public void Choose_BrightAndDarkFrames_StaysInRangeAndOffClipping()
    {
        TrueSensor sensor = TrueSensor.Nominal(2);
        foreach (float level in new[] { 0.001f, 0.02f, 0.3f })
        {
            float[] radiance = new float[1000];
            Array.Fill(radiance, level);
            Exposure exposure = ExposureControl.Choose(sensor, radiance);
            double count = sensor.Count(level, TrueRig.Columns / 2.0, TrueRig.Rows / 2.0, exposure);
            Assert.InRange(count, 210, 0.72 * TrueSensor.WhiteCount + 100);
            double thirds = 3 * Math.Log2(exposure.Seconds * 20000);
            Assert.Equal(Math.Round(thirds), thirds, 1e-6);
        }
    }
}
