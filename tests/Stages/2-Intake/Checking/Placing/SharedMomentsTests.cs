using Xunit;

namespace Hillrow.Intake.Tests;

public sealed class SharedMomentsTests
{
    [Fact]
    public void Rows_OfAnyLengthAndHoles_AreSummedAsOneByOne()
    {
        Random random = new(5);
        for (int length = 0; length < 70; length++)
        {
            byte[][] rows = [Row(random, length), Row(random, length), Row(random, length), Row(random, length)];
            SharedMoments moments = default;
            moments.Add(rows[0], rows[1]);
            moments.Add(rows[2], rows[3]);
            (byte X, byte Y)[] both =
            [
                .. rows[0].Zip(rows[1]).Concat(rows[2].Zip(rows[3])).Where(pair => pair.First > 0 && pair.Second > 0),
            ];
            Assert.Equal(both.Length, moments.Count);
            Assert.Equal(
                both.Length,
                SharedMoments.CountShared(rows[0], rows[1]) + SharedMoments.CountShared(rows[2], rows[3])
            );
            Assert.Equal(both.Sum(pair => (long)pair.X), moments.First);
            Assert.Equal(both.Sum(pair => (long)pair.Y), moments.Second);
            Assert.Equal(both.Sum(pair => (long)pair.X * pair.X), moments.FirstSquared);
            Assert.Equal(both.Sum(pair => (long)pair.Y * pair.Y), moments.SecondSquared);
            Assert.Equal(both.Sum(pair => (long)pair.X * pair.Y), moments.Product);
            Assert.Equal(PlainCorrelation(both), moments.Correlation(3), 1e-12);
        }
    }

    [Fact]
    public void Brightest_DoesNotOverflow()
    {
        byte[] white = [.. Enumerable.Repeat((byte)255, 4096)];
        SharedMoments moments = default;
        moments.Add(white, white);
        Assert.Equal(4096L * 255 * 255, moments.Product);
        Assert.Equal(-1, moments.Correlation(1));
    }

    private static byte[] Row(Random random, int length) =>
        [.. Enumerable.Range(0, length).Select(_ => random.Next(4) == 0 ? (byte)0 : (byte)random.Next(1, 256))];

    private static double PlainCorrelation((byte X, byte Y)[] pairs)
    {
        if (pairs.Length < 3)
        {
            return -1;
        }

        double meanX = pairs.Average(pair => pair.X);
        double meanY = pairs.Average(pair => pair.Y);
        double xx = pairs.Sum(pair => (pair.X - meanX) * (pair.X - meanX));
        double yy = pairs.Sum(pair => (pair.Y - meanY) * (pair.Y - meanY));
        return xx <= 0 || yy <= 0 ? -1 : pairs.Sum(pair => (pair.X - meanX) * (pair.Y - meanY)) / Math.Sqrt(xx * yy);
    }
}
