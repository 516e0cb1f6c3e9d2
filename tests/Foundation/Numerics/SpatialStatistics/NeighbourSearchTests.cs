using Hillrow.Numerics.SpatialStatistics;
using Xunit;

namespace Hillrow.Numerics.Tests.SpatialStatistics;

public sealed class NeighbourSearchTests
{
    [Theory]
    [InlineData(2, 1)]
    [InlineData(57, 1)]
    [InlineData(500, 0.001)] // a thin strip
    [InlineData(500, 1)]
    public void Search_AnyCloud_IsWhatTryingAllPairsFinds(int count, double flatness)
    {
        SplittableRandom random = new(21);
        double[] x = [.. Enumerable.Range(0, count).Select(_ => random.NextDouble(-30, 70))];
        double[] y = [.. Enumerable.Range(0, count).Select(_ => Math.Round(flatness * random.NextDouble(0, 100), 1))];
        x[0] = 4000; // far-flung
        NeighbourWeights within = NeighbourSearch.WithinDistance(x, y, 8, threads: 2);
        int k = Math.Min(7, count - 1);
        NeighbourWeights nearest = NeighbourSearch.Nearest(x, y, k, threads: 2);
        for (int i = 0; i < count; i++)
        {
            (double Square, int Place)[] others =
            [
                .. Enumerable
                    .Range(0, count)
                    .Where(j => j != i)
                    .Select(j => (((x[j] - x[i]) * (x[j] - x[i])) + ((y[j] - y[i]) * (y[j] - y[i])), j))
                    .Order(),
            ];
            Assert.Equal(
                others.Where(o => o.Square <= 64).Select(o => o.Place).Order(),
                within.Neighbours(i).ToArray()
            );
            Assert.Equal(others.Take(k).Select(o => o.Place).Order(), nearest.Neighbours(i).ToArray());
        }
    }

    [Fact]
    public void Binary_NeighbourOutside_Throws() =>
        Assert.Throws<ArgumentException>(() =>
            NeighbourWeights.Binary([
                [1],
                [2],
            ])
        );
}
