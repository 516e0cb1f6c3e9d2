using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class OrthoTruthTests
{
    private static readonly EstatePlace Place = EstatePlace.InventedValley;

    [Fact]
    public void Render_GridOverTheEstate_HeightsAndPlantsAreWhereTheModelHasThem()
    {
        GridPoint middle = Place.ToMap(new Vector3D(0, 0, 0));
        GridGeometry grid = new(
            Place.Zone.ToReferenceSystem(),
            new GridPoint(middle.EastingMetres - 15, middle.NorthingMetres + 15),
            0.1,
            300,
            300
        );
        OrthoTruth truth = OrthoTruth.Render(SmallEstate.Scene, Place, grid, 4, 2);
        for (int at = 0; at < truth.GroundHeightMetres.Length; at += 97)
        {
            GridPoint centre = grid.CentreOf(at / grid.Columns, at % grid.Columns);
            Vector3D local = Place.ToLocal(centre, truth.GroundHeightMetres[at]);
            // Up and height differ by the bend of the earth and by how a float holds 1,180 m.
            Assert.Equal(SmallEstate.Scene.Terrain.HeightAt(local.X, local.Y), local.Z, 2e-3);
            Assert.True(truth.SurfaceHeightMetres[at] >= truth.GroundHeightMetres[at] - 0.12);
            Assert.Equal(truth.PlantNumber[at] != 0, truth.Material[at] == 255);
        }

        int found = 0;
        int asked = 0;
        foreach (PlantState plant in SmallEstate.Scene.Planting.Plants)
        {
            Vector3D foot = new(plant.Plant.EastMetres, plant.Plant.NorthMetres, 0);
            GridPoint map = Place.ToMap(foot);
            int column = (int)Math.Floor(grid.ColumnOf(map.EastingMetres));
            int row = (int)Math.Floor(grid.RowOf(map.NorthingMetres));
            if (column is < 2 or >= 298 || row is < 2 or >= 298 || plant.HeightMetres < 1)
            {
                continue;
            }

            asked++;
            found += Near(truth, row, column, plant.Plant.Number) ? 1 : 0;
        }

        Assert.True(asked > 30);
        // A shade tree may hide a plant from above.
        Assert.True(found > 0.9 * asked, $"{found} of {asked}");
    }

    [Fact]
    public void Render_GridOfAnotherZone_Throws()
    {
        GridGeometry grid = new(ReferenceSystem.Utm(33, true), new GridPoint(0, 0), 1, 2, 2);
        Assert.Throws<ArgumentException>(() => OrthoTruth.Render(SmallEstate.Scene, Place, grid, 1, 1));
    }

    private static bool Near(OrthoTruth truth, int row, int column, int number)
    {
        for (int y = row - 2; y <= row + 2; y++)
        {
            for (int x = column - 2; x <= column + 2; x++)
            {
                if (truth.PlantNumber[(y * truth.Grid.Columns) + x] == number)
                {
                    return true;
                }
            }
        }

        return false;
    }
}
