using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hillrow.Rehearsal;

/// <summary>Sends patches of eight falling rays into a scene at one moment of wind: <see cref="SceneTracer"/>, eight at a time.</summary>
/// <remarks>The leaves' lean is taken once a patch: it changes by well under a millimetre across one.</remarks>
internal readonly unsafe struct PacketTracer(ModelledScene scene, WindSway wind)
{
    private readonly PacketGround ground = new(scene.Terrain);
    private readonly CellLayer shrubs = scene.Vegetation.Shrubs;
    private readonly CellLayer trees = scene.Vegetation.Trees;
    private readonly CanopyTops shrubTops = scene.ShrubTops;
    private readonly CanopyTops treeTops = scene.TreeTops;
    private readonly WindSway sway = wind;

    public static bool IsSupported => Avx2.IsSupported;

    /// <param name="hit">Its ground plane, when known, is a neighbouring patch's; receives what the rays meet.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Trace(in RayPacket rays, ref PacketHit hit)
    {
        Vector256<float> ox = rays.OriginX;
        Vector256<float> oy = rays.OriginY;
        Vector256<float> oz = rays.OriginZ;
        Vector256<float> dx = rays.DirectionX;
        Vector256<float> dy = rays.DirectionY;
        Vector256<float> dz = rays.DirectionZ;
        Vector256<float> t = ground.Distance(rays, ref hit);
        Vector256<float> distance = t;
        hit.IsShrub = Vector256<int>.Zero;
        hit.IsTree = Vector256<int>.Zero;
        ref readonly GroundPlane foot = ref hit.Ground;
        Vector256<float> up = oz + (dz * t);
        float lowest = float.MinNative(foot.Up, Least(up));
        sway.Lean(foot.East, foot.North, out float leanEast, out float leanNorth);
        float midX = dx.GetElement(2);
        float midY = dy.GetElement(2);
        float midZ = dz.GetElement(2);
        float run = MathF.Sqrt((midX * midX) + (midY * midY)) / -midZ;
        float spread = (2 * rays.Spread * t.GetElement(2)) + 0.01f;
        // Leaning with height is a shear about the ground: the rays stay straight in the leaves' own space.
        Vector256<float> height = oz - up;
        Vector256<float> sx = ox - (height * leanEast);
        Vector256<float> sy = oy - (height * leanNorth);
        Vector256<float> sdx = dx - (dz * leanEast);
        Vector256<float> sdy = dy - (dz * leanNorth);
        Sheared mid = new(
            sx.GetElement(2),
            sy.GetElement(2),
            oz.GetElement(2),
            sdx.GetElement(2),
            sdy.GetElement(2),
            midZ
        );
        float last = t.GetElement(2) + spread;
        float from = From(treeTops, foot, lowest, run, spread, mid, last);
        if (from < last)
        {
            hit.IsTree = PacketCells.First(
                trees,
                sx,
                sy,
                oz,
                sdx,
                sdy,
                dz,
                Vector256.Create(from),
                ref distance,
                ref hit
            );
        }

        from = From(shrubTops, foot, lowest, run, spread, mid, last);
        if (from < last)
        {
            hit.IsShrub = PacketCells.First(
                shrubs,
                sx,
                sy,
                oz,
                sdx,
                sdy,
                dz,
                Vector256.Create(from),
                ref distance,
                ref hit
            );
            hit.IsTree = Vector256.AndNot(hit.IsTree, hit.IsShrub);
        }

        hit.Distance = distance;
        hit.East = ox + (dx * distance);
        hit.North = oy + (dy * distance);
        hit.Up = oz + (dz * distance);
    }

    /// <summary>Where the rays may first meet a layer's leaves; last when they cannot.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static float From(
        CanopyTops tops,
        in GroundPlane foot,
        float lowest,
        float run,
        float spread,
        in Sheared ray,
        float last
    )
    {
        float top = tops.Near(foot.East, foot.North);
        if (top <= lowest)
        {
            return last;
        }

        top = ((top - lowest) * run) + spread > tops.ReachMetres ? tops.HighestMetres : top;
        float from = float.MaxNative(0, ((ray.Z - top - spread) / -ray.Dz) - spread);
        return tops.Start(ray.X, ray.Y, ray.Z, ray.Dx, ray.Dy, ray.Dz, spread, from, last);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static float Least(Vector256<float> values)
    {
        Vector128<float> four = Vector128.MinNative(values.GetLower(), values.GetUpper());
        Vector128<float> two = Vector128.MinNative(four, Vector128.Shuffle(four, Vector128.Create(2, 3, 0, 1)));
        return float.MinNative(two.GetElement(0), two.GetElement(1));
    }

    /// <summary>A ray in the leaves' own space.</summary>
    private readonly record struct Sheared(float X, float Y, float Z, float Dx, float Dy, float Dz);
}
