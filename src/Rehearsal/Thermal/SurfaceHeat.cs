using System.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>How hot a surface is and how well it radiates.</summary>
/// <param name="Kelvin">Of the surface itself.</param>
/// <param name="Emissivity">Within the thermal band.</param>
/// <param name="SkySeen">Share of the sky that it reflects; the rest of what it reflects is as warm as the air.</param>
public readonly record struct HeatOfSurface(double Kelvin, double Emissivity, double SkySeen);

/// <summary>
/// Surface temperatures by sun, shade, material and, for leaves, by how much water the plant still moves: a leaf that
/// transpires stays near the air, one that cannot warms in the sun by several kelvin.
/// </summary>
/// <remarks>
/// Orders of size as in field thermography of crops (Idso and others 1981, doi 10.1016/0002-1571(81)90032-7; H. G. Jones
/// 1999): sunlit well-watered leaves within 2 K of the air, stressed ones 5 to 9 K above, dry soil 15 to 25 K.
/// </remarks>
internal sealed unsafe class SurfaceHeat
{
    /// <summary>Sunlit, level, sun in the zenith: kelvin above the air, by ground material.</summary>
    private static readonly double[] GroundRise = [17, 19, 14, 13, 20, 15, 8, 11];

    private static readonly double[] GroundEmissivity = [0.955, 0.96, 0.945, 0.965, 0.945, 0.93, 0.975, 0.92];

    private const double LeafEmissivity = 0.985;
    private readonly ModelledScene scene;
    private readonly double[] stress;
    private readonly double sunHeight;

    public SurfaceHeat(ModelledScene scene)
    {
        this.scene = scene;
        sunHeight = scene.Light.TowardsSun.Z;
        stress = new double[scene.Vegetation.Owners.Length];
        Array.Fill(stress, 0.15);
        stress[GroundPlants.Grass] = 0.35;
        stress[GroundPlants.DryGrass] = 0.95;
        stress[GroundPlants.Weed] = 0.2;
        for (int index = 0; index < scene.Planting.Plants.Count; index++)
        {
            stress[GroundPlants.FirstCropOwner + index] = StressOf(scene.Planting.Plants[index]);
        }
    }

    /// <summary>0 transpires freely … 1 hardly at all; above 1 dead.</summary>
    public static double StressOf(PlantState plant)
    {
        ArgumentNullException.ThrowIfNull(plant);
        // Plants differ for reasons of their own: ± 0.06.
        double own =
            0.12 * (LatticeNoise.Unit(LatticeNoise.Mix(unchecked((uint)plant.Plant.Number * 2654435761u))) - 0.5);
        double hunger = 0.08 * Math.Max(0, -plant.NutrientIndex);
        return plant.IsDead
            ? 1.3
            : Math.Clamp(0.12 + own + (0.8 * plant.PestSeverity) + (0.25 * plant.PickingStress) + hunger, 0, 1.1);
    }

    /// <param name="beamNow">Share of the sun's beam that clouds let through now.</param>
    /// <param name="beamLately">The same, mean over the last minute: ground cools slowly, leaves at once.</param>
    public HeatOfSurface Of(in SurfaceHit hit, double airKelvin, double beamNow, double beamLately)
    {
        if (hit.Kind == SurfaceKind.Ground)
        {
            return Ground(hit, airKelvin, beamLately);
        }

        CellLayer layer = hit.Kind == SurfaceKind.Shrub ? scene.Vegetation.Shrubs : scene.Vegetation.Trees;
        int index = hit.Cell.Index;
        int level = hit.Cell.Level;
        int covering = BitOperations.PopCount(level == 63 ? 0 : layer.Filled[index] >> (level + 1));
        double open = 1 / (1 + (0.32 * covering));
        bool lit = ((layer.Lit[index] >> level) & 1) != 0;
        uint hash = LatticeNoise.Hash(hit.Cell.Column, hit.Cell.Row, level, 41u);
        double tilt = 0.55 + (0.45 * LatticeNoise.Unit(hash));
        double thirst = stress[layer.Owner[index]];
        double sun = beamNow * sunHeight * (lit ? tilt : 0.12 * open);
        return new HeatOfSurface(
            airKelvin - 1.3 + (0.9 * thirst) + (sun * (1.8 + (7.2 * thirst))),
            LeafEmissivity,
            open
        );
    }

    private HeatOfSurface Ground(in SurfaceHit hit, double airKelvin, double beamLately)
    {
        uint cell = scene.Vegetation.Cover.Cells[SkinIndex(hit.East, hit.North)];
        int material = (int)(cell & 255);
        double sunSeen = ((cell >> 16) & 255) / 255.0;
        double skySeen = (cell >> 24) / 255.0;
        Numerics.Vector3D sun = scene.Light.TowardsSun;
        double length = Math.Sqrt(
            1 + (hit.Ground.RiseEast * hit.Ground.RiseEast) + (hit.Ground.RiseNorth * hit.Ground.RiseNorth)
        );
        double facing = Math.Max(0, (sun.Z - (sun.X * hit.Ground.RiseEast) - (sun.Y * hit.Ground.RiseNorth)) / length);
        double heated = (beamLately * sunSeen * facing) + (0.1 * skySeen);
        return new HeatOfSurface(
            airKelvin - 0.5 + (GroundRise[material] * heated),
            GroundEmissivity[material],
            skySeen
        );
    }

    private int SkinIndex(float east, float north)
    {
        // Beyond the modelled rectangle the edge goes on.
        CellLayer layer = scene.Vegetation.Shrubs;
        int column = (int)Math.Clamp((east - layer.Extent.WestMetres) / layer.CellMetres, 0, layer.CellColumns - 1);
        int row = (int)Math.Clamp((north - layer.Extent.SouthMetres) / layer.CellMetres, 0, layer.CellRows - 1);
        return layer.IndexOf(column, row);
    }
}
