using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace Hillrow.Numerics.Linear;

/// <summary>
/// The product every factorization here spends its time in: C −= A·Bᵀ with all three row-major, so that each
/// entry is a dot product of two contiguous rows. Entries are summed in an order that depends on the inner
/// length only: cutting the rows among threads cannot change a bit.
/// </summary>
/// <remarks>
/// A tile of 3 × 4 entries keeps twelve 256-bit sums in registers; nothing is packed or copied.
/// Unchecked: indices are bounded by the callers' shapes, and range checks would halve the speed.
/// </remarks>
internal static unsafe class RowProducts
{
    /// <summary>Rows are stored with a stride that is a multiple of this, padded with zeros.</summary>
    public const int Lane = 4;

    public static int Padded(int columns) => (columns + (Lane - 1)) & ~(Lane - 1);

    /// <summary>c[i·cStride + j] −= Σₖ a[i·aStride + k]·b[j·bStride + k]; the inner length is a multiple of 4.</summary>
    public static void Subtract(
        double* c,
        int cStride,
        double* a,
        int aStride,
        double* b,
        int bStride,
        int rows,
        int columns,
        int inner
    )
    {
        unchecked
        {
            int j = 0;
            for (; j + 4 <= columns; j += 4)
            {
                double* bj = b + ((nint)j * bStride);
                int i = 0;
                for (; i + 3 <= rows; i += 3)
                {
                    Tile(a + ((nint)i * aStride), aStride, bj, bStride, inner, out var r0, out var r1, out var r2);
                    double* target = c + ((nint)i * cStride) + j;
                    (Vector256.Load(target) - r0).Store(target);
                    target += cStride;
                    (Vector256.Load(target) - r1).Store(target);
                    target += cStride;
                    (Vector256.Load(target) - r2).Store(target);
                }

                for (; i < rows; i++)
                {
                    Vector256<double> row = TileRow(a + ((nint)i * aStride), bj, bStride, inner);
                    double* target = c + ((nint)i * cStride) + j;
                    (Vector256.Load(target) - row).Store(target);
                }
            }

            for (; j < columns; j++)
            {
                for (int i = 0; i < rows; i++)
                {
                    c[((nint)i * cStride) + j] -= Dot(a + ((nint)i * aStride), b + ((nint)j * bStride), inner);
                }
            }
        }
    }

    /// <summary>As <see cref="Subtract"/>, but entry (i, j) lands at c[rowOffsets[i] + columnOffsets[j]].</summary>
    public static void SubtractScattered(
        double* c,
        int* rowOffsets,
        int* columnOffsets,
        double* a,
        int aStride,
        double* b,
        int bStride,
        int rows,
        int columns,
        int inner
    )
    {
        unchecked
        {
            int j = 0;
            for (; j + 4 <= columns; j += 4)
            {
                double* bj = b + ((nint)j * bStride);
                int* at = columnOffsets + j;
                bool together = at[3] == at[0] + 3;
                int i = 0;
                for (; i + 3 <= rows; i += 3)
                {
                    Tile(a + ((nint)i * aStride), aStride, bj, bStride, inner, out var r0, out var r1, out var r2);
                    SubtractRow(c + rowOffsets[i], at, together, r0);
                    SubtractRow(c + rowOffsets[i + 1], at, together, r1);
                    SubtractRow(c + rowOffsets[i + 2], at, together, r2);
                }

                for (; i < rows; i++)
                {
                    Vector256<double> row = TileRow(a + ((nint)i * aStride), bj, bStride, inner);
                    SubtractRow(c + rowOffsets[i], at, together, row);
                }
            }

            for (; j < columns; j++)
            {
                for (int i = 0; i < rows; i++)
                {
                    double sum = Dot(a + ((nint)i * aStride), b + ((nint)j * bStride), inner);
                    c[rowOffsets[i] + columnOffsets[j]] -= sum;
                }
            }
        }
    }

    /// <summary>Dot product; the length is a multiple of 4.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static double Dot(double* a, double* b, int length)
    {
        unchecked
        {
            Vector256<double> sum = default;
            for (int k = 0; k < length; k += 4)
            {
                sum = Vector256.MultiplyAddEstimate(Vector256.Load(a + k), Vector256.Load(b + k), sum);
            }

            // The same pairing as Across, so that tiles and single entries agree to the bit.
            return (sum[0] + sum[1]) + (sum[2] + sum[3]);
        }
    }

