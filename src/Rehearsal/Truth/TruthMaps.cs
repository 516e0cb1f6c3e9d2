using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>Writes and names the truth's maps of a flight, and makes the plants' truth from model and maps.</summary>
public static class TruthMaps
{
    public const string Reflectance = "reflectance.tif";

    /// <summary>Bands: highest surface of a cell, surface at its middle, ground.</summary>
    public const string Heights = "heights.tif";

    public const string Plants = "plant-numbers.tif";

    public const string Materials = "materials.tif";

    /// <summary>The map grid over the modelled ground, its corners on whole metres.</summary>
    public static GridGeometry GridOver(RehearsedEstate estate, double cellMetres)
    {
        ArgumentNullException.ThrowIfNull(estate);
        SceneExtent extent = estate.Model.Extent;
        GridPoint[] corners =
        [
            .. new[]
            {
                (extent.WestMetres, extent.SouthMetres),
                (extent.EastMetres, extent.SouthMetres),
                (extent.WestMetres, extent.NorthMetres),
                (extent.EastMetres, extent.NorthMetres),
            }.Select(corner => estate.Place.ToMap(new Vector3D(corner.Item1, corner.Item2, 0))),
        ];
        double west = Math.Ceiling(corners.Min(corner => corner.EastingMetres));
        double north = Math.Floor(corners.Max(corner => corner.NorthingMetres));
        return new GridGeometry(
            estate.Place.Zone.ToReferenceSystem(),
            new GridPoint(west, north),
            cellMetres,
            (int)((north - corners.Min(corner => corner.NorthingMetres)) / cellMetres),
            (int)((corners.Max(corner => corner.EastingMetres) - west) / cellMetres)
        );
    }

    public static void Write(string folder, OrthoTruth truth, int threads)
    {
        ArgumentNullException.ThrowIfNull(truth);
        CogLayout classes = new()
        {
            Predict = false,
            Overviews = OverviewMethod.Nearest,
            Level = 1,
        };
        CogLayout measured = new() { Level = 1 };
        string Path(string name) => System.IO.Path.Combine(folder, name);
        Cog.Write(
            Path(Reflectance),
            new Raster<float>(
                new RasterLabel(truth.Grid, [.. RigBand.Five.Select(band => new BandLabel(band.Name))]),
                [.. truth.Reflectance]
            ),
            measured,
            threads
        );
        Cog.Write(
            Path(Heights),
            new Raster<float>(
                new RasterLabel(
                    truth.Grid,
                    [new BandLabel("surface", "m"), new BandLabel("middle", "m"), new BandLabel("ground", "m")]
                )
                {
                    Heights = VerticalReference.Ellipsoid,
                },
                [truth.SurfaceHeightMetres, truth.MiddleHeightMetres, truth.GroundHeightMetres]
            ),
            measured,
            threads
        );
        Cog.Write(
            Path(Plants),
            new Raster<int>(RasterLabel.OfOneBand(truth.Grid, "plant"), [truth.PlantNumber]),
            classes,
            threads
        );
        Cog.Write(
            Path(Materials),
            new Raster<byte>(RasterLabel.OfOneBand(truth.Grid, "material"), [truth.Material]),
            classes,
            threads
        );
    }

    public static IReadOnlyList<PlantTruth> PlantsOf(RehearsedEstate estate, PlantingOnDay planting, OrthoTruth maps)
    {
        ArgumentNullException.ThrowIfNull(estate);
        ArgumentNullException.ThrowIfNull(planting);
        ArgumentNullException.ThrowIfNull(maps);
        Dictionary<int, int> cells = [];
        foreach (int number in maps.PlantNumber)
        {
            if (number > 0)
            {
                cells[number] = cells.GetValueOrDefault(number) + 1;
            }
        }

        double cellArea = maps.Grid.CellSizeMetres * maps.Grid.CellSizeMetres;
        return
        [
            .. planting.Plants.Select(state =>
            {
                Plant plant = state.Plant;
                GridPoint at = estate.Place.ToMap(new Vector3D(plant.EastMetres, plant.NorthMetres, 0));
                BlockPlan block = estate.Layout.Blocks[plant.BlockIndex];
                return new PlantTruth(
                    plant.Number,
                    plant.Position,
                    block.Name,
                    block.Kind,
                    plant.Row,
                    at.EastingMetres,
                    at.NorthingMetres,
                    state.HeightMetres,
                    Math.PI * state.CrownRadiusMetres * state.CrownRadiusMetres,
                    cells.GetValueOrDefault(plant.Number) * cellArea,
                    state.FoliageDensity,
                    state.ChlorophyllMicrogramsPerSquareCentimetre,
                    state.PestSeverity,
                    state.NutrientIndex,
                    state.PickingStress,
                    state.IsDead,
                    state.IsTreated,
                    !state.IsDead && state.PestSeverity >= 0.25
                );
            }),
        ];
    }

    public static IReadOnlyList<GapTruth> GapsOf(RehearsedEstate estate, PlantingOnDay planting)
    {
        ArgumentNullException.ThrowIfNull(estate);
        ArgumentNullException.ThrowIfNull(planting);
        return
        [
            .. planting.Gaps.Select(gap =>
            {
                GridPoint at = estate.Place.ToMap(new Vector3D(gap.EastMetres, gap.NorthMetres, 0));
                return new GapTruth(
                    gap.Position,
                    estate.Layout.Blocks[gap.BlockIndex].Name,
                    gap.Row,
                    at.EastingMetres,
                    at.NorthingMetres
                );
            }),
        ];
    }
}
