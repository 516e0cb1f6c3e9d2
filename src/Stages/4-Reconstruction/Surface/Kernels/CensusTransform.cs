using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Hillrow.Reconstruction;

/// <summary>Which of 30 neighbours are darker, as bits: equal for pictures that differ in brightness and contrast.</summary>
/// <remarks>
/// The 24 neighbours of the 5 × 5 window and 6 at a distance of 3, in two halves of 15 bits at bits 0 and 16; bit 31 is
/// left free to mark places that are not seen. Source: R. Zabih, J. Woodfill 1994, doi 10.1007/BFb0028345.
/// </remarks>
internal static class CensusTransform
{
    /// <summary>Rows and columns of picture needed on each side.</summary>
    public const int Reach = 3;

    private const int HalfBits = 15;

    private static readonly (int Row, int Column)[] Pattern = MakePattern();

    /// <param name="picture">Rows of <paramref name="stride"/> values.</param>
    /// <param name="stride">Columns of the picture.</param>
    /// <param name="row">Row to transform; <see cref="Reach"/> rows around it must exist.</param>
    /// <param name="bits">Receives one value a column; columns nearer than <see cref="Reach"/> to an end are left.</param>
    public static void Row(ReadOnlySpan<ushort> picture, int stride, int row, Span<uint> bits)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(row, Reach);
        ArgumentOutOfRangeException.ThrowIfLessThan(picture.Length, (row + Reach + 1) * stride);
        ArgumentOutOfRangeException.ThrowIfLessThan(bits.Length, stride);
        unchecked
        {
            // Indices stay inside: the guards keep the border of rows, the loops that of columns.
            ref ushort first = ref MemoryMarshal.GetReference(picture);
            int column = Reach;
            for (; column + 16 + Reach <= stride; column += 16)
            {
                int at = (row * stride) + column;
                Vector256<ushort> centre = Vector256.LoadUnsafe(ref first, (nuint)at);
                Vector256<ushort> low = Half(ref first, at, stride, centre, 0);
                Vector256<ushort> high = Half(ref first, at, stride, centre, HalfBits);
                (Vector256<uint> lowFirst, Vector256<uint> lowLast) = Vector256.Widen(low);
                (Vector256<uint> highFirst, Vector256<uint> highLast) = Vector256.Widen(high);
                (lowFirst | (highFirst << 16)).CopyTo(bits[column..]);
                (lowLast | (highLast << 16)).CopyTo(bits[(column + 8)..]);
            }

            for (; column < stride - Reach; column++)
            {
                bits[column] = One(ref first, (row * stride) + column, stride);
            }
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<ushort> Half(ref ushort first, int at, int stride, Vector256<ushort> centre, int from)
    {
        unchecked
        {
            Vector256<ushort> found = Vector256<ushort>.Zero;
            Vector256<ushort> bit = Vector256.Create((ushort)1);
            for (int k = from; k < from + HalfBits; k++)
            {
                (int r, int c) = Pattern[k];
                Vector256<ushort> near = Vector256.LoadUnsafe(ref first, (nuint)(at + (r * stride) + c));
                found |= Vector256.LessThan(near, centre) & bit;
                bit <<= 1;
            }

            return found;
        }
    }

    private static uint One(ref ushort first, int at, int stride)
    {
        unchecked
        {
            ushort centre = Unsafe.Add(ref first, at);
            uint found = 0;
            for (int k = 0; k < Pattern.Length; k++)
            {
                ushort near = Unsafe.Add(ref first, at + (Pattern[k].Row * stride) + Pattern[k].Column);
                found |= near < centre ? 1u << (k < HalfBits ? k : k + 16 - HalfBits) : 0;
            }

            return found;
        }
    }

    private static (int Row, int Column)[] MakePattern()
    {
        List<(int, int)> pattern = [];
        for (int row = -2; row <= 2; row++)
        {
            for (int column = -2; column <= 2; column++)
            {
                if (row != 0 || column != 0)
                {
                    pattern.Add((row, column));
                }
            }
        }

        pattern.AddRange([(-3, -3), (-3, 3), (0, -3), (0, 3), (3, -3), (3, 3)]);
        return [.. pattern];
    }
}
