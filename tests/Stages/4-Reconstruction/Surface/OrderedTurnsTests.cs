using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class OrderedTurnsTests
{
    [Theory]
    [InlineData(0, 2)]
    [InlineData(1, 2)]
    [InlineData(40, 1)]
    [InlineData(40, 2)]
    [InlineData(200, 5)]
    public void Run_AnyThreads_TakesResultsInOrder(int count, int threads)
    {
        List<string> taken = [];
        OrderedTurns<string> turns = new(count, taken.Add);
        turns.Run(
            threads,
            () => new Random(1),
            (turn, draw) =>
            {
                // Turns of unlike length end out of order.
                double sum = 0;
                for (int at = 0; at < (turn % 7) * 5000; at++)
                {
                    sum += draw.NextDouble();
                }

                return sum >= 0 ? $"{turn}" : "";
            },
            CancellationToken.None
        );
        Assert.Equal(Enumerable.Range(0, count).Select(turn => $"{turn}"), taken);
    }

    [Fact]
    public void Run_ATurnFails_EndsAndTells()
    {
        OrderedTurns<string> turns = new(100, _ => { });
        AggregateException fault = Assert.Throws<AggregateException>(() =>
            turns.Run(
                2,
                () => 0,
                (turn, _) => turn == 3 ? throw new InvalidOperationException("broken") : "",
                CancellationToken.None
            )
        );
        Assert.All(fault.InnerExceptions, inner => Assert.Equal("broken", inner.Message));
    }
}
