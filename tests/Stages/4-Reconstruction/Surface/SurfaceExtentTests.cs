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

    [Theory]
    [InlineData(30, true)]
    [InlineData(70, false)]
    public void Of_AHoleAllAround_IsTakenInWhenItIsNoLargerThanARoof(int cells, bool taken)
    {
        // Half metres: a hole of 15 m, of which half a window's width still counts to what is around; one of 35 m.
        byte[] samples = new byte[Grid.CellCount];
        for (int row = 5; row < 115; row++)
        {
            for (int column = 20; column < 140; column++)
            {
                bool hole = Math.Abs(row - 60) <= cells / 2 && Math.Abs(column - 80) <= cells / 2;
                samples[(row * 160) + column] = (byte)(hole ? 0 : 3);
            }
        }

        (bool[] inside, _) = SurfaceExtent.Of(samples, Grid)!.Value;
        Assert.Equal(taken, inside[(60 * 160) + 80]);
        Assert.True(inside[(20 * 160) + 40]);
    }

    [Fact]
    public void Fill_WithinTheSurface_ReachesAcrossAHoleAndSaysHowUnsure()
    {
        float[] heights = [.. Enumerable.Repeat(300f, (int)Grid.CellCount)];
        float[] sigmas = [.. Enumerable.Repeat(0.1f, heights.Length)];
        byte[] samples = [.. Enumerable.Repeat((byte)3, heights.Length)];
        bool[] within = [.. Enumerable.Repeat(true, heights.Length)];
        for (int row = 40; row < 80; row++)
        {
            for (int column = 60; column < 100; column++)
            {
                int at = (row * 160) + column;
                (heights[at], sigmas[at], samples[at]) = (float.NaN, float.NaN, 0);
            }
        }

        float[] alone = [.. heights];
        SurveySurface.Fill(alone, [.. sigmas], samples, Grid, [], CancellationToken.None);
        Assert.True(float.IsNaN(alone[(60 * 160) + 80]));
        SurveySurface.Fill(heights, sigmas, samples, Grid, within, CancellationToken.None);
        Assert.Equal(300, heights[(60 * 160) + 80], 0.01);
        Assert.True(sigmas[(60 * 160) + 80] > 2);
        Assert.Equal(0, samples[(60 * 160) + 80]);
    }

    [Fact]
    public void Of_NothingMeasured_IsNull() => Assert.Null(SurfaceExtent.Of(new byte[Grid.CellCount], Grid));
}
