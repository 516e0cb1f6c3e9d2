using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hillrow.Rehearsal;

/// <summary>Finds where eight falling rays meet the bilinear ground: <see cref="GroundTrace"/>, lane by lane the same.</summary>
internal readonly unsafe struct PacketGround(TerrainPosts terrain)
{
    private readonly GroundTrace one = new(terrain);
    private readonly float* posts = terrain.FirstPost;
    private readonly int columns = terrain.Columns;
    private readonly float perPost = (float)(1 / terrain.SpacingMetres);
    private readonly float west = (float)terrain.Extent.WestMetres;
    private readonly float south = (float)terrain.Extent.SouthMetres;
    private readonly float lastColumn = terrain.Columns - 1.01f;
    private readonly float lastRow = terrain.Rows - 1.01f;

    /// <summary>Distance along each ray to the ground, in units of its direction; fills the hit's rises and plane.</summary>
    /// <param name="hit">Its plane, when known, is a neighbouring packet's and gives the first try.</param>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public Vector256<float> Distance(in RayPacket rays, ref PacketHit hit)
    {
        ref GroundPlane plane = ref hit.Ground;
        if (!plane.IsKnown)
        {
            one.Distance(
                rays.OriginX.ToScalar(),
                rays.OriginY.ToScalar(),
                rays.OriginZ.ToScalar(),
                rays.DirectionX.ToScalar(),
                rays.DirectionY.ToScalar(),
                rays.DirectionZ.ToScalar(),
                ref plane
            );
        }

        Vector256<float> dx = rays.DirectionX;
        Vector256<float> dy = rays.DirectionY;
        Vector256<float> dz = rays.DirectionZ;
        Vector256<float> leastFall = dz * -0.2f;
        Vector256<float> above =
            rays.OriginZ
            - Vector256.Create(plane.Up)
            - ((rays.OriginX - Vector256.Create(plane.East)) * plane.RiseEast)
            - ((rays.OriginY - Vector256.Create(plane.North)) * plane.RiseNorth);
        Vector256<float> t =
            above / Vector256.MaxNative((dx * plane.RiseEast) + (dy * plane.RiseNorth) - dz, leastFall);
        Vector256<float> open = Vector256<float>.AllBitsSet;
        Vector256<float> east = default;
        Vector256<float> north = default;
        for (int step = 0; step < 3; step++)
        {
            Vector256<float> height = Height(
                rays.OriginX + (dx * t),
                rays.OriginY + (dy * t),
                out Vector256<float> riseEast,
                out Vector256<float> riseNorth
            );
            Vector256<float> gap = rays.OriginZ + (dz * t) - height;
            Vector256<float> fall = (riseEast * dx) + (riseNorth * dy) - dz;
            t += (gap / Vector256.MaxNative(fall, leastFall)) & open;
            east = Vector256.ConditionalSelect(open, riseEast, east);
            north = Vector256.ConditionalSelect(open, riseNorth, north);
            open &= Vector256.GreaterThanOrEqual(Vector256.Abs(gap), Vector256.Create(0.006f));
            if (Avx.MoveMask(open) == 0)
            {
                break;
            }
        }

        hit.RiseEast = east;
        hit.RiseNorth = north;
        int left = Avx.MoveMask(open);
        if (left != 0)
        {
            t = Rest(rays, t, left, ref hit);
        }

        // A ray in the patch's middle speaks for its neighbours.
        plane.Set(
            (rays.OriginX + (dx * t)).GetElement(2),
            (rays.OriginY + (dy * t)).GetElement(2),
            (rays.OriginZ + (dz * t)).GetElement(2),
            hit.RiseEast.GetElement(2),
            hit.RiseNorth.GetElement(2)
        );
        return t;
    }

    /// <summary>The rays that a rock or bank stands before, one by one.</summary>
    [MethodImpl(MethodImplOptions.NoInlining)]
    private Vector256<float> Rest(in RayPacket rays, Vector256<float> t, int left, ref PacketHit hit)
    {
        for (int lane = 0; lane < RayPacket.Lanes; lane++)
        {
            if ((left & (1 << lane)) == 0)
            {
                continue;
            }

            GroundPlane own = default;
            float distance = one.FromAbove(
                rays.OriginX.GetElement(lane),
                rays.OriginY.GetElement(lane),
                rays.OriginZ.GetElement(lane),
                rays.DirectionX.GetElement(lane),
                rays.DirectionY.GetElement(lane),
                rays.DirectionZ.GetElement(lane),
                t.GetElement(lane),
                ref own
            );
            t = t.WithElement(lane, distance);
            hit.RiseEast = hit.RiseEast.WithElement(lane, own.RiseEast);
            hit.RiseNorth = hit.RiseNorth.WithElement(lane, own.RiseNorth);
        }

        return t;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private Vector256<float> Height(
        Vector256<float> east,
        Vector256<float> north,
        out Vector256<float> riseEast,
        out Vector256<float> riseNorth
    )
    {
        // Clamped into the grid, so the index stays inside.
        Vector256<float> zero = Vector256<float>.Zero;
        Vector256<float> x = Vector256.MinNative(
            Vector256.MaxNative((east - Vector256.Create(west)) * perPost, zero),
            Vector256.Create(lastColumn)
        );
        Vector256<float> y = Vector256.MinNative(
            Vector256.MaxNative((north - Vector256.Create(south)) * perPost, zero),
            Vector256.Create(lastRow)
        );
        Vector256<int> ix = Avx.ConvertToVector256Int32WithTruncation(x);
        Vector256<int> iy = Avx.ConvertToVector256Int32WithTruncation(y);
        Vector256<float> fx = x - Vector256.ConvertToSingle(ix);
        Vector256<float> fy = y - Vector256.ConvertToSingle(iy);
        Vector256<int> at = (iy * columns) + ix;
        Vector256<float> a = Avx2.GatherVector256(posts, at, 4);
        Vector256<float> b = Avx2.GatherVector256(posts + 1, at, 4);
        Vector256<float> c = Avx2.GatherVector256(posts + columns, at, 4);
        Vector256<float> d = Avx2.GatherVector256(posts + columns + 1, at, 4);
        Vector256<float> low = b - a;
        Vector256<float> high = d - c;
        riseEast = (low + ((high - low) * fy)) * perPost;
        Vector256<float> sideA = a + (low * fx);
        Vector256<float> sideB = c + (high * fx);
        riseNorth = (sideB - sideA) * perPost;
        return sideA + ((sideB - sideA) * fy);
    }
}
