using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Mapping.Tests.Temperature;

public sealed class BlockMatchTests
{
    private const int Side = 80;

    [Theory]
    [InlineData(0, 0)]
    [InlineData(3, -2)]
    [InlineData(-4.4, 2.3)]
    public void Find_AShiftedPicture_GivesTheShift(double across, double down)
    {
        float[] from = Picture(0, 0, 1, 0);
        float[] into = Picture(across, down, 7, 295);
        BlockMatch? match = BlockMatch.Find(from, into, Side, Side / 2, Side / 2, 14, 7);
        Assert.NotNull(match);
        Assert.Equal(across, match.Value.Columns, 0.12);
        Assert.Equal(down, match.Value.Rows, 0.12);
        Assert.True(match.Value.Likeness > 0.98);
    }

    [Fact]
    public void Find_BeyondTheSearch_IsNothing() =>
        Assert.Null(
            BlockMatch.Find(Picture(0, 0, 1, 0), Picture(9, 0, 1, 300), Side, Side / 2, Side / 2, 14, 5) is { } match
            && match.Likeness > 0.9
                ? match
                : null
        );

    [Fact]
    public void Find_ABlockMostlyUnknown_IsNothing()
    {
        float[] from = Picture(0, 0, 1, 0);
        Array.Fill(from, float.NaN, 0, (Side * Side / 2) - (5 * Side));
        Assert.Null(BlockMatch.Find(from, Picture(0, 0, 1, 300), Side, Side / 2, Side / 2, 14, 5));
    }

    /// <summary>Waves of several lengths: smooth, and alike nowhere else within the search.</summary>
    private static float[] Picture(double across, double down, double scale, double level)
    {
        SplittableRandom draw = new(11);
        (double X, double Y, double Phase)[] waves =
        [
            .. Enumerable
                .Range(0, 12)
                .Select(_ => (draw.NextDouble(-0.5, 0.5), draw.NextDouble(-0.5, 0.5), draw.NextDouble(0, 6))),
        ];
        float[] picture = new float[Side * Side];
        for (int at = 0; at < picture.Length; at++)
        {
            double x = (at % Side) - across;
            double y = (at / Side) - down;
            picture[at] = (float)(
                level + (scale * waves.Sum(wave => Math.Sin((wave.X * x) + (wave.Y * y) + wave.Phase)))
            );
        }

        return picture;
    }
}