    /// <summary>y += factor·x over the length; the length is a multiple of 4.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void AddScaled(double* y, double factor, double* x, int length)
    {
        unchecked
        {
            Vector256<double> f = Vector256.Create(factor);
            for (int k = 0; k < length; k += 4)
            {
                Vector256.MultiplyAddEstimate(f, Vector256.Load(x + k), Vector256.Load(y + k)).Store(y + k);
            }
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void SubtractRow(double* row, int* at, bool together, Vector256<double> values)
    {
        if (together)
        {
            double* target = row + at[0];
            (Vector256.Load(target) - values).Store(target);
        }
        else
        {
            row[at[0]] -= values[0];
            row[at[1]] -= values[1];
            row[at[2]] -= values[2];
            row[at[3]] -= values[3];
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Tile(
        double* a,
        int aStride,
        double* b,
        int bStride,
        int inner,
        out Vector256<double> r0,
        out Vector256<double> r1,
        out Vector256<double> r2
    )
    {
        unchecked
        {
            double* a1 = a + aStride;
            double* a2 = a1 + aStride;
            double* b1 = b + bStride;
            double* b2 = b1 + bStride;
            double* b3 = b2 + bStride;
            Vector256<double> s00 = default;
            Vector256<double> s01 = default;
            Vector256<double> s02 = default;
            Vector256<double> s03 = default;
            Vector256<double> s10 = default;
            Vector256<double> s11 = default;
            Vector256<double> s12 = default;
            Vector256<double> s13 = default;
            Vector256<double> s20 = default;
            Vector256<double> s21 = default;
            Vector256<double> s22 = default;
            Vector256<double> s23 = default;
            for (nint k = 0; k < inner; k += 4)
            {
                Vector256<double> x0 = Vector256.Load(a + k);
                Vector256<double> x1 = Vector256.Load(a1 + k);
                Vector256<double> x2 = Vector256.Load(a2 + k);
                Vector256<double> y = Vector256.Load(b + k);
                s00 = Vector256.MultiplyAddEstimate(x0, y, s00);
                s10 = Vector256.MultiplyAddEstimate(x1, y, s10);
                s20 = Vector256.MultiplyAddEstimate(x2, y, s20);
                y = Vector256.Load(b1 + k);
                s01 = Vector256.MultiplyAddEstimate(x0, y, s01);
                s11 = Vector256.MultiplyAddEstimate(x1, y, s11);
                s21 = Vector256.MultiplyAddEstimate(x2, y, s21);
                y = Vector256.Load(b2 + k);
                s02 = Vector256.MultiplyAddEstimate(x0, y, s02);
                s12 = Vector256.MultiplyAddEstimate(x1, y, s12);
                s22 = Vector256.MultiplyAddEstimate(x2, y, s22);
                y = Vector256.Load(b3 + k);
                s03 = Vector256.MultiplyAddEstimate(x0, y, s03);
                s13 = Vector256.MultiplyAddEstimate(x1, y, s13);
                s23 = Vector256.MultiplyAddEstimate(x2, y, s23);
            }

            r0 = Across(s00, s01, s02, s03);
            r1 = Across(s10, s11, s12, s13);
            r2 = Across(s20, s21, s22, s23);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<double> TileRow(double* a, double* b, int bStride, int inner)
    {
        unchecked
        {
            double* b1 = b + bStride;
            double* b2 = b1 + bStride;
            double* b3 = b2 + bStride;
            Vector256<double> s0 = default;
            Vector256<double> s1 = default;
            Vector256<double> s2 = default;
            Vector256<double> s3 = default;
            for (nint k = 0; k < inner; k += 4)
            {
                Vector256<double> x = Vector256.Load(a + k);
                s0 = Vector256.MultiplyAddEstimate(x, Vector256.Load(b + k), s0);
                s1 = Vector256.MultiplyAddEstimate(x, Vector256.Load(b1 + k), s1);
                s2 = Vector256.MultiplyAddEstimate(x, Vector256.Load(b2 + k), s2);
                s3 = Vector256.MultiplyAddEstimate(x, Vector256.Load(b3 + k), s3);
            }

            return Across(s0, s1, s2, s3);
        }
    }

    /// <summary>The four lane sums, side by side, each paired as (0+1)+(2+3).</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<double> Across(
        Vector256<double> s0,
        Vector256<double> s1,
        Vector256<double> s2,
        Vector256<double> s3
    )
    {
        if (System.Runtime.Intrinsics.X86.Avx.IsSupported)
        {
            Vector256<double> low = System.Runtime.Intrinsics.X86.Avx.HorizontalAdd(s0, s1);
            Vector256<double> high = System.Runtime.Intrinsics.X86.Avx.HorizontalAdd(s2, s3);
            Vector256<double> crossed = System.Runtime.Intrinsics.X86.Avx.Permute2x128(low, high, 0x21);
            Vector256<double> straight = System.Runtime.Intrinsics.X86.Avx.Blend(low, high, 0b1100);
            return straight + crossed;
        }

        return Vector256.Create(
            (s0[0] + s0[1]) + (s0[2] + s0[3]),
            (s1[0] + s1[1]) + (s1[2] + s1[3]),
            (s2[0] + s2[1]) + (s2[2] + s2[3]),
            (s3[0] + s3[1]) + (s3[2] + s3[3])
        );
    }
}
