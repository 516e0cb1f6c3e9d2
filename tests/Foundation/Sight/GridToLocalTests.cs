using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Sight.Tests;

public sealed class GridToLocalTests
{
    /// <summary>The lattice against the exact path, a cell at a time.</summary>
    private const double ToleranceMetres = 0.0004;

    private static readonly LocalFrame Frame = new(GeodeticPosition.FromDegrees(-7.2, -76.4, 1450));

    private static readonly GridGeometry Grid = MapGrid();

    [Fact]
    public void ToLocal_AnyCellAndHeight_AgreesWithExactPath()
    {
        GridToLocal lattice = new(Grid, Frame, 1450);
        SplittableRandom random = new(3);
        for (int trial = 0; trial < 500; trial++)
        {
            double row = random.NextDouble(0, Grid.Rows);
            double column = random.NextDouble(0, Grid.Columns);
            double height = random.NextDouble(1200, 1700);
            GeographicPoint place = Grid.ReferenceSystem.ToWgs84(
                new GridPoint(
                    Grid.WestMetres + (column * Grid.CellSizeMetres),
                    Grid.NorthMetres - (row * Grid.CellSizeMetres)
                )
            );
            Vector3D exact = Frame.ToLocal(place.AtHeightAboveEllipsoid(height));
            Assert.InRange((lattice.ToLocal(row, column, height) - exact).Length, 0, ToleranceMetres);
        }
    }

    [Fact]
    public void LocalHeights_OfMappedSurface_ComeBackAtTheSameHeights()
    {
        float[] heights = new float[Grid.CellCount];
        for (int row = 0; row < Grid.Rows; row++)
        {
            for (int column = 0; column < Grid.Columns; column++)
            {
                heights[(row * Grid.Columns) + column] = (float)(1450 + (0.3 * column) - (0.1 * row));
            }
        }

        GridToLocal lattice = new(Grid, Frame, 1450);
        Vector3D corner = lattice.ToLocal(20, 20, 1450);
        LocalGrid area = new(corner.X, corner.Y, 2, 60, 60);
        HeightField field = LocalHeights.Of(Grid, heights, Frame, area, threads: 2);
        for (int row = 30; row < 50; row += 4)
        {
            for (int column = 30; column < 50; column += 4)
            {
                Vector3D place = lattice.ToLocal(row + 0.5, column + 0.5, heights[(row * Grid.Columns) + column]);
                Assert.Equal(place.Z, field.HeightAt(place.X, place.Y), 2);
            }
        }
    }

    private static GridGeometry MapGrid()
    {
        ReferenceSystem utm = ReferenceSystem.UtmAt(GeographicPoint.FromDegrees(-7.2, -76.4));
        GridPoint middle = utm.ToGrid(GeographicPoint.FromDegrees(-7.2, -76.4));
        return new GridGeometry(
            utm,
            new GridPoint(middle.EastingMetres - 300, middle.NorthingMetres + 250),
            2,
            260,
            310
        );
    }
}
