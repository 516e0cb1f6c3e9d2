namespace Hillrow.Rehearsal;

/// <summary>Who fills a cell: what shading needs to know of a plant, by owner number.</summary>
[System.Runtime.InteropServices.StructLayout(System.Runtime.InteropServices.LayoutKind.Sequential)]
internal struct OwnerShape
{
    public float East;
    public float North;
    public float Ground;
    public float Height;
    public float Radius;
    public float WoodShare;
    public float StemRadius;
}

/// <summary>Everything that grows on one day, as cells, with the ground's skin painted to match.</summary>
public sealed class Vegetation
{
    /// <summary>Levels of the fine layer: 64 of them reach 3.8 m.</summary>
    public const double ShrubLevelMetres = 0.06;

    private Vegetation(CellLayer shrubs, CellLayer trees, GroundCover cover, OwnerShape[] owners, int firstTree)
    {
        Shrubs = shrubs;
        Trees = trees;
        Cover = cover;
        Owners = owners;
        FirstTreeOwner = firstTree;
    }

    public CellLayer Shrubs { get; }

    /// <summary>Shade trees: coarser cells, taller levels.</summary>
    public CellLayer Trees { get; }

    public GroundCover Cover { get; }

    public int FirstTreeOwner { get; }

    /// <summary>By owner number; pinned.</summary>
    internal OwnerShape[] Owners { get; }

    public static Vegetation Grow(
        EstateSettings settings,
        EstateLayout layout,
        TerrainPosts terrain,
        PlantingOnDay planting,
        int dateIndex,
        int threads
    )
    {
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(layout);
        ArgumentNullException.ThrowIfNull(planting);
        CellLayer shrubs = new(settings.Extent, terrain, settings.CellMetres, ShrubLevelMetres);
        CellLayer trees = new(settings.Extent, terrain, 2 * settings.CellMetres, 3.4 * ShrubLevelMetres);
        int firstTree = GroundPlants.FirstCropOwner + planting.Plants.Count;
        OwnerShape[] owners = GC.AllocateArray<OwnerShape>(firstTree + planting.ShadeTrees.Count, pinned: true);
        float[] nearest = new float[shrubs.CellCount];
        Array.Fill(nearest, float.MaxValue);
        ShrubCrown shrub = new(shrubs, nearest, terrain);
        for (int index = 0; index < planting.Plants.Count; index++)
        {
            PlantState plant = planting.Plants[index];
            shrub.Grow(plant, layout.Blocks[plant.Plant.BlockIndex].Kind, GroundPlants.FirstCropOwner + index);
            owners[GroundPlants.FirstCropOwner + index] = new OwnerShape
            {
                East = (float)plant.Plant.EastMetres,
                North = (float)plant.Plant.NorthMetres,
                Ground = (float)terrain.HeightAt(plant.Plant.EastMetres, plant.Plant.NorthMetres),
                Height = (float)plant.HeightMetres,
                Radius = (float)plant.CrownRadiusMetres,
                // Twigs show where leaves are missing.
                WoodShare = (float)Math.Clamp(0.05 + (0.35 * Math.Max(0, 1 - plant.FoliageDensity)), 0, 0.6),
                StemRadius = layout.Blocks[plant.Plant.BlockIndex].Kind == BlockKind.Stumped ? 0.1f : 0.045f,
            };
        }

        float[] treeNearest = new float[trees.CellCount];
        Array.Fill(treeNearest, float.MaxValue);
        ShadeTreeCrown crown = new(trees, treeNearest, terrain);
        for (int index = 0; index < planting.ShadeTrees.Count; index++)
        {
            ShadeTree tree = planting.ShadeTrees[index];
            crown.Grow(tree, firstTree + index);
            owners[firstTree + index] = new OwnerShape
            {
                East = (float)tree.EastMetres,
                North = (float)tree.NorthMetres,
                Ground = (float)terrain.HeightAt(tree.EastMetres, tree.NorthMetres),
                Height = (float)tree.HeightMetres,
                Radius = (float)tree.CrownRadiusMetres,
                WoodShare = 0.04f,
                StemRadius = 0.12f,
            };
        }

        GroundCover cover = new(shrubs.CellCount);
        new GroundPainter(settings, layout, terrain, shrubs).Paint(cover, Shade(shrubs), dateIndex, threads);
        shrubs.Measure();
        trees.Measure();
        return new Vegetation(shrubs, trees, cover, owners, firstTree);
    }

    /// <summary>Share of the cells of each block, and its neighbours, that a crown covers.</summary>
    private static unsafe float[] Shade(CellLayer shrubs)
    {
        float[] own = new float[shrubs.BlockColumns * shrubs.BlockRows];
        for (int block = 0; block < own.Length; block++)
        {
            int covered = 0;
            for (int cell = 0; cell < 64; cell++)
            {
                covered += shrubs.Filled[(block * 64) + cell] != 0 ? 1 : 0;
            }

            own[block] = covered / 64f;
        }

        float[] smooth = new float[own.Length];
        for (int row = 1; row < shrubs.BlockRows - 1; row++)
        {
            for (int column = 1; column < shrubs.BlockColumns - 1; column++)
            {
                float sum = 0;
                for (int dy = -1; dy <= 1; dy++)
                {
                    for (int dx = -1; dx <= 1; dx++)
                    {
                        sum += own[((row + dy) * shrubs.BlockColumns) + column + dx];
                    }
                }

                smooth[(row * shrubs.BlockColumns) + column] = sum / 9;
            }
        }

        return smooth;
    }
}
