using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Hillrow.Numerics.Linear;

namespace Hillrow.Numerics.LeastSquares;

/// <summary>What the residuals of one shared block add to its block column JᵀJ and to its right-hand side −Jᵀr.</summary>
/// <remarks>Padded lanes hold neighbours' numbers and are never stored by the caller. Unchecked pointers.</remarks>
internal static unsafe class ResidualSums
{
    private const int Lane = RowProducts.Lane;

    public static void Add(GroupLayout layout, int column, int stride, double* sums, int* rowAt, double* right)
    {
        unchecked
        {
            int size = layout.Group.ResidualSize;
            int width = layout.RowWidth;
            int slots = layout.Slots;
            int[] items = layout.BlockItems;
            double* allJacobians = (double*)Marshal.UnsafeAddrOfPinnedArrayElement(layout.Jacobians, 0);
            double* allResiduals = (double*)Marshal.UnsafeAddrOfPinnedArrayElement(layout.Residuals, 0);
            int end = layout.BlockStart[column + 1];
            for (int at = layout.BlockStart[column]; at < end; at++)
            {
                int item = items[at];
                int place = item / slots;
                int slot = item - (place * slots);
                double* jacobian = allJacobians + ((nint)place * size * width);
                double* own = jacobian + layout.SlotOffset[slot];
                double* residual = allResiduals + ((nint)place * size);
                for (int r = 0; r < size; r++)
                {
                    RowProducts.AddScaled(right, -residual[r], own + (r * width), stride);
                }

                for (int other = 0; other < slots; other++)
                {
                    int block = layout.SlotBlock[(place * slots) + other];
                    if (block < column)
                    {
                        continue;
                    }

                    double* target = sums + rowAt[block];
                    double* factors = jacobian + layout.SlotOffset[other];
                    int height = layout.SlotOffset[other + 1] - layout.SlotOffset[other];
                    if (size == 2)
                    {
                        AddPair(target, stride, height, factors, factors + width, own, own + width);
                        continue;
                    }

                    for (int i = 0; i < height; i++)
                    {
                        for (int r = 0; r < size; r++)
                        {
                            RowProducts.AddScaled(target, factors[(r * width) + i], own + (r * width), stride);
                        }

                        target += stride;
                    }
                }
            }
        }
    }

    private static void AddPair(
        double* target,
        int stride,
        int height,
        double* factors0,
        double* factors1,
        double* row0,
        double* row1
    )
    {
        unchecked
        {
            for (int i = 0; i < height; i++)
            {
                Vector256<double> f0 = Vector256.Create(factors0[i]);
                Vector256<double> f1 = Vector256.Create(factors1[i]);
                for (int k = 0; k < stride; k += Lane)
                {
                    Vector256<double> sum = Vector256.Load(target + k);
                    sum = Vector256.MultiplyAddEstimate(f0, Vector256.Load(row0 + k), sum);
                    Vector256.MultiplyAddEstimate(f1, Vector256.Load(row1 + k), sum).Store(target + k);
                }

                target += stride;
            }
        }
    }
}
