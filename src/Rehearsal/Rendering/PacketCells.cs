using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hillrow.Rehearsal;

/// <summary>
/// Follows eight falling rays through a cell layer in step: <see cref="CellTrace"/> for a patch of neighbouring rays.
/// Lanes that have met something wait for the others.
/// </summary>
internal static unsafe class PacketCells
{
    /// <summary>First filled level of each ray for from ≤ t ≤ until; both may differ by lane.</summary>
    /// <param name="ox">Origins in the leaves' own space, where wind leans no more; likewise oy, dx, dy.</param>
    /// <param name="until">Where to stop; receives the distance of the hit where there is one.</param>
    /// <param name="hit">Receives the cell of each lane that hits; others keep theirs.</param>
    /// <returns>All ones where something was hit.</returns>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static Vector256<int> First(
        CellLayer layer,
        Vector256<float> ox,
        Vector256<float> oy,
        Vector256<float> oz,
        Vector256<float> dx,
        Vector256<float> dy,
        Vector256<float> dz,
        Vector256<float> from,
        ref Vector256<float> until,
        ref PacketHit hit
    )
    {
        unchecked
        {
            // Hot: every sample of every frame passes here; all whole numbers stay far below their limits.
            float perCell = 1f / layer.CellMetres;
            Vector256<float> gx = (ox - Vector256.Create((float)layer.Extent.WestMetres)) * perCell;
            Vector256<float> gy = (oy - Vector256.Create((float)layer.Extent.SouthMetres)) * perCell;
            Vector256<float> vx = dx * perCell;
            Vector256<float> vy = dy * perCell;
            Vector256<float> least = Vector256.Create(1e-9f);
            vx = Vector256.ConditionalSelect(Vector256.LessThan(Vector256.Abs(vx), least), least, vx);
            vy = Vector256.ConditionalSelect(Vector256.LessThan(Vector256.Abs(vy), least), least, vy);
            Vector256<float> ix = Vector256<float>.One / vx;
            Vector256<float> iy = Vector256<float>.One / vy;
            int blockColumns = layer.BlockColumns;
            Vector256<int> lastColumn = Vector256.Create((blockColumns * 8) - 1);
            Vector256<int> lastRow = Vector256.Create((layer.BlockRows * 8) - 1);

            // The part of the rays above the layer's rectangle.
            Vector256<float> x0 = -gx * ix;
            Vector256<float> x1 = (Vector256.Create(blockColumns * 8f) - gx) * ix;
            Vector256<float> y0 = -gy * iy;
            Vector256<float> y1 = (Vector256.Create(layer.BlockRows * 8f) - gy) * iy;
            Vector256<float> t = Vector256.MaxNative(
                from,
                Vector256.MaxNative(Vector256.MinNative(x0, x1), Vector256.MinNative(y0, y1))
            );
            Vector256<float> end = Vector256.MinNative(
                until,
                Vector256.MinNative(Vector256.MaxNative(x0, x1), Vector256.MaxNative(y0, y1))
            );
            Vector256<int> active = Vector256.LessThan(t, end).AsInt32();
            Vector256<int> any = Vector256<int>.Zero;
            if (Avx.MoveMask(active.AsSingle()) == 0)
            {
                return any;
            }

            Vector256<int> rightwards = Vector256.GreaterThan(vx, Vector256<float>.Zero).AsInt32();
            Vector256<int> upwards = Vector256.GreaterThan(vy, Vector256<float>.Zero).AsInt32();
            // +1 where the mask is set, −1 where not.
            Vector256<int> stepX = Vector256.Create(-1) - (rightwards + rightwards);
            Vector256<int> stepY = Vector256.Create(-1) - (upwards + upwards);
            Vector256<int> cx = Within(gx + (vx * t), lastColumn);
            Vector256<int> cy = Within(gy + (vy * t), lastRow);
            Vector256<float> nextX = (Vector256.ConvertToSingle(cx - rightwards) - gx) * ix;
            Vector256<float> nextY = (Vector256.ConvertToSingle(cy - upwards) - gy) * iy;
            Vector256<float> overX = Vector256.Abs(ix);
            Vector256<float> overY = Vector256.Abs(iy);
            float perLevel = 1f / layer.LevelMetres;
            Vector256<float> fallPerLevel = dz * perLevel;
            Vector256<float> highPerLevel = oz * perLevel;
            float* bases = layer.LevelBases;
            ulong* filled = layer.Filled;
            Vector256<int> seven = Vector256.Create(7);
            Vector256<ulong> foundLow = default;
            Vector256<ulong> foundHigh = default;
            Vector256<float> entered = default;
            Vector256<int> where = default;
            Vector256<float> levelAt = highPerLevel + (fallPerLevel * t);
            while (true)
            {
                Vector256<float> leave = Vector256.MinNative(Vector256.MinNative(nextX, nextY), end);
                Vector256<int> block = ((cy >>> 3) * blockColumns) + (cx >>> 3);
                Vector256<int> index = ((block << 6) | ((cy & seven) << 3) | (cx & seven)) & active;
                Vector256<float> start = Avx2.GatherVector256(bases, index >>> 6, 4);
                Vector256<float> levelOut = highPerLevel + (fallPerLevel * leave);
                Vector256<int> low = Avx.ConvertToVector256Int32WithTruncation(
                    Vector256.MaxNative(levelOut - start, Vector256<float>.Zero)
                );
                Vector256<int> cut =
                    Vector256.Create(63)
                    - Avx.ConvertToVector256Int32(
                        Vector256.Floor(Vector256.MinNative(levelAt - start, Vector256.Create(63f)))
                    );
                Vector256<ulong> one = Range(low.GetLower(), cut.GetLower());
                Vector256<ulong> other = Range(low.GetUpper(), cut.GetUpper());
                one &= Avx2.GatherVector256(filled, index.GetLower(), 8);
                other &= Avx2.GatherVector256(filled, index.GetUpper(), 8);
                // A lane meets something where its 64 bits are not all zero.
                Vector256<ulong> noneLow = Vector256.Equals(one, Vector256<ulong>.Zero);
                Vector256<ulong> noneHigh = Vector256.Equals(other, Vector256<ulong>.Zero);
                Vector256<int> none = Avx2.Permute4x64(
                        Avx.Shuffle(noneLow.AsSingle(), noneHigh.AsSingle(), 0b10_00_10_00).AsUInt64(),
                        0b11_01_10_00
                    )
                    .AsInt32();
                Vector256<int> now = Vector256.AndNot(active, none);
                if (Avx.MoveMask(now.AsSingle()) != 0)
                {
                    any |= now;
                    foundLow = Vector256.ConditionalSelect(
                        Avx2.ConvertToVector256Int64(now.GetLower()).AsUInt64(),
                        one,
                        foundLow
                    );
                    foundHigh = Vector256.ConditionalSelect(
                        Avx2.ConvertToVector256Int64(now.GetUpper()).AsUInt64(),
                        other,
                        foundHigh
                    );
                    entered = Vector256.ConditionalSelect(now.AsSingle(), t, entered);
                    where = Vector256.ConditionalSelect(now, index, where);
                    hit.Column = Vector256.ConditionalSelect(now, cx, hit.Column);
                    hit.Row = Vector256.ConditionalSelect(now, cy, hit.Row);
                    active = Vector256.AndNot(active, now);
                }

                active &= Vector256.LessThan(leave, end).AsInt32();
                Vector256<float> across = Vector256.LessThan(nextX, nextY);
                t = leave;
                levelAt = levelOut;
                nextX += overX & across;
                nextY += Vector256.AndNot(overY, across);
                cx += stepX & across.AsInt32();
                cy += Vector256.AndNot(stepY, across.AsInt32());
                // Rounding may step over the rectangle's edge; negative numbers are large ones here.
                active &= Vector256
                    .Equals(Vector256.Min(cx.AsUInt32(), lastColumn.AsUInt32()), cx.AsUInt32())
                    .AsInt32();
                active &= Vector256.Equals(Vector256.Min(cy.AsUInt32(), lastRow.AsUInt32()), cy.AsUInt32()).AsInt32();
                if (Avx.MoveMask(active.AsSingle()) == 0)
                {
                    break;
                }
            }

            if (Avx.MoveMask(any.AsSingle()) != 0)
            {
                Vector256<int> levels = TopBits(foundLow, foundHigh);
                Vector256<float> levelOfTop =
                    Vector256.ConvertToSingle(levels + Vector256<int>.One)
                    + Avx2.GatherVector256(bases, where >>> 6, 4);
                Vector256<float> edge = (levelOfTop - highPerLevel) / fallPerLevel;
                until = Vector256.ConditionalSelect(any.AsSingle(), Vector256.MaxNative(entered, edge), until);
                hit.Index = Vector256.ConditionalSelect(any, where, hit.Index);
                hit.Level = Vector256.ConditionalSelect(any, levels, hit.Level);
            }

            return any;
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<int> Within(Vector256<float> cell, Vector256<int> last) =>
        Vector256.Min(Vector256.Max(Avx.ConvertToVector256Int32WithTruncation(cell), Vector256<int>.Zero), last);

    /// <summary>Bits from a level up to 63 less the cut; shifts of 64 and more leave none.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<ulong> Range(Vector128<int> low, Vector128<int> cut)
    {
        Vector256<ulong> all = Vector256<ulong>.AllBitsSet;
        return Avx2.ShiftLeftLogicalVariable(all, Avx2.ConvertToVector256Int64(low.AsUInt32()).AsUInt64())
            & Avx2.ShiftRightLogicalVariable(all, Avx2.ConvertToVector256Int64(cut.AsUInt32()).AsUInt64());
    }

    /// <summary>Number of the highest bit of each lane.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<int> TopBits(Vector256<ulong> low, Vector256<ulong> high)
    {
        unchecked
        {
            // 0 for a lane without bits gives −1, which nobody reads.
            return Vector256.Create(
                63 - BitOperations.LeadingZeroCount(low.GetElement(0)),
                63 - BitOperations.LeadingZeroCount(low.GetElement(1)),
                63 - BitOperations.LeadingZeroCount(low.GetElement(2)),
                63 - BitOperations.LeadingZeroCount(low.GetElement(3)),
                63 - BitOperations.LeadingZeroCount(high.GetElement(0)),
                63 - BitOperations.LeadingZeroCount(high.GetElement(1)),
                63 - BitOperations.LeadingZeroCount(high.GetElement(2)),
                63 - BitOperations.LeadingZeroCount(high.GetElement(3))
            );
        }
    }
}
