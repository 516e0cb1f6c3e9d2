using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class LonelyHeightsTests
{
    [Fact]
    public void Drop_PatchesOfAllSizes_OnlyThoseOfEnoughPixelsStay()
    {
        // A field at 1 m, a patch of three at 2 m, one of four at 3 m, and a pixel unknown.
        float[] heights = [float.NaN, 1, 1, 1, 1, 1, 1, 2, 2, 1, 3, 1, 1, 2, 1, 3, 3, 3, 1, 1, 1, 1, 1, 1];
        LonelyHeights.Drop(heights, 4, 6, 0.5f, 4, new SweepBuffers());
        float nan = float.NaN;
        Assert.Equal([nan, 1, 1, 1, 1, 1, 1, nan, nan, 1, 3, 1, 1, nan, 1, 3, 3, 3, 1, 1, 1, 1, 1, 1], heights);
    }

    [Fact]
    public void Drop_SlopeWithinTheStep_StaysWhole()
    {
        float[] heights = [.. Enumerable.Range(0, 30).Select(at => 0.4f * (at % 10))];
        float[] before = [.. heights];
        LonelyHeights.Drop(heights, 3, 10, 0.41f, 30, new SweepBuffers());
        Assert.Equal(before, heights);
    }
}
