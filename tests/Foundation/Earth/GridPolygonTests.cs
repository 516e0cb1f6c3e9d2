using Xunit;

namespace Hillrow.Earth.Tests;

public sealed class GridPolygonTests
{
    private static readonly GridPolygon WithHole = new(
        [P(0, 0), P(10, 0), P(10, 10), P(0, 10)],
        [
            [P(4, 4), P(6, 4), P(6, 6), P(4, 6)],
        ]
    );

    [Fact]
    public void Area_SquareWithHole_LeavesTheHoleOut() => Assert.Equal(96, WithHole.AreaSquareMetres, 9);

    [Fact]
    public void Area_FarFromOrigin_KeepsItsDigits()
    {
        GridPolygon far = new([P(600_000, 9_700_000), P(600_000.5, 9_700_000), P(600_000.5, 9_700_000.5)]);
        Assert.Equal(0.125, far.AreaSquareMetres, 9);
    }

    [Theory]
    [InlineData(1, 1, true)]
    [InlineData(5, 5, false)]
    [InlineData(11, 5, false)]
    public void Contains_InsideHoleOutside_Told(double easting, double northing, bool inside) =>
        Assert.Equal(inside, WithHole.Contains(P(easting, northing)));

    [Fact]
    public void Mark_AgreesWithContainsAtEveryCentre()
    {
        GridPolygon polygon = new([P(0.3, 0.2), P(9.7, 2.1), P(6.2, 5.4), P(8.8, 9.6), P(1.4, 7.7)]);
        GridGeometry grid = new(ReferenceSystem.Utm(18, north: false), P(-1, 11), 0.37, 33, 31);
        byte[] mask = new byte[grid.CellCount];
        polygon.Mark(grid, mask, 7);
        int marked = 0;
        for (int row = 0; row < grid.Rows; row++)
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                bool inside = polygon.Contains(grid.CentreOf(row, column));
                marked += inside ? 1 : 0;
                Assert.Equal(inside ? 7 : 0, mask[(row * grid.Columns) + column]);
            }
        }

        Assert.True(marked > 100);
    }

    private static GridPoint P(double easting, double northing) => new(easting, northing);
}
