using Hillrow.Earth;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class SurfaceExtentTests
{
    private static readonly GridGeometry Grid = new(
        ReferenceSystem.UtmAt(GeographicPoint.FromDegrees(5.6, -75.7)),
        new GridPoint(400_000, 600_000),
        0.5,
        120,
        160
    );

    [Fact]
    public void Of_OneFieldAmongLonelyPatches_KeepsTheFieldAndCutsTheGridToIt()
    {
        byte[] samples = new byte[Grid.CellCount];
        for (int row = 40; row < 100; row++)
        {
            for (int column = 50; column < 130; column++)
            {
                // A third measured, a hole of one metre in the middle.
                bool hole = row is >= 69 and < 71 && column is >= 89 and < 91;
                samples[(row * 160) + column] = (byte)((row + column) % 3 == 0 && !hole ? 2 : 0);
            }
        }

        samples[(5 * 160) + 5] = 4;
        (bool[] inside, CellRange window) = SurfaceExtent.Of(samples, Grid)!.Value;
        Assert.True(inside[(70 * 160) + 90]);
        Assert.False(inside[(5 * 160) + 5]);

        // The edge lies within half a window of the field's.
        Assert.InRange(window.FirstRow, 32, 40);
        Assert.InRange(window.EndRow, 100, 108);
        Assert.InRange(window.FirstColumn, 42, 50);
        Assert.InRange(window.EndColumn, 130, 138);
        GridGeometry cut = SurfaceExtent.Cut(Grid, window);
        Assert.Equal(Grid.WestMetres + (0.5 * window.FirstColumn), cut.WestMetres);
        Assert.Equal(Grid.NorthMetres - (0.5 * window.FirstRow), cut.NorthMetres);
        float[] heights = [.. Enumerable.Range(0, (int)Grid.CellCount)];
        float[] values = SurfaceExtent.Cut(heights, inside, 160, window, float.NaN);
        Assert.Equal(cut.CellCount, values.Length);
        int there = ((70 - window.FirstRow) * cut.Columns) + 90 - window.FirstColumn;
        Assert.Equal((70 * 160) + 90, values[there]);
    }

    [Fact]
    public void Of_NothingMeasured_IsNull() => Assert.Null(SurfaceExtent.Of(new byte[Grid.CellCount], Grid));
}
