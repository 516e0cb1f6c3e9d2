using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hillrow.Reconstruction;

/// <summary>Squared distance of two descriptors of 128 bytes.</summary>
internal static class DescriptorDistance
{
    public static int Squared(ReadOnlySpan<byte> first, ReadOnlySpan<byte> second)
    {
        unchecked
        {
            // At most 128 · 255² < 2³¹: no lane can overflow.
            if (Avx512BW.IsSupported)
            {
                ref byte one = ref MemoryMarshal.GetReference(first[..128]);
                ref byte other = ref MemoryMarshal.GetReference(second[..128]);
                Vector512<int> all = Squares(ref one, ref other, 0) + Squares(ref one, ref other, 32);
                all += Squares(ref one, ref other, 64) + Squares(ref one, ref other, 96);
                return Vector512.Sum(all);
            }

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

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector512<int> Squares(ref byte first, ref byte second, nuint at)
    {
        unchecked
        {
            Vector512<short> off =
                Avx512BW.ConvertToVector512Int16(Vector256.LoadUnsafe(ref first, at))
                - Avx512BW.ConvertToVector512Int16(Vector256.LoadUnsafe(ref second, at));
            return Avx512BW.MultiplyAddAdjacent(off, off);
        }
    }

    private static Vector256<int> Squares(Vector256<ushort> values)
    {
        if (Avx2.IsSupported)
        {
            return Avx2.MultiplyAddAdjacent(values.AsInt16(), values.AsInt16());
        }

        (Vector256<uint> low, Vector256<uint> high) = Vector256.Widen(values);
        return ((low * low) + (high * high)).AsInt32();
    }
}
