using Xunit;

namespace Hillrow.Numerics.Tests.Random;

public sealed class SplittableRandomTests
{
    private const int Draws = 200_000;

    /// <summary>Five standard errors of a mean of that many draws with unit variance.</summary>
    private static readonly double FiveSigma = 5 / Math.Sqrt(Draws);

    [Fact]
    public void NextDouble_ManyDraws_HasUniformMoments()
    {
        SplittableRandom random = new(1);
        double[] draws = [.. Enumerable.Range(0, Draws).Select(_ => random.NextDouble())];
        Assert.All([draws.Min(), draws.Max()], value => Assert.InRange(value, 0, 1 - double.Epsilon));
        Assert.Equal(0.5, draws.Average(), FiveSigma);
        Assert.Equal(1.0 / 12, draws.Average(value => (value - 0.5) * (value - 0.5)), FiveSigma);
    }

    [Fact]
    public void NextGaussian_ManyDraws_HasNormalMoments()
    {
        SplittableRandom random = new(2);
        double[] draws = [.. Enumerable.Range(0, Draws).Select(_ => random.NextGaussian())];
        Assert.Equal(0, draws.Average(), FiveSigma);
        Assert.Equal(1, draws.Average(value => value * value), Math.Sqrt(2) * FiveSigma);
        Assert.Equal(3, draws.Average(value => Math.Pow(value, 4)), Math.Sqrt(96) * FiveSigma);
    }

    [Fact]
    public void NextInt32_SmallBound_FillsAllValuesEvenly()
    {
        SplittableRandom random = new(3);
        int[] counts = new int[7];
        for (int k = 0; k < Draws; k++)
        {
            counts[random.NextInt32(7)]++;
        }

        Assert.All(counts, count => Assert.Equal(1.0 / 7, (double)count / Draws, FiveSigma));
    }

    [Fact]
    public void Split_SameLabel_GivesTheSameStreamWhateverWasDrawn()
    {
        SplittableRandom one = new(4);
        SplittableRandom two = new(4);
        _ = two.NextUInt64();
        Assert.Equal(one.Split("rows").NextUInt64(), two.Split("rows").NextUInt64());
        Assert.NotEqual(one.Split("rows").NextUInt64(), one.Split("row").NextUInt64());
    }

    [Fact]
    public void Split_NeighbouringIndices_AreUncorrelated()
    {
        SplittableRandom parent = new(5);
        double sum = 0;
        double chain = 0;
        for (ulong index = 0; index < Draws; index++)
        {
            double here = parent.Split(index).NextGaussian();
            double next = parent.Split(index + 1).NextGaussian();
            sum += here;
            chain += here * next;
        }

        Assert.Equal(0, sum / Draws, FiveSigma);
        Assert.Equal(0, chain / Draws, FiveSigma);
    }

    [Fact]
    public void Shuffle_AnyItems_KeepsThem()
    {
        int[] items = [.. Enumerable.Range(0, 50)];
        new SplittableRandom(6).Shuffle<int>(items);
        Assert.NotEqual(Enumerable.Range(0, 50), items);
        Assert.Equal(Enumerable.Range(0, 50), items.Order());
    }
}
