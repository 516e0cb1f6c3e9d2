using Xunit;

namespace Hillrow.Radiometry.Tests;

public sealed class ReflectanceKernelTests
{
    [Theory]
    [InlineData(1)]
    [InlineData(15)]
    [InlineData(16)]
    [InlineData(101)]
    public void Row_AnyLength_EqualsPlainTwin(int length)
    {
        Random random = new(length);
        ushort[] samples = [.. Enumerable.Range(0, length).Select(_ => (ushort)(random.Next(4096) << 4))];
        samples[length / 2] = 4095 << 4;
        float[] lens = [.. Enumerable.Range(0, length).Select(_ => 1 + random.NextSingle())];
        RowScale row = new(4, 201.3f, 4095, 1.7e-4f, 0.4f, 11.2f, 2.5e-4f);
        float[] reflectance = new float[length];
        float[] sigma = new float[length];
        ReflectanceKernel.Row(samples, lens, row, reflectance, sigma);
        for (int i = 0; i < length; i++)
        {
            int count = samples[i] / 16;
            double factor = (double)row.Scale * lens[i];
            double value = (count - (double)row.Black) * factor;
            double noise = (Math.Max(0, count - (double)row.Black) * row.VariancePerCount) + row.VarianceCounts;
            double error = Math.Sqrt((noise * factor * factor) + (value * value * row.RelativeVariance));
            if (count >= 4095)
            {
                Assert.True(float.IsNaN(reflectance[i]) && float.IsNaN(sigma[i]));
            }
            else
            {
                Assert.Equal(value, reflectance[i], 1e-6);
                Assert.Equal(error, sigma[i], 1e-6);
            }
        }
    }

    [Fact]
    public void Row_SplitAnywhere_SameBits()
    {
        Random random = new(3);
        ushort[] samples = [.. Enumerable.Range(0, 64).Select(_ => (ushort)random.Next(4096))];
        float[] lens = [.. samples.Select(_ => 1 + random.NextSingle())];
        RowScale row = new(0, 64.5f, 4095, 3.1e-4f, 0.4f, 3f, 1e-4f);
        float[] whole = new float[64];
        float[] wholeSigma = new float[64];
        ReflectanceKernel.Row(samples, lens, row, whole, wholeSigma);
        float[] one = new float[1];
        float[] oneSigma = new float[1];
        for (int i = 0; i < 64; i++)
        {
            ReflectanceKernel.Row(samples.AsSpan(i, 1), lens.AsSpan(i, 1), row, one, oneSigma);
            Assert.Equal(BitConverter.SingleToInt32Bits(whole[i]), BitConverter.SingleToInt32Bits(one[0]));
            Assert.Equal(BitConverter.SingleToInt32Bits(wholeSigma[i]), BitConverter.SingleToInt32Bits(oneSigma[0]));
        }
    }
}
