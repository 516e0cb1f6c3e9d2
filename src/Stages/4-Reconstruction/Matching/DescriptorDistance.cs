using System.Runtime.Intrinsics;

namespace Hillrow.Reconstruction;

/// <summary>Squared distance of two descriptors of 128 bytes.</summary>
internal static class DescriptorDistance
{
    public static int Squared(ReadOnlySpan<byte> first, ReadOnlySpan<byte> second)
    {
        unchecked
        {
            // At most 128 · 255² < 2³¹: no lane can overflow.
            Vector256<int> sum = Vector256<int>.Zero;
            for (int at = 0; at < 128; at += 32)
            {
                Vector256<byte> a = Vector256.Create(first.Slice(at, 32));
                Vector256<byte> b = Vector256.Create(second.Slice(at, 32));
                Vector256<byte> off = Vector256.Max(a, b) - Vector256.Min(a, b);
                (Vector256<ushort> low, Vector256<ushort> high) = Vector256.Widen(off);
                sum += Squares(low);
                sum += Squares(high);
            }

            return Vector256.Sum(sum);
        }
    }

    private static Vector256<int> Squares(Vector256<ushort> values)
    {
        if (System.Runtime.Intrinsics.X86.Avx2.IsSupported)
        {
            return System.Runtime.Intrinsics.X86.Avx2.MultiplyAddAdjacent(values.AsInt16(), values.AsInt16());
        }

        (Vector256<uint> low, Vector256<uint> high) = Vector256.Widen(values);
        return ((low * low) + (high * high)).AsInt32();
    }
}
