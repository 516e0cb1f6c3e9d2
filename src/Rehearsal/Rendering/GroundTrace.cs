using System.Runtime.CompilerServices;

namespace Hillrow.Rehearsal;

/// <summary>The ground's tangent plane where a ray met it.</summary>
internal struct GroundPlane
{
    public bool IsKnown;
    public float East;
    public float North;
    public float Up;
    public float RiseEast;
    public float RiseNorth;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Set(float east, float north, float up, float riseEast, float riseNorth)
    {
        IsKnown = true;
        (East, North, Up) = (east, north, up);
        (RiseEast, RiseNorth) = (riseEast, riseNorth);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public readonly float Distance(float ox, float oy, float oz, float dx, float dy, float dz)
    {
        float above = oz - Up - (RiseEast * (ox - East)) - (RiseNorth * (oy - North));
        return above / float.MaxNative(((RiseEast * dx) + (RiseNorth * dy)) - dz, -0.2f * dz);
    }
}

/// <summary>Finds where a falling ray meets the bilinear ground.</summary>
internal readonly unsafe struct GroundTrace(TerrainPosts terrain)
{
    private readonly float* posts = terrain.FirstPost;
    private readonly int columns = terrain.Columns;
    private readonly float perPost = (float)(1 / terrain.SpacingMetres);
    private readonly float west = (float)terrain.Extent.WestMetres;
    private readonly float south = (float)terrain.Extent.SouthMetres;
    private readonly float lastColumn = terrain.Columns - 1.01f;
    private readonly float lastRow = terrain.Rows - 1.01f;
    private readonly float steepest = terrain.SteepestSlope;
    private readonly float* steepness = terrain.FirstSteepness;
    private readonly int steepColumns = terrain.SteepColumns;
    private readonly float steepEdge = (float)(TerrainPosts.SteepPosts * terrain.SpacingMetres);
    private readonly float perSteep = 1f / TerrainPosts.SteepPosts;
    private readonly float highest = terrain.HighestMetres;

    /// <summary>Height of the ground and its rise per metre to the east and north.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public float Height(float east, float north, out float riseEast, out float riseNorth)
    {
        unchecked
        {
            // Clamped into the grid, so the index stays inside.
            float x = float.MinNative(float.MaxNative((east - west) * perPost, 0), lastColumn);
            float y = float.MinNative(float.MaxNative((north - south) * perPost, 0), lastRow);
            int ix = float.ConvertToIntegerNative<int>(x);
            int iy = float.ConvertToIntegerNative<int>(y);
            float fx = x - ix;
            float fy = y - iy;
            float* at = posts + ((nint)iy * columns) + ix;
            float a = at[0];
            float b = at[1];
            float c = at[columns];
            float d = at[columns + 1];
            float low = b - a;
            float high = d - c;
            riseEast = (low + ((high - low) * fy)) * perPost;
            float sideA = a + (low * fx);
            float sideB = c + (high * fx);
            riseNorth = (sideB - sideA) * perPost;
            return sideA + ((sideB - sideA) * fy);
        }
    }

    /// <summary>Distance along the ray (unit: length of d) to the ground; accurate to about 0.2 mm.</summary>
    /// <param name="plane">
    /// The ground as a neighbouring ray found it; gives the first try and receives what this ray finds. Rays that
    /// miss the first try fall back to a march that cannot cross the ground.
    /// </param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public float Distance(float ox, float oy, float oz, float dx, float dy, float dz, ref GroundPlane plane)
    {
        float t;
        float gap;
        float east;
        float north;
        if (plane.IsKnown)
        {
            t = plane.Distance(ox, oy, oz, dx, dy, dz);
            for (int step = 0; step < 3; step++)
            {
                gap = oz + (dz * t) - Height(ox + (dx * t), oy + (dy * t), out east, out north);
                float fall = ((east * dx) + (north * dy)) - dz;
                t += gap / float.MaxNative(fall, -0.2f * dz);
                if (MathF.Abs(gap) < 0.006f)
                {
                    plane.Set(ox + (dx * t), oy + (dy * t), oz + (dz * t), east, north);
                    return t;
                }
            }

            return FromAbove(ox, oy, oz, dx, dy, dz, t, ref plane);
        }

        return March(ox, oy, oz, dx, dy, dz, 0, -1, ref plane);
    }

    /// <summary>A rock or bank lies between: starts again from well above where the first tries ended.</summary>
    public float FromAbove(
        float ox,
        float oy,
        float oz,
        float dx,
        float dy,
        float dz,
        float tried,
        ref GroundPlane plane
    )
    {
        float t = tried + (1.2f / dz);
        float gap = oz + (dz * t) - Height(ox + (dx * t), oy + (dy * t), out _, out _);
        return March(ox, oy, oz, dx, dy, dz, t, gap, ref plane);
    }

    /// <remarks>
    /// Steps by gap / (fall + steepest slope × run) cannot cross the ground (Lipschitz bound). Near the ground the
    /// bound is the steepest slope within a metre or so, which is far less than that of the worst rock.
    /// </remarks>
    private float March(
        float ox,
        float oy,
        float oz,
        float dx,
        float dy,
        float dz,
        float t,
        float gap,
        ref GroundPlane plane
    )
    {
        float run = MathF.Sqrt((dx * dx) + (dy * dy));
        float safe = 1f / ((steepest * run) - dz);
        float nearGap = run > 1e-6f ? -0.9f * steepEdge * dz / run : float.MaxValue;
        float east = 0;
        float north = 0;
        if (gap < 0)
        {
            t = float.MaxNative(0, (highest - oz) / dz);
            gap = oz + (dz * t) - Height(ox + (dx * t), oy + (dy * t), out east, out north);
        }

        for (int step = 0; step < 200 && MathF.Abs(gap) >= 0.006f; step++)
        {
            // A bound that holds as far as the ray can run before it is below the ground here.
            float rate = gap < nearGap ? 1f / ((SteepNear(ox + (dx * t), oy + (dy * t)) * run) - dz) : safe;
            t += gap * rate;
            gap = oz + (dz * t) - Height(ox + (dx * t), oy + (dy * t), out east, out north);
        }

        // Newton's step on the facet; its end is within a fraction of a millimetre.
        float fall = ((east * dx) + (north * dy)) - dz;
        t += gap / float.MaxNative(fall, -0.2f * dz);
        plane.Set(ox + (dx * t), oy + (dy * t), oz + (dz * t), east, north);
        return t;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private float SteepNear(float east, float north)
    {
        unchecked
        {
            // Clamped into the grid.
            int column = (int)(float.MinNative(float.MaxNative((east - west) * perPost, 0), lastColumn) * perSteep);
            int row = (int)(float.MinNative(float.MaxNative((north - south) * perPost, 0), lastRow) * perSteep);
            return steepness[(row * steepColumns) + column];
        }
    }
}
