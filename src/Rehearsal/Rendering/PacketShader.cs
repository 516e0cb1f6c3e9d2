using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hillrow.Rehearsal;

/// <summary>Light that reaches a patch of eight rays, and from where they are looked at.</summary>
internal struct PacketLight
{
    /// <summary>Unit vectors towards the viewer.</summary>
    public Vector256<float> ViewX;
    public Vector256<float> ViewY;
    public Vector256<float> ViewZ;

    /// <summary>Direct horizontal irradiance over the clear-sky total, clouds included.</summary>
    public float Direct;

    /// <summary>Skylight over the clear-sky total.</summary>
    public float Diffuse;

    /// <summary>Angular factors of the ground materials for this view, by material number.</summary>
    public Vector256<float> Angular;
}

/// <summary>Turns eight hits into reflectance factors in one band: <see cref="SurfaceShader"/>, eight at a time.</summary>
internal readonly unsafe struct PacketShader
{
    private const int ShapeFloats = 7;
    private const int OpticsFloats = 4;
    private readonly SurfaceShader one;
    private readonly CellLayer shrubs;
    private readonly int* skin;
    private readonly float* shapes;
    private readonly float* optics;
    private readonly Vector256<float> groundLevels;
    private readonly float sunX;
    private readonly float sunY;
    private readonly float sunZ;
    private readonly float perSunZ;
    private readonly float west;
    private readonly float south;
    private readonly float perCell;
    private readonly float glow;
    private readonly uint flutter;

    public PacketShader(ModelledScene scene, int band, in SurfaceShader shader)
    {
        one = shader;
        shrubs = scene.Vegetation.Shrubs;
        skin = (int*)scene.Vegetation.Cover.Cells;
        // Both arrays are pinned.
        shapes = (float*)Unsafe.AsPointer(ref scene.Vegetation.Owners[0]);
        optics = (float*)Unsafe.AsPointer(ref scene.Optics[band][0]);
        groundLevels = shader.GroundLevels();
        (sunX, sunY, sunZ) = (
            (float)scene.Light.TowardsSun.X,
            (float)scene.Light.TowardsSun.Y,
            (float)scene.Light.TowardsSun.Z
        );
        perSunZ = 1 / sunZ;
        west = (float)shrubs.Extent.WestMetres;
        south = (float)shrubs.Extent.SouthMetres;
        perCell = 1 / shrubs.CellMetres;
        glow = shader.Glow;
        flutter = shader.Flutter;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public Vector256<float> Shade(in PacketHit hit, in PacketLight light)
    {
        int shrub = Avx.MoveMask(hit.IsShrub.AsSingle());
        int tree = Avx.MoveMask(hit.IsTree.AsSingle());
        Vector256<float> factors = (shrub | tree) == 255 ? default : Ground(hit, light, shrub | tree);
        if (shrub != 0)
        {
            factors = Vector256.ConditionalSelect(hit.IsShrub.AsSingle(), Leaf(hit, light), factors);
        }

        return tree == 0 ? factors : OneByOne(hit, light, tree, factors);
    }

    [MethodImpl(MethodImplOptions.NoInlining)]
    private Vector256<float> OneByOne(in PacketHit hit, in PacketLight light, int lanes, Vector256<float> factors)
    {
        for (int lane = 0; lane < RayPacket.Lanes; lane++)
        {
            if ((lanes & (1 << lane)) != 0)
            {
                float factor = one.Shade(
                    hit.Lane(lane),
                    light.ViewX.GetElement(lane),
                    light.ViewY.GetElement(lane),
                    light.ViewZ.GetElement(lane),
                    light.Direct,
                    light.Diffuse,
                    light.Angular
                );
                factors = factors.WithElement(lane, factor);
            }
        }

        return factors;
    }

    private Vector256<float> Ground(in PacketHit hit, in PacketLight light, int elsewhere)
    {
        unchecked
        {
            // Cell numbers of lanes on leaves are masked; those beyond the rectangle go the plain way.
            Vector256<int> column = Avx.ConvertToVector256Int32WithTruncation(
                Vector256.Floor((hit.East - Vector256.Create(west)) * perCell)
            );
            Vector256<int> row = Avx.ConvertToVector256Int32WithTruncation(
                Vector256.Floor((hit.North - Vector256.Create(south)) * perCell)
            );
            Vector256<int> inside =
                Vector256.LessThan(column.AsUInt32(), Vector256.Create((uint)shrubs.CellColumns)).AsInt32()
                & Vector256.LessThan(row.AsUInt32(), Vector256.Create((uint)shrubs.CellRows)).AsInt32();
            Vector256<int> seven = Vector256.Create(7);
            Vector256<int> block = ((row >>> 3) * shrubs.BlockColumns) + (column >>> 3);
            Vector256<int> index = ((block << 6) | ((row & seven) << 3) | (column & seven)) & inside;
            Vector256<int> cell = Avx2.GatherVector256(skin, index, 4);
            Vector256<int> low = Vector256.Create(255);
            Vector256<int> material = cell & low;
            Vector256<float> level = Avx2.PermuteVar8x32(groundLevels, material);
            Vector256<float> factor = Avx2.PermuteVar8x32(light.Angular, material);
            Vector256<float> bright = Vector256.ConvertToSingle((cell >>> 8) & low) * (1f / 128f);
            Vector256<float> sunSeen = Vector256.ConvertToSingle((cell >>> 16) & low) * (1f / 255f);
            Vector256<float> skySeen = Vector256.ConvertToSingle(cell >>> 24) * (1f / 255f);
            level *= Vector256.Create(0.3f) + (bright * 0.7f);
            Vector256<float> one4 = Vector256<float>.One;
            Vector256<float> length = Vector256.Sqrt(
                one4 + (hit.RiseEast * hit.RiseEast) + (hit.RiseNorth * hit.RiseNorth)
            );
            Vector256<float> facing =
                (Vector256.Create(sunZ) - (hit.RiseEast * sunX) - (hit.RiseNorth * sunY)) / length;
            Vector256<float> beam =
                sunSeen * Vector256.MaxNative(facing, Vector256<float>.Zero) * (light.Direct * perSunZ);
            Vector256<float> leaves = (one4 - skySeen) * ((light.Direct + light.Diffuse) * glow);
            Vector256<float> factors = level * ((beam * factor) + (skySeen * light.Diffuse) + leaves);
            int outside = Avx.MoveMask((~inside).AsSingle());
            int target = Avx.MoveMask(
                Vector256.Equals(material, Vector256.Create((int)GroundMaterial.Target)).AsSingle()
            );
            int plain = (outside | target) & ~elsewhere & 255;
            return plain == 0 ? factors : OneByOne(hit, light, plain, factors);
        }
    }

    private Vector256<float> Leaf(in PacketHit hit, in PacketLight light)
    {
        unchecked
        {
            // Hash arithmetic wraps; cell indices come from the tracer, lanes without a leaf point at cell 0.
            Vector256<int> index = hit.Index & hit.IsShrub;
            Vector256<int> level = hit.Level & hit.IsShrub;
            Covering(index, level, out Vector256<int> owner, out Vector256<int> covering, out Vector256<float> lit);
            Vector256<int> shape = owner * ShapeFloats;
            Vector256<int> matter = owner * OpticsFloats;
            Vector256<uint> hash = PacketNoise.Mix(
                (hit.Column.AsUInt32() * 0x9e3779b1u)
                    ^ (level.AsUInt32() * 0xc2b2ae3du)
                    ^ PacketNoise.Mix((hit.Row.AsUInt32() * 0x85ebca77u) + Vector256<uint>.One)
            );
            Vector256<uint> ten = Vector256.Create(1023u);
            Vector256<float> half = Vector256.Create(0.5f);
            Vector256<float> unit = Vector256<float>.One;

            // Outward from the stem and upward, with a leaf's own will.
            Vector256<float> nx = ((Number(hash & ten) * (1f / 1023f)) - half) * 1.25f;
            Vector256<float> ny = ((Number((hash >>> 10) & ten) * (1f / 1023f)) - half) * 1.25f;
            Vector256<float> nz =
                (((Number((hash >>> 20) & ten) * (1f / 1023f)) - half) * 0.45f) + Vector256.Create(0.78f);
            Vector256<float> radius = Avx2.GatherVector256(shapes + 4, shape, 4);
            Vector256<float> isPlant = Vector256.GreaterThan(radius, Vector256<float>.Zero);
            Vector256<float> dx = hit.East - Avx2.GatherVector256(shapes, shape, 4);
            Vector256<float> dy = hit.North - Avx2.GatherVector256(shapes + 1, shape, 4);
            Vector256<float> perRadius = (Vector256.Create(0.42f) / radius) & isPlant;
            nx += dx * perRadius;
            ny += dy * perRadius;
            Vector256<float> share =
                (hit.Up - Avx2.GatherVector256(shapes + 2, shape, 4)) / Avx2.GatherVector256(shapes + 3, shape, 4);
            share = Vector256.MinNative(Vector256.MaxNative(share, Vector256<float>.Zero), Vector256.Create(1.15f));
            share = Vector256.ConditionalSelect(isPlant, share, unit);
            Vector256<float> off = Vector256.ConditionalSelect(isPlant, Vector256.Sqrt((dx * dx) + (dy * dy)), unit);
            if (flutter != 0)
            {
                Vector256<uint> turn = PacketNoise.Mix(hash ^ Vector256.Create(flutter));
                nx += (Number(turn & ten) - Vector256.Create(511.5f)) * (0.36f / 1023f);
                ny += (Number((turn >>> 10) & ten) - Vector256.Create(511.5f)) * (0.36f / 1023f);
            }

            Vector256<float> perLength = unit / Vector256.Sqrt((nx * nx) + (ny * ny) + (nz * nz));
            nx *= perLength;
            ny *= perLength;
            nz *= perLength;
            Vector256<float> cosSun = (nx * sunX) + (ny * sunY) + (nz * sunZ);
            Vector256<float> cosView = (nx * light.ViewX) + (ny * light.ViewY) + (nz * light.ViewZ);
            Vector256<float> open = unit / (unit + (Vector256.ConvertToSingle(covering) * 0.32f));
            open *= Vector256.Create(0.35f) + (Vector256.MinNative(share, unit) * 0.65f);
            Vector256<uint> grain = PacketNoise.Mix(hash + Vector256.Create(0x51ed27u));
            Vector256<float> wood =
                Vector256.LessThan(Number(grain & ten), Avx2.GatherVector256(shapes + 5, shape, 4) * 1024f)
                | Vector256.LessThan(off, Avx2.GatherVector256(shapes + 6, shape, 4));
            // Leaves of one plant differ: young ones at the tips are lighter and yellower.
            Vector256<float> tint =
                Vector256.Create(0.86f) + (Number((grain >>> 10) & Vector256.Create(255u)) * (0.28f / 255f));
            tint *= Vector256.Create(0.9f) + (share * 0.14f);
            Vector256<float> reflect = Vector256.ConditionalSelect(
                wood,
                Avx2.GatherVector256(optics + 3, matter, 4),
                Avx2.GatherVector256(optics, matter, 4) * tint
            );
            Vector256<float> through = Vector256.AndNot(Avx2.GatherVector256(optics + 1, matter, 4) * tint, wood);
            Vector256<float> sameSide = Vector256.GreaterThan(cosSun * cosView, Vector256<float>.Zero);
            Vector256<float> beam = Vector256.Abs(cosSun) * (light.Direct * perSunZ);
            Vector256<float> glint = Vector256.AndNot(
                Glint(nx, ny, nz, light, Vector256.Abs(cosView)) & sameSide,
                wood
            );
            Vector256<float> sunny = beam * (Vector256.ConditionalSelect(sameSide, reflect, through) + glint);
            // Flecks that come through the leaves above.
            Vector256<float> flecks = through * open * (light.Direct * 0.16f);
            Vector256<float> factors = Vector256.ConditionalSelect(lit, sunny, flecks);
            Vector256<float> upper = half + (nz * 0.5f);
            Vector256<float> skin0 = Vector256.AndNot(Vector256.Create(0.022f), wood);
            factors += open * light.Diffuse * ((reflect * upper) + (through * (unit - upper)) + skin0);
            Vector256<float> scatter =
                Avx2.GatherVector256(optics + 2, matter, 4)
                * Vector256.ConditionalSelect(wood, Vector256.Create(SurfaceShader.CrustScatter), unit);
            return factors
                + (scatter * (Vector256.Create(0.3f) + (open * 0.7f)) * tint * (light.Direct + light.Diffuse));
        }
    }

    /// <summary>Owner, leaves above and sun of each lane's cell: 64-bit columns, one by one.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private void Covering(
        Vector256<int> index,
        Vector256<int> level,
        out Vector256<int> owner,
        out Vector256<int> covering,
        out Vector256<float> lit
    )
    {
        unchecked
        {
            // Shifts by 64 cannot occur: a shift by one follows one by at most 63.
            int* ownerOf = stackalloc int[24];
            int* above = ownerOf + 8;
            int* seesSun = ownerOf + 16;
            for (int lane = 0; lane < RayPacket.Lanes; lane++)
            {
                int at = index.GetElement(lane);
                int height = level.GetElement(lane);
                ownerOf[lane] = shrubs.Owner[at];
                above[lane] = BitOperations.PopCount(shrubs.Filled[at] >> height >> 1);
                seesSun[lane] = -(int)((shrubs.Lit[at] >> height) & 1);
            }

            owner = Vector256.Load(ownerOf);
            covering = Vector256.Load(above);
            lit = Vector256.Load(seesSun).AsSingle();
        }
    }

    /// <summary>A whole number below 2³¹ as float.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Number(Vector256<uint> value) => Vector256.ConvertToSingle(value.AsInt32());

    /// <summary>As <see cref="SurfaceShader"/>'s.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private Vector256<float> Glint(
        Vector256<float> nx,
        Vector256<float> ny,
        Vector256<float> nz,
        in PacketLight light,
        Vector256<float> cosView
    )
    {
        Vector256<float> hx = light.ViewX + Vector256.Create(sunX);
        Vector256<float> hy = light.ViewY + Vector256.Create(sunY);
        Vector256<float> hz = light.ViewZ + Vector256.Create(sunZ);
        Vector256<float> along = (nx * hx) + (ny * hy) + (nz * hz);
        Vector256<float> squared = along * along / ((hx * hx) + (hy * hy) + (hz * hz));
        Vector256<float> spread = Vector256<float>.One - (squared * (1 - SurfaceShader.Gloss));
        Vector256<float> facets = Vector256.Create(SurfaceShader.Gloss) / (spread * spread);
        return Vector256.MinNative(
            facets * 0.035f / (Vector256.MaxNative(cosView, Vector256.Create(0.25f)) * 4f),
            Vector256.Create(1.2f)
        );
    }
}
