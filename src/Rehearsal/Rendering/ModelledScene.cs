namespace Hillrow.Rehearsal;

/// <summary>A ground-control target: a square board in four fields, two white and two black.</summary>
/// <param name="Name">As painted beside it.</param>
/// <param name="EastMetres">Centre, local frame.</param>
/// <param name="NorthMetres">Centre, local frame.</param>
/// <param name="HalfEdgeMetres">Half the edge of the whole board.</param>
public sealed record ControlTarget(string Name, double EastMetres, double NorthMetres, double HalfEdgeMetres);

/// <summary>The estate on one day under one sun: all that a ray can meet, with light already cast.</summary>
public sealed class ModelledScene
{
    private ModelledScene(
        TerrainPosts terrain,
        Vegetation vegetation,
        PlantingOnDay planting,
        LightState light,
        IReadOnlyList<ControlTarget> targets,
        CanopyTops shrubTops,
        CanopyTops treeTops
    )
    {
        Terrain = terrain;
        Vegetation = vegetation;
        Planting = planting;
        Light = light;
        Targets = targets;
        ShrubTops = shrubTops;
        TreeTops = treeTops;
        Optics = [.. RigBand.Five.Select((_, band) => OwnerOptics.Of(band, planting, vegetation))];
    }

    public TerrainPosts Terrain { get; }

    public Vegetation Vegetation { get; }

    public PlantingOnDay Planting { get; }

    public LightState Light { get; }

    public IReadOnlyList<ControlTarget> Targets { get; }

    internal CanopyTops ShrubTops { get; }

    internal CanopyTops TreeTops { get; }

    /// <summary>By band, then by owner number.</summary>
    internal OwnerOptics[][] Optics { get; }

    /// <summary>Casts light over what grows; the vegetation keeps the result, so build one scene of it at a time.</summary>
    public static ModelledScene Build(
        TerrainPosts terrain,
        Vegetation vegetation,
        PlantingOnDay planting,
        LightState light,
        IReadOnlyList<ControlTarget> targets,
        int threads
    )
    {
        ArgumentNullException.ThrowIfNull(vegetation);
        ArgumentNullException.ThrowIfNull(light);
        ArgumentNullException.ThrowIfNull(targets);
        Lay(vegetation, targets);
        CanopyTops shrubTops = CanopyTops.Over(vegetation.Shrubs, 5);
        CanopyTops treeTops = CanopyTops.Over(vegetation.Trees, 9);
        SunAndSkyView.Cast(terrain, vegetation, shrubTops, treeTops, light.TowardsSun, withSky: true, threads);
        return new ModelledScene(terrain, vegetation, planting, light, targets, shrubTops, treeTops);
    }

    /// <summary>Who was hit: a plant's number, or one of the constants of <see cref="CaptureMaps"/>, or 0.</summary>
    internal unsafe int PlantNumberAt(in SurfaceHit hit)
    {
        if (hit.Kind == SurfaceKind.Ground)
        {
            return 0;
        }

        if (hit.Kind == SurfaceKind.Tree)
        {
            return CaptureMaps.ShadeTreePlant;
        }

        int owner = Vegetation.Shrubs.Owner[hit.Cell.Index];
        return owner < GroundPlants.FirstCropOwner
            ? CaptureMaps.LowPlant
            : Planting.Plants[owner - GroundPlants.FirstCropOwner].Plant.Number;
    }

    /// <summary>Weeds and grass are cut this far around a target, as whoever lays it does.</summary>
    private const double MownMetres = 0.3;

    /// <summary>Marks the ground cells near a target, so that only rays there look at the list, and mows around it.</summary>
    private static unsafe void Lay(Vegetation vegetation, IReadOnlyList<ControlTarget> targets)
    {
        CellLayer layer = vegetation.Shrubs;
        foreach (ControlTarget target in targets)
        {
            double board = target.HalfEdgeMetres + layer.CellMetres;
            double reach = board + MownMetres;
            int west = (int)((target.EastMetres - reach - layer.Extent.WestMetres) / layer.CellMetres);
            int east = (int)((target.EastMetres + reach - layer.Extent.WestMetres) / layer.CellMetres);
            int south = (int)((target.NorthMetres - reach - layer.Extent.SouthMetres) / layer.CellMetres);
            int north = (int)((target.NorthMetres + reach - layer.Extent.SouthMetres) / layer.CellMetres);
            for (int row = Math.Max(0, south); row <= Math.Min(layer.CellRows - 1, north); row++)
            {
                for (int column = Math.Max(0, west); column <= Math.Min(layer.CellColumns - 1, east); column++)
                {
                    int index = layer.IndexOf(column, row);
                    if (layer.Owner[index] < GroundPlants.FirstCropOwner)
                    {
                        layer.Filled[index] = 0;
                    }

                    double offEast = layer.Extent.WestMetres + ((column + 0.5) * layer.CellMetres) - target.EastMetres;
                    double offNorth = layer.Extent.SouthMetres + ((row + 0.5) * layer.CellMetres) - target.NorthMetres;
                    if (Math.Max(Math.Abs(offEast), Math.Abs(offNorth)) <= board)
                    {
                        vegetation.Cover.Cells[index] =
                            (vegetation.Cover.Cells[index] & 0xffffff00u) | (uint)GroundMaterial.Target;
                    }
                }
            }
        }
    }
}
