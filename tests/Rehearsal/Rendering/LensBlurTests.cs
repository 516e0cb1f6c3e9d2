using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class LensBlurTests
{
    [Theory]
    [InlineData(1, 1.0)]
    [InlineData(2, 1.0)]
    [InlineData(2, 1.12)]
    [InlineData(3, 1.05)]
    public void Taps_AnySide_SpreadAPointAsTheTentDoes(int side, double blur)
    {
        LensBlur lens = new(blur, side);
        float[] taps = [.. lens.Taps];
        Assert.Equal(1, taps.Sum(), 1e-6);
        double variance = 1 / (12.0 * side * side);
        for (int tap = 0; tap < taps.Length; tap++)
        {
            Assert.Equal(taps[tap], taps[taps.Length - 1 - tap], 1e-7);
            double place = ((tap + 0.5) / side) - 1.5;
            variance += taps[tap] * place * place;
        }

        Assert.Equal(blur * blur / 6, variance, 1e-5);
    }

    [Fact]
    public void Gather_RampOfSamples_GivesTheRampAtPixelMiddles()
    {
        const int Side = 2;
        const int Pixels = 13;
        const int Stride = (Pixels + 2) * Side;
        float[] samples = new float[Stride * 3 * Side];
        for (int row = 0; row < 3 * Side; row++)
        {
            for (int column = 0; column < Stride; column++)
            {
                samples[(row * Stride) + column] = (((column + 0.5f) / Side) - 1) + (10 * (((row + 0.5f) / Side) - 1));
            }
        }

        float[] pixels = new float[Pixels];
        new LensBlur(1.1, Side).Gather(samples, Stride, new float[Stride], pixels);
        for (int column = 0; column < Pixels; column++)
        {
            Assert.Equal(column + 0.5 + 5, pixels[column], 1e-4);
        }
    }
}
