using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hillrow.Reconstruction;

/// <summary>Census bits of sixteen neighbouring pixels, to be compared with sixteen others.</summary>
internal readonly struct SixteenBits
{
    private readonly Vector512<uint> own;

    /// <param name="first">Of sixteen values.</param>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public SixteenBits(ref uint first) => own = Vector512.LoadUnsafe(ref first);

    /// <summary>Set bits of 0 … 15, four times.</summary>
    private static Vector512<byte> CountsOfNibbles { get; } =
        Vector512.Create(
            Vector256.Create(
                Vector128.Create((byte)0, 1, 1, 2, 1, 2, 2, 3, 1, 2, 2, 3, 2, 3, 3, 4),
                Vector128.Create((byte)0, 1, 1, 2, 1, 2, 2, 3, 1, 2, 2, 3, 2, 3, 3, 4)
            ),
            Vector256.Create(
                Vector128.Create((byte)0, 1, 1, 2, 1, 2, 2, 3, 1, 2, 2, 3, 2, 3, 3, 4),
                Vector128.Create((byte)0, 1, 1, 2, 1, 2, 2, 3, 1, 2, 2, 3, 2, 3, 3, 4)
            )
        );

    /// <summary>Number of unlike bits; 255 where either is not seen.</summary>
    /// <param name="first">Of sixteen values.</param>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public Vector128<byte> Unlike(ref uint first)
    {
        unchecked
        {
            // Bit counts of at most 32.
            Vector512<uint> theirs = Vector512.LoadUnsafe(ref first);
            if (Avx512BW.IsSupported)
            {
                Vector512<uint> unlike = own ^ theirs;
                Vector512<byte> nibble = Vector512.Create((byte)0x0f);
                Vector512<byte> counts =
                    Avx512BW.Shuffle(CountsOfNibbles, unlike.AsByte() & nibble)
                    + Avx512BW.Shuffle(CountsOfNibbles, (unlike >> 4).AsByte() & nibble);
                Vector512<short> pairs = Avx512BW.MultiplyAddAdjacent(counts, Vector512.Create((sbyte)1));
                Vector512<int> sums = Avx512BW.MultiplyAddAdjacent(pairs, Vector512.Create((short)1));
                Vector512<int> unseen = Vector512.ShiftRightArithmetic((own | theirs).AsInt32(), 31);
                return Avx512F.ConvertToVector128Byte(sums | unseen);
            }

            Vector256<uint> low = Unlike(own.GetLower(), theirs.GetLower());
            Vector256<uint> high = Unlike(own.GetUpper(), theirs.GetUpper());
            Vector256<ushort> narrow = Vector256.Narrow(low, high);
            return Vector128.Narrow(narrow.GetLower(), narrow.GetUpper());
        }
    }

    /// <summary>The same for half of them, in 32 bits; all ones where either is not seen.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<uint> Unlike(Vector256<uint> ours, Vector256<uint> theirs)
    {
        unchecked
        {
            // Sums of bits in ever wider fields.
            Vector256<uint> unseen = Vector256.ShiftRightArithmetic((ours | theirs).AsInt32(), 31).AsUInt32();
            Vector256<uint> x = ours ^ theirs;
            x -= (x >> 1) & Vector256.Create(0x55555555u);
            x = (x & Vector256.Create(0x33333333u)) + ((x >> 2) & Vector256.Create(0x33333333u));
            x = (x + (x >> 4)) & Vector256.Create(0x0f0f0f0fu);
            x += x >> 16;
            x += x >> 8;
            return (x & Vector256.Create(0x3fu)) | unseen;
        }
    }
}
