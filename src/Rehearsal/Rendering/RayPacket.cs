using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace Hillrow.Rehearsal;

/// <summary>Eight rays of a patch of 4 × 2 samples, local frame, metres; lane 4 begins the second row.</summary>
internal struct RayPacket
{
    public const int Lanes = 8;

    public const int Columns = 4;

    public const int Rows = 2;

    public Vector256<float> OriginX;
    public Vector256<float> OriginY;
    public Vector256<float> OriginZ;
    public Vector256<float> DirectionX;
    public Vector256<float> DirectionY;
    public Vector256<float> DirectionZ;

    /// <summary>Half the widest distance between two of the rays, for a distance of 1 along them.</summary>
    public float Spread;
}

/// <summary>What eight rays met, with all that shading needs; masks are all ones where true.</summary>
internal struct PacketHit
{
    public Vector256<int> IsShrub;
    public Vector256<int> IsTree;

    /// <summary>Along the rays, unit: the length of their directions.</summary>
    public Vector256<float> Distance;
    public Vector256<float> East;
    public Vector256<float> North;
    public Vector256<float> Up;

    /// <summary>Rise of the ground behind, per metre.</summary>
    public Vector256<float> RiseEast;
    public Vector256<float> RiseNorth;

    /// <summary>Cell hit: index into its layer, level, column and row.</summary>
    public Vector256<int> Index;
    public Vector256<int> Level;
    public Vector256<int> Column;
    public Vector256<int> Row;

    /// <summary>The ground that one of the rays met; the next packet's first try.</summary>
    public GroundPlane Ground;

    /// <summary>One lane as the plain tracer gives it; the ground plane is that of the lane's facet.</summary>
    public readonly SurfaceHit Lane(int lane)
    {
        SurfaceHit hit = default;
        hit.Kind =
            IsShrub.GetElement(lane) != 0 ? SurfaceKind.Shrub
            : IsTree.GetElement(lane) != 0 ? SurfaceKind.Tree
            : SurfaceKind.Ground;
        hit.Distance = Distance.GetElement(lane);
        (hit.East, hit.North, hit.Up) = (East.GetElement(lane), North.GetElement(lane), Up.GetElement(lane));
        hit.Ground.Set(hit.East, hit.North, hit.Up, RiseEast.GetElement(lane), RiseNorth.GetElement(lane));
        hit.Cell = new CellHit
        {
            Distance = hit.Distance,
            Index = Index.GetElement(lane),
            Level = Level.GetElement(lane),
            Column = Column.GetElement(lane),
            Row = Row.GetElement(lane),
        };
        return hit;
    }
}

/// <summary>Wrapping whole-number mixing of <see cref="LatticeNoise"/>, eight at a time; the same bits.</summary>
internal static class PacketNoise
{
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<uint> Mix(Vector256<uint> value)
    {
        value ^= value >>> 16;
        value *= Vector256.Create(0x21f0aaadu);
        value ^= value >>> 15;
        value *= Vector256.Create(0xd35a2d97u);
        return value ^ (value >>> 15);
    }
}
