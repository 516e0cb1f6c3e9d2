using System.Numerics;
using System.Runtime.CompilerServices;

namespace Hillrow.Rehearsal;

/// <summary>Where a ray meets vegetation.</summary>
internal struct CellHit
{
    public float Distance;
    public int Index;
    public int Level;
    public int Column;
    public int Row;
}

/// <summary>Follows straight rays through a cell layer, block by block and cell by cell.</summary>
internal static unsafe class CellTrace
{
    /// <summary>First filled level along o + t·d for from ≤ t ≤ until. The ray may go up or down, not level.</summary>
    /// <remarks>Stepping after Amanatides &amp; Woo 1987, on two nested grids; levels are tested 64 at a time.</remarks>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static bool First(
        CellLayer layer,
        float ox,
        float oy,
        float oz,
        float dx,
        float dy,
        float dz,
        float from,
        float until,
        ref CellHit hit
    )
    {
        unchecked
        {
            // Hot: every sample of every frame passes here; all whole numbers stay far below their limits.
            float perCell = 1f / layer.CellMetres;
            float gx = (ox - (float)layer.Extent.WestMetres) * perCell;
            float gy = (oy - (float)layer.Extent.SouthMetres) * perCell;
            float vx = dx * perCell;
            float vy = dy * perCell;
            vx = MathF.Abs(vx) < 1e-9f ? 1e-9f : vx;
            vy = MathF.Abs(vy) < 1e-9f ? 1e-9f : vy;
            float ix = 1f / vx;
            float iy = 1f / vy;
            int columns = layer.BlockColumns;
            int rows = layer.BlockRows;

            // The part of the ray above the layer's rectangle.
            float x0 = -gx * ix;
            float x1 = ((columns * 8) - gx) * ix;
            float y0 = -gy * iy;
            float y1 = ((rows * 8) - gy) * iy;
            from = float.MaxNative(from, float.MaxNative(float.MinNative(x0, x1), float.MinNative(y0, y1)));
            until = float.MinNative(until, float.MinNative(float.MaxNative(x0, x1), float.MaxNative(y0, y1)));
            if (from >= until)
            {
                return false;
            }

            int stepX = vx > 0 ? 1 : -1;
            int stepY = vy > 0 ? 1 : -1;
            int bx = Math.Clamp(float.ConvertToIntegerNative<int>((gx + (vx * from)) * 0.125f), 0, columns - 1);
            int by = Math.Clamp(float.ConvertToIntegerNative<int>((gy + (vy * from)) * 0.125f), 0, rows - 1);
            float nextX = (((bx + (vx > 0 ? 1 : 0)) * 8) - gx) * ix;
            float nextY = (((by + (vy > 0 ? 1 : 0)) * 8) - gy) * iy;
            float overX = MathF.Abs(8 * ix);
            float overY = MathF.Abs(8 * iy);
            float perLevel = 1f / layer.LevelMetres;
            CellBlock* blocks = layer.Blocks;
            float t = from;
            while (true)
            {
                float leave = float.MinNative(float.MinNative(nextX, nextY), until);
                CellBlock* block = blocks + (by * columns) + bx;
                float zIn = oz + (dz * t);
                float zOut = oz + (dz * leave);
                float low = float.MinNative(zIn, zOut);
                if (low < block->Top)
                {
                    float bottom = block->Base;
                    ulong range = Range((low - bottom) * perLevel, (float.MaxNative(zIn, zOut) - bottom) * perLevel);
                    if (
                        (block->AnyFilled & range) != 0
                        && InBlock(layer, block, bx, by, gx, gy, vx, vy, ix, iy, oz, dz, t, leave, ref hit)
                    )
                    {
                        return true;
                    }
                }

                if (leave >= until)
                {
                    return false;
                }

                t = leave;
                if (nextX < nextY)
                {
                    bx += stepX;
                    nextX += overX;
                    if ((uint)bx >= (uint)columns)
                    {
                        return false;
                    }
                }
                else
                {
                    by += stepY;
                    nextY += overY;
                    if ((uint)by >= (uint)rows)
                    {
                        return false;
                    }
                }
            }
        }
    }

    /// <summary>Bits of the levels between two heights, both counted in levels above the block's base.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static ulong Range(float low, float high)
    {
        unchecked
        {
            // Clamped to 0 … 63 before shifting; a range wholly outside gives no bit.
            if (high < 0 || low >= 64)
            {
                return 0;
            }

            int from = float.ConvertToIntegerNative<int>(float.MaxNative(low, 0));
            int to = float.ConvertToIntegerNative<int>(float.MinNative(high, 63));
            return (ulong.MaxValue << from) & (ulong.MaxValue >> (63 - to));
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static bool InBlock(
        CellLayer layer,
        CellBlock* block,
        int bx,
        int by,
        float gx,
        float gy,
        float vx,
        float vy,
        float ix,
        float iy,
        float oz,
        float dz,
        float from,
        float until,
        ref CellHit hit
    )
    {
        unchecked
        {
            // As above.
            int left = bx << 3;
            int south = by << 3;
            int cx = Math.Clamp(float.ConvertToIntegerNative<int>(gx + (vx * from)), left, left + 7);
            int cy = Math.Clamp(float.ConvertToIntegerNative<int>(gy + (vy * from)), south, south + 7);
            float nextX = (cx + (vx > 0 ? 1 : 0) - gx) * ix;
            float nextY = (cy + (vy > 0 ? 1 : 0) - gy) * iy;
            float overX = MathF.Abs(ix);
            float overY = MathF.Abs(iy);
            int stepX = vx > 0 ? 1 : -1;
            int stepY = vy > 0 ? 1 : -1;
            int cell = ((cy - south) << 3) + (cx - left);
            int rowStep = stepY << 3;
            int first = (int)(block - layer.Blocks) << 6;
            ulong* filled = layer.Filled + first;
            float perLevel = 1f / layer.LevelMetres;
            float level0 = (oz - block->Base) * perLevel;
            float levelStep = dz * perLevel;
            float levelIn = level0 + (levelStep * from);
            float t = from;
            while (true)
            {
                float leave = float.MinNative(float.MinNative(nextX, nextY), until);
                float levelOut = level0 + (levelStep * leave);
                ulong found =
                    filled[cell] & Range(float.MinNative(levelIn, levelOut), float.MaxNative(levelIn, levelOut));
                if (found != 0)
                {
                    bool down = dz < 0;
                    int level = down
                        ? 63 - BitOperations.LeadingZeroCount(found)
                        : BitOperations.TrailingZeroCount(found);
                    float edge = ((down ? level + 1 : level) - level0) / levelStep;
                    hit.Distance = float.MaxNative(t, edge);
                    hit.Index = first + cell;
                    hit.Level = level;
                    hit.Column = left + (cell & 7);
                    hit.Row = south + (cell >> 3);
                    return true;
                }

                if (leave >= until)
                {
                    return false;
                }

                t = leave;
                levelIn = levelOut;
                if (nextX < nextY)
                {
                    nextX += overX;
                    cx += stepX;
                    if ((uint)(cx - left) > 7)
                    {
                        return false;
                    }

                    cell += stepX;
                }
                else
                {
                    nextY += overY;
                    cy += stepY;
                    if ((uint)(cy - south) > 7)
                    {
                        return false;
                    }

                    cell += rowStep;
                }
            }
        }
    }
}
