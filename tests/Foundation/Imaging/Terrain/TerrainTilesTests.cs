using Hillrow.Earth;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Imaging.Tests;

public sealed class TerrainTilesTests
{
    [Fact]
    public void Read_SrtmGeoTiff_WholeAndPartAgree()
    {
        string? path = RepositoryFiles.OpenData("steep-dem-andes", "srtm.tif");
        Assert.SkipWhen(path is null, "the open data beside the project are not here");
        TerrainTile whole = TerrainTiles.Read(path)!;
        Assert.Equal(4326, whole.System.EpsgCode);
        Assert.Equal(VerticalReference.Egm96Geoid, whole.VerticalReference);
        float[] seen = [.. whole.Heights.ToArray().Where(float.IsFinite)];
        Assert.Equal(1024, seen.Min());
        Assert.Equal(2892, seen.Max());

        double north = whole.FirstNorth - (whole.StepNorth * 100);
        double east = whole.FirstEast + (whole.StepEast * 100);
        GeographicArea area = new(north - 0.02, east, north, east + 0.02);
        TerrainTile part = TerrainTiles.Read(path, area)!;
        Assert.True(part.Rows < 40 && part.Columns < 40, $"{part.Rows} × {part.Columns}");
        Assert.True(new Earth.Terrain([whole]).TryHeightAt(area.Centre, out Height want));
        Assert.True(new Earth.Terrain([part]).TryHeightAt(area.Centre, out Height got));
        Assert.Equal(want.Metres, got.Metres, 6);
        Assert.Null(TerrainTiles.Read(path, new GeographicArea(5, -76, 5.1, -75.9)));
    }

    [Fact]
    public void Read_ProjectedDem_SlopeEqualsTheOneOfItsAuthors()
    {
        string? path = RepositoryFiles.OpenData("steep-dem-andes", "ta.tif");
        Assert.SkipWhen(path is null, "the open data beside the project are not here");
        TerrainTile dem = TerrainTiles.Read(path, band: 3)!;
        TerrainTile authors = TerrainTiles.Read(path, band: 0)!;
        Assert.Equal(32717, dem.System.EpsgCode);
        float[] slope = new float[dem.Heights.Length];
        TerrainShape.SlopeDegrees(
            dem.Heights,
            dem.Rows,
            dem.Columns,
            dem.StepEast,
            dem.StepNorth,
            GradientMethod.ZevenbergenThorne,
            slope
        );
        int compared = 0;
        for (int cell = 0; cell < slope.Length; cell++)
        {
            if (!float.IsNaN(slope[cell]) && !float.IsNaN(authors.Heights[cell]))
            {
                compared++;
                Assert.Equal(authors.Heights[cell], slope[cell], 1e-3f);
            }
        }

        Assert.True(compared > 100_000, $"{compared} cells");
    }
}
