using Hillrow.Numerics.SpatialStatistics;
using Xunit;

namespace Hillrow.Findings.Tests;

public sealed class GroupSizesTests
{
    /// <summary>Plants in one row, each beside the next.</summary>
    private static NeighbourWeights Row(int count) =>
        NeighbourWeights.Binary([
            .. Enumerable
                .Range(0, count)
                .Select(at => new[] { at - 1, at + 1 }.Where(other => other >= 0 && other < count).ToArray()),
        ]);

    [Fact]
    public void Groups_RunsInARow_AreTheRuns()
    {
        bool[] marked = [true, true, false, true, false, false, true, true, true];
        Assert.Equal(
            [
                [0, 1],
                [3],
                [6, 7, 8],
            ],
            GroupSizes.Groups(Row(marked.Length), marked)
        );
    }

    [Fact]
    public void LargestByChance_AllMarked_IsTheWholeRow() =>
        Assert.All(GroupSizes.LargestByChance(Row(30), 30, 50, 1), size => Assert.Equal(30, size));

    [Fact]
    public void LargestByChance_TwoOfThree_IsTwoInTwoThirdsOfTheDraws()
    {
        // Of the three pairs of three plants in a row two touch.
        int[] sizes = GroupSizes.LargestByChance(Row(3), 2, 6000, 2);
        Assert.InRange(sizes.Average(size => size == 2 ? 1.0 : 0), 0.64, 0.69);
    }
}
