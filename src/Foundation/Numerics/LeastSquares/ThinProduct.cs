using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using Hillrow.Numerics.Linear;

namespace Hillrow.Numerics.LeastSquares;

/// <summary>sums −= AᵀB for thin A (p × height) and B (p × width), both tight and row-major: one cell pair of a point.</summary>
/// <remarks>Lanes at or past the width hold neighbours' numbers and are never stored by the caller. Unchecked pointers.</remarks>
internal static unsafe class ThinProduct
{
    private const int Lane = RowProducts.Lane;

    /// <summary>p = 3, the row of B kept in registers for the usual widths.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void SubtractThree(double* sums, int stride, int height, double* a, double* b, int width)
    {
        unchecked
        {
            double* b1 = b + width;
            double* b2 = b1 + width;
            double* a1 = a + height;
            double* a2 = a1 + height;
            if (stride == 2 * Lane)
            {
                Vector256<double> p0 = -Vector256.Load(b);
                Vector256<double> p1 = -Vector256.Load(b1);
                Vector256<double> p2 = -Vector256.Load(b2);
                Vector256<double> q0 = -Vector256.Load(b + Lane);
                Vector256<double> q1 = -Vector256.Load(b1 + Lane);
                Vector256<double> q2 = -Vector256.Load(b2 + Lane);
                for (int i = 0; i < height; i++)
                {
                    Vector256<double> f0 = Vector256.Create(a[i]);
                    Vector256<double> f1 = Vector256.Create(a1[i]);
                    Vector256<double> f2 = Vector256.Create(a2[i]);
                    Step(sums, f0, f1, f2, p0, p1, p2);
                    Step(sums + Lane, f0, f1, f2, q0, q1, q2);
                    sums += 2 * Lane;
                }

                return;
            }

            if (stride == 3 * Lane)
            {
                Vector256<double> p0 = -Vector256.Load(b);
                Vector256<double> p1 = -Vector256.Load(b1);
                Vector256<double> p2 = -Vector256.Load(b2);
                Vector256<double> q0 = -Vector256.Load(b + Lane);
                Vector256<double> q1 = -Vector256.Load(b1 + Lane);
                Vector256<double> q2 = -Vector256.Load(b2 + Lane);
                Vector256<double> r0 = -Vector256.Load(b + (2 * Lane));
                Vector256<double> r1 = -Vector256.Load(b1 + (2 * Lane));
                Vector256<double> r2 = -Vector256.Load(b2 + (2 * Lane));
                for (int i = 0; i < height; i++)
                {
                    Vector256<double> f0 = Vector256.Create(a[i]);
                    Vector256<double> f1 = Vector256.Create(a1[i]);
                    Vector256<double> f2 = Vector256.Create(a2[i]);
                    Step(sums, f0, f1, f2, p0, p1, p2);
                    Step(sums + Lane, f0, f1, f2, q0, q1, q2);
                    Step(sums + (2 * Lane), f0, f1, f2, r0, r1, r2);
                    sums += 3 * Lane;
                }

                return;
            }

            Subtract(sums, stride, height, a, b, width, 3);
        }
    }

    /// <summary>Any p.</summary>
    public static void Subtract(double* sums, int stride, int height, double* a, double* b, int width, int p)
    {
        unchecked
        {
            for (int i = 0; i < height; i++)
            {
                for (int q = 0; q < p; q++)
                {
                    RowProducts.AddScaled(sums, -a[(q * height) + i], b + (q * width), stride);
                }

                sums += stride;
            }
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Step(
        double* sums,
        Vector256<double> f0,
        Vector256<double> f1,
        Vector256<double> f2,
        Vector256<double> b0,
        Vector256<double> b1,
        Vector256<double> b2
    )
    {
        Vector256<double> sum = Vector256.MultiplyAddEstimate(f0, b0, Vector256.Load(sums));
        sum = Vector256.MultiplyAddEstimate(f1, b1, sum);
        Vector256.MultiplyAddEstimate(f2, b2, sum).Store(sums);
    }
}
