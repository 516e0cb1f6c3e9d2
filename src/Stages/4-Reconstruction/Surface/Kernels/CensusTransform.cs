using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Hillrow.Reconstruction;

/// <summary>Which of 32 neighbours are darker, as bits: equal for pictures that differ in brightness and contrast.</summary>
/// <remarks>
/// The 24 neighbours of the 5 × 5 window and 8 at a distance of 3. Source: R. Zabih, J. Woodfill 1994, doi
/// 10.1007/BFb0028345.
/// </remarks>
internal static class CensusTransform
{
    /// <summary>Rows and columns of picture needed on each side.</summary>
    public const int Reach = 3;

    private static readonly (int Row, int Column)[] Pattern = MakePattern();

    /// <param name="picture">Rows of <paramref name="stride"/> values.</param>
    /// <param name="stride">Columns of the picture.</param>
    /// <param name="row">Row to transform; <see cref="Reach"/> rows around it must exist.</param>
    /// <param name="bits">Receives one value a column; columns nearer than <see cref="Reach"/> to an end get 0.</param>
    public static void Row(ReadOnlySpan<float> picture, int stride, int row, Span<uint> bits)
    {
        unchecked
        {
            // Indices stay inside: the caller keeps the border of rows, the loop that of columns.
            bits[..stride].Clear();
            ref float first = ref MemoryMarshal.GetReference(picture);
            int column = Reach;
            for (; column + 8 + Reach <= stride; column += 8)
            {
                nuint at = (nuint)((row * stride) + column);
                Vector256<float> centre = Vector256.LoadUnsafe(ref first, at);
                Vector256<uint> found = Vector256<uint>.Zero;
                Vector256<uint> bit = Vector256.Create(1u);
                foreach ((int r, int c) in Pattern)
                {
                    Vector256<float> near = Vector256.LoadUnsafe(ref first, (nuint)((int)at + (r * stride) + c));
                    found |= Vector256.LessThan(near, centre).AsUInt32() & bit;
                    bit <<= 1;
                }

                found.CopyTo(bits[column..]);
            }

            for (; column < stride - Reach; column++)
            {
                int at = (row * stride) + column;
                float centre = Unsafe.Add(ref first, at);
                uint found = 0;
                for (int k = 0; k < Pattern.Length; k++)
                {
                    float near = Unsafe.Add(ref first, at + (Pattern[k].Row * stride) + Pattern[k].Column);
                    found |= near < centre ? 1u << k : 0;
                }

                bits[column] = found;
            }
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

        pattern.AddRange([(-3, -3), (-3, 0), (-3, 3), (0, -3), (0, 3), (3, -3), (3, 0), (3, 3)]);
        return [.. pattern];
    }
}
