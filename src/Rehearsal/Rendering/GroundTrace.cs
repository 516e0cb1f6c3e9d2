using System.Runtime.CompilerServices;

namespace Hillrow.Rehearsal;

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
    private readonly float highest = terrain.HighestMetres;

    /// <summary>Height of the ground and its rise per metre to the east and north.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public float Height(float east, float north, out float riseEast, out float riseNorth)
    {
        unchecked
        {
            // Clamped into the grid, so the index stays inside.
            float x = MathF.Min(MathF.Max((east - west) * perPost, 0), lastColumn);
            float y = MathF.Min(MathF.Max((north - south) * perPost, 0), lastRow);
            int ix = (int)x;
            int iy = (int)y;
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

    /// <summary>Distance along the ray (unit: length of d) to the ground; accurate to 0.2 mm.</summary>
    /// <param name="guess">A distance thought to be just above the ground, or 0; only speeds the search up.</param>
    /// <remarks>Steps by gap / (fall + steepest slope × run) cannot cross the ground (Lipschitz bound).</remarks>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public float Distance(float ox, float oy, float oz, float dx, float dy, float dz, float guess)
    {
        float run = MathF.Sqrt((dx * dx) + (dy * dy));
        float safe = 1f / ((steepest * run) - dz);
        float t = guess;
        float gap = guess > 0 ? oz + (dz * t) - Height(ox + (dx * t), oy + (dy * t), out _, out _) : -1;
        if (gap < 0)
        {
            t = MathF.Max(0, (highest - oz) / dz);
        }

        for (int step = 0; step < 200; step++)
        {
            gap = oz + (dz * t) - Height(ox + (dx * t), oy + (dy * t), out float east, out float north);
            if (MathF.Abs(gap) < 0.02f)
            {
                // Within one facet's reach: Newton's step on the facet, then once more on what it lands on.
                float fall = ((east * dx) + (north * dy)) - dz;
                t += gap / MathF.Max(fall, -0.2f * dz);
                gap = oz + (dz * t) - Height(ox + (dx * t), oy + (dy * t), out east, out north);
                fall = ((east * dx) + (north * dy)) - dz;
                return t + (gap / MathF.Max(fall, -0.2f * dz));
            }

            t += gap * safe;
        }

        return t;
    }
}
