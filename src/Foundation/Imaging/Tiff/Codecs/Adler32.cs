using System.Runtime.Intrinsics;

namespace Hillrow.Imaging;

/// <summary>The checksum at the end of a zlib stream.</summary>
/// <remarks>Source: RFC 1950 (Deutsch and Gailly 1996), section 8.2.</remarks>
internal static class Adler32
{
    private const uint Modulus = 65521;

    /// <summary>Vectors taken before 16-bit sums of sums could overflow: 255 × 20 × 19 / 2 is 48,450.</summary>
    private const int VectorsAtOnce = 20;

    /// <summary>Checksum of the whole span.</summary>
    public static uint Of(ReadOnlySpan<byte> bytes)
    {
        // Unchecked: sums stay far below 64 bits between two reductions.
        unchecked
        {
            const int step = 32 * VectorsAtOnce;
            ulong sum = 1;
            ulong sumOfSums = 0;
            for (; bytes.Length >= step; bytes = bytes[step..])
            {
                // A byte counts in the sum of sums as often as there are bytes from it to the end.
                Vector256<ushort> lower = default;
                Vector256<ushort> upper = default;
                Vector256<ushort> lowerSums = default;
                Vector256<ushort> upperSums = default;
                for (int at = 0; at < step; at += 32)
                {
                    Vector256<byte> some = Vector256.Create(bytes[at..]);
                    lowerSums += lower;
                    upperSums += upper;
                    lower += Vector256.WidenLower(some);
                    upper += Vector256.WidenUpper(some);
                }

                sumOfSums += (step * sum) + (32ul * (Sum(lowerSums, 0, 1) + Sum(upperSums, 0, 1)));
                sumOfSums += (32ul * Sum(lower, 0, 1)) - Sum(lower, 1, 0);
                sumOfSums += (32ul * Sum(upper, 0, 1)) - Sum(upper, 1, 16);
                sum += Sum(lower, 0, 1) + Sum(upper, 0, 1);
                sum %= Modulus;
                sumOfSums %= Modulus;
            }

            foreach (byte value in bytes)
            {
                sum += value;
                sumOfSums += sum;
            }

            return (uint)(((sumOfSums % Modulus) << 16) | (sum % Modulus));
        }
    }

    /// <summary>Sum of lanes, lane k times (first + k × step).</summary>
    private static uint Sum(Vector256<ushort> lanes, uint step, uint first)
    {
        Vector256<uint> places = (Vector256<uint>.Indices * step) + Vector256.Create(first);
        return Vector256.Sum(
            (Vector256.WidenLower(lanes) * places)
                + (Vector256.WidenUpper(lanes) * (places + Vector256.Create(8 * step)))
        );
    }
}
