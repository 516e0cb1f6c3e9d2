using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace Hillrow.Rehearsal;

/// <summary>
/// Turns a hit into a reflectance factor in one band: π × radiance over the clear-sky irradiance of level ground, so
/// clouds lower it; the true factor divides by the local irradiance share.
/// </summary>
internal readonly unsafe struct SurfaceShader
{
    internal const float Gloss = 0.09f;
    internal const float CrustScatter = 0.35f;
    private readonly CellLayer shrubs;
    private readonly CellLayer trees;
    private readonly uint* skin;
    private readonly OwnerShape[] owners;
    private readonly OwnerOptics[] optics;
    private readonly float[] groundLevels;
    private readonly ControlTarget[] targets;
    private readonly float sunX;
    private readonly float sunY;
    private readonly float sunZ;
    private readonly float perSunZ;
    private readonly float west;
    private readonly float south;
    private readonly float perCell;
    private readonly float glow;
    private readonly uint flutter;

    public SurfaceShader(ModelledScene scene, int band, WindSway wind)
    {
        shrubs = scene.Vegetation.Shrubs;
        trees = scene.Vegetation.Trees;
        skin = scene.Vegetation.Cover.Cells;
        owners = scene.Vegetation.Owners;
        optics = scene.Optics[band];
        targets = [.. scene.Targets];
        groundLevels =
        [
            .. Enum.GetValues<GroundMaterial>().Select(material => (float)GroundReflectance.Of(material, band).Level),
        ];
        sunX = (float)scene.Light.TowardsSun.X;
        sunY = (float)scene.Light.TowardsSun.Y;
        sunZ = (float)scene.Light.TowardsSun.Z;
        perSunZ = 1 / sunZ;
        west = (float)shrubs.Extent.WestMetres;
        south = (float)shrubs.Extent.SouthMetres;
        perCell = 1 / shrubs.CellMetres;
        OwnerOptics typical = optics[GroundPlants.Weed];
        // Below leaves the ground is lit by what they let through and scatter: much in the near infrared.
        glow = 0.75f * (typical.Transmittance + (0.6f * typical.Scattered));
        flutter = wind.LeafSeed;
    }

    /// <param name="vx">Unit vector towards the viewer, likewise vy and vz.</param>
    /// <param name="direct">Direct horizontal irradiance over the clear-sky total, clouds included.</param>
    /// <param name="diffuse">Skylight over the clear-sky total.</param>
    /// <param name="angular">Angular factors of the ground materials for this view.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public float Shade(
        in SurfaceHit hit,
        float vx,
        float vy,
        float vz,
        float direct,
        float diffuse,
        Vector256<float> angular
    ) =>
        hit.Kind switch
        {
            SurfaceKind.Ground => Ground(hit, direct, diffuse, angular),
            SurfaceKind.Shrub => Leaf(shrubs, hit, vx, vy, vz, direct, diffuse, 1),
            _ => Leaf(trees, hit, vx, vy, vz, direct, diffuse, 2),
        };

    /// <summary>Level of light among the leaves.</summary>
    public float Glow => glow;

    public uint Flutter => flutter;

    /// <summary>Level of each ground material, by number.</summary>
    public Vector256<float> GroundLevels() => Vector256.Create<float>(groundLevels);

    public GroundMaterial MaterialAt(float east, float north) => GroundCover.MaterialOf(skin[SkinIndex(east, north)]);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private int SkinIndex(float east, float north)
    {
        unchecked
        {
            // Beyond the modelled rectangle the skin repeats, so the index always falls inside.
            int columns = shrubs.CellColumns;
            int rows = shrubs.CellRows;
            int column = float.ConvertToIntegerNative<int>(MathF.Floor((east - west) * perCell));
            int row = float.ConvertToIntegerNative<int>(MathF.Floor((north - south) * perCell));
            if ((uint)column >= (uint)columns)
            {
                column = ((column % columns) + columns) % columns;
            }

            if ((uint)row >= (uint)rows)
            {
                row = ((row % rows) + rows) % rows;
            }

            return shrubs.IndexOf(column, row);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private float Ground(in SurfaceHit hit, float direct, float diffuse, Vector256<float> angular)
    {
        uint cell = skin[SkinIndex(hit.East, hit.North)];
        int material = (int)(cell & 255);
        float level = groundLevels[material];
        float bright = ((cell >> 8) & 255) * (1f / 128f);
        if (material == (int)GroundMaterial.Target)
        {
            (level, bright) = TargetLevel(hit, level, bright, ref material);
        }

        level *= 0.3f + (0.7f * bright);
        float sunSeen = ((cell >> 16) & 255) * (1f / 255f);
        float skySeen = (cell >> 24) * (1f / 255f);
        float perLength =
            1f
            / MathF.Sqrt(
                1 + (hit.Ground.RiseEast * hit.Ground.RiseEast) + (hit.Ground.RiseNorth * hit.Ground.RiseNorth)
            );
        float facing = (sunZ - (sunX * hit.Ground.RiseEast) - (sunY * hit.Ground.RiseNorth)) * perLength;
        float beam = direct * sunSeen * float.MaxNative(0, facing) * perSunZ;
        float sky = diffuse * skySeen;
        float leaves = (direct + diffuse) * (1 - skySeen) * glow;
        return level * ((beam * angular.GetElement(material)) + sky + leaves);
    }

    private (float Level, float Bright) TargetLevel(in SurfaceHit hit, float white, float bright, ref int material)
    {
        foreach (ControlTarget target in targets)
        {
            float dx = hit.East - (float)target.EastMetres;
            float dy = hit.North - (float)target.NorthMetres;
            float half = (float)target.HalfEdgeMetres;
            if (MathF.Abs(dx) < half && MathF.Abs(dy) < half)
            {
                return (dx * dy > 0 ? white : 0.08f * white, 1);
            }
        }

        material = (int)GroundMaterial.Soil;
        return (groundLevels[material], bright);
    }

    private float Leaf(
        CellLayer layer,
        in SurfaceHit hit,
        float vx,
        float vy,
        float vz,
        float direct,
        float diffuse,
        uint layerSeed
    )
    {
        unchecked
        {
            // Hash arithmetic wraps; cell indices come from the tracer.
            int index = hit.Cell.Index;
            int level = hit.Cell.Level;
            int owner = layer.Owner[index];
            ref readonly OwnerShape shape = ref owners[owner];
            ref readonly OwnerOptics matter = ref optics[owner];
            uint hash = LatticeNoise.Hash(hit.Cell.Column, hit.Cell.Row, level, layerSeed);
            float r1 = (hash & 1023) * (1f / 1023f);
            float r2 = ((hash >> 10) & 1023) * (1f / 1023f);
            float r3 = ((hash >> 20) & 1023) * (1f / 1023f);

            // Outward from the stem and upward, with a leaf's own will.
            float nx = 1.25f * (r1 - 0.5f);
            float ny = 1.25f * (r2 - 0.5f);
            float nz = 0.78f + (0.45f * (r3 - 0.5f));
            float share = 1;
            float off = 1;
            if (shape.Radius > 0)
            {
                float dx = hit.East - shape.East;
                float dy = hit.North - shape.North;
                float perRadius = 0.42f / shape.Radius;
                nx += dx * perRadius;
                ny += dy * perRadius;
                share = Math.Clamp((hit.Up - shape.Ground) / shape.Height, 0, 1.15f);
                off = MathF.Sqrt((dx * dx) + (dy * dy));
            }

            if (flutter != 0)
            {
                uint turn = LatticeNoise.Mix(hash ^ flutter);
                nx += ((turn & 1023) - 511.5f) * (0.36f / 1023f);
                ny += (((turn >> 10) & 1023) - 511.5f) * (0.36f / 1023f);
            }

            float perLength = 1f / MathF.Sqrt((nx * nx) + (ny * ny) + (nz * nz));
            nx *= perLength;
            ny *= perLength;
            nz *= perLength;
            float cosSun = (nx * sunX) + (ny * sunY) + (nz * sunZ);
            float cosView = (nx * vx) + (ny * vy) + (nz * vz);
            ulong above = level == 63 ? 0 : layer.Filled[index] >> (level + 1);
            int covering = BitOperations.PopCount(above);
            float open = 1f / (1f + (0.32f * covering));
            open *= 0.35f + (0.65f * float.MinNative(1, share));
            bool lit = ((layer.Lit[index] >> level) & 1) != 0;
            uint grain = LatticeNoise.Mix(hash + 0x51ed27u);
            bool wood = (grain & 1023) < 1024 * shape.WoodShare || off < shape.StemRadius;
            // Leaves of one plant differ: young ones at the tips are lighter and yellower.
            float tint = 0.86f + (((grain >> 10) & 255) * (0.28f / 255f));
            tint *= 0.9f + (0.14f * share);
            float reflect = wood ? matter.Wood : matter.Reflectance * tint;
            float through = wood ? 0 : matter.Transmittance * tint;
            bool sameSide = cosSun * cosView > 0;
            float rf = 0;
            if (lit)
            {
                float beam = direct * MathF.Abs(cosSun) * perSunZ;
                rf = beam * (sameSide ? reflect : through);
                if (sameSide && !wood)
                {
                    rf += beam * Glint(nx, ny, nz, vx, vy, vz, MathF.Abs(cosView));
                }
            }
            else if (!wood)
            {
                // Flecks that come through the leaves above.
                rf = direct * 0.16f * through * open;
            }

            float upper = 0.5f + (0.5f * nz);
            rf += diffuse * open * ((reflect * upper) + (through * (1 - upper)) + (wood ? 0 : 0.022f));
            float scatter = wood ? CrustScatter * matter.Scattered : matter.Scattered;
            return rf + ((direct + diffuse) * scatter * (0.3f + (0.7f * open)) * tint);
        }
    }

    /// <summary>Mirror-like part of a waxy leaf: π × microfacet reflectance (GGX after Walter and others 2007).</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private float Glint(float nx, float ny, float nz, float vx, float vy, float vz, float cosView)
    {
        float hx = sunX + vx;
        float hy = sunY + vy;
        float hz = sunZ + vz;
        float per = 1f / MathF.Sqrt((hx * hx) + (hy * hy) + (hz * hz));
        float cosHalf = ((nx * hx) + (ny * hy) + (nz * hz)) * per;
        cosHalf *= cosHalf;
        float spread = 1 - (cosHalf * (1 - Gloss));
        float facets = Gloss / (spread * spread);
        return float.MinNative(1.2f, 0.035f * facets / (4 * float.MaxNative(0.25f, cosView)));
    }
}
