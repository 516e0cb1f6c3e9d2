using Hillrow.Numerics;

namespace Hillrow.Rehearsal.Tests;

/// <summary>A modelled estate small enough for quick tests, built once.</summary>
public static class SmallEstate
{
    public static EstateSettings Settings { get; } =
        new()
        {
            Seed = 5,
            Extent = new SceneExtent(-32, -28, 64, 56),
            CellMetres = 0.1,
        };

    private static readonly Lazy<ModelledScene> Built = new(() => Build(Settings, 0, CloudField.None));

    /// <summary>Shared; tests must not change it.</summary>
    public static ModelledScene Scene => Built.Value;

    public static ModelledScene Build(EstateSettings settings, int date, CloudField clouds)
    {
        EstateLayout layout = EstateLayout.Build(settings);
        PlantingOnDay planting = PlantingHistory.Build(settings, layout)[date];
        TerrainPosts terrain = HillsideTerrain.Build(settings, layout, 2);
        Vegetation vegetation = Vegetation.Grow(settings, layout, terrain, planting, date, 2);
        LightState light = LightState.Of(40, 50, planting.Day, new ClearSky(0.12, 1.3, 0.86), clouds);
        return ModelledScene.Build(terrain, vegetation, planting, light, [], 2);
    }

    public static RigPose Above(double heightMetres) =>
        new(new Vector3D(1, -2, Scene.Terrain.HeightAt(1, -2) + heightMetres), 25, 3, -4);

    /// <summary>Straight above the middle of the block with most living plants.</summary>
    public static RigPose AboveCrowns(double heightMetres)
    {
        Plant[] alive =
        [
            .. Scene
                .Planting.Plants.Where(state => !state.IsDead && state.FoliageDensity > 0.8)
                .GroupBy(state => state.Plant.BlockIndex)
                .MaxBy(block => block.Count())!
                .Select(state => state.Plant),
        ];
        (double east, double north) = (
            alive.Average(plant => plant.EastMetres),
            alive.Average(plant => plant.NorthMetres)
        );
        return new RigPose(new Vector3D(east, north, Scene.Terrain.HeightAt(east, north) + heightMetres), 25, 0, 0);
    }

    /// <summary>A rig whose small pictures look where the full ones have their middle.</summary>
    public static TrueRig CentredRig(ulong seed, int columns, int rows)
    {
        TrueRig rig = TrueRig.Build(seed);
        return rig with
        {
            Lenses =
            [
                .. rig.Lenses.Select(lens =>
                    lens with
                    {
                        Lens = lens.Lens with { CentreColumn = columns / 2.0, CentreRow = rows / 2.0 },
                    }
                ),
            ],
        };
    }
}
