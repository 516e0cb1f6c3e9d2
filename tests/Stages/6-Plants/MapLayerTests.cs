using Hillrow.Earth;
using Hillrow.Imaging;
using Xunit;

namespace Hillrow.Plants.Tests;

public sealed class MapLayerTests
{
    [Fact]
    public void Times_FactorWithAHole_MultipliesAndLeavesTheHoleAsItIs()
    {
        GridGeometry grid = new(new ReferenceSystem(32723), new GridPoint(500000, 8400000), 0.5, 1, 3);
        MapLayer layer = MapLayer
            .Of(Row(grid, 0.2f, 0.4f, float.NaN))
            .Times(MapLayer.Of(Row(grid, 1.5f, float.NaN, 2f)));
        Assert.Equal([0.3f, 0.4f, float.NaN], layer.Read(0, new RasterWindow(0, 0, 1, 3)));
    }

    [Fact]
    public void Times_OtherGrid_IsRefused()
    {
        GridGeometry grid = new(new ReferenceSystem(32723), new GridPoint(500000, 8400000), 0.5, 1, 3);
        GridGeometry other = new(grid.ReferenceSystem, new GridPoint(500000.5, 8400000), 0.5, 1, 3);
        MapLayer layer = MapLayer.Of(Row(grid, 1, 1, 1));
        Assert.Throws<ArgumentException>(() => layer.Times(MapLayer.Of(Row(other, 1, 1, 1))));
    }

    private static Raster<float> Row(GridGeometry grid, params float[] values)
    {
        Raster<float> raster = new(RasterLabel.OfOneBand(grid, "red"));
        values.CopyTo(raster.Row(0, 0));
        return raster;
    }
}
