using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hillrow.Reconstruction;

/// <summary>Chooses each pixel's level from summed costs.</summary>
internal static class HeightPick
{
    /// <summary>A second best this near (share of the best sum) elsewhere makes a pixel doubtful.</summary>
    public const double LeastLead = 1.04;

    private static Vector256<ushort> Lanes { get; } =
        Vector256.Create((ushort)0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15);

    /// <param name="line">A pixel's sums, a multiple of 16.</param>
    /// <param name="leastLead">How much worse the best elsewhere must be.</param>
    /// <returns>Level with its fraction; NaN where doubtful.</returns>
    public static float Best(ReadOnlySpan<ushort> line, double leastLead)
    {
        unchecked
        {
            // Indices are bounded by the line.
            ref ushort first = ref MemoryMarshal.GetReference(line);
            Vector256<ushort> lowest = Vector256.LoadUnsafe(ref first);
            for (int level = 16; level < line.Length; level += 16)
            {
                lowest = Vector256.Min(lowest, Vector256.LoadUnsafe(ref first, (nuint)level));
            }

            ushort least = Smallest(lowest);
            int best = line.IndexOf(least);
            if (best == 0 || best == line.Length - 1)
            {
                return float.NaN;
            }

            // Levels next to the best belong to it and are no rivals.
            Vector256<ushort> rivals = Vector256<ushort>.AllBitsSet;
            for (int level = 0; level < line.Length; level += 16)
            {
                Vector256<ushort> apart = Lanes - Vector256.Create((ushort)(best - level - 2));
                Vector256<ushort> near = Vector256.LessThan(apart, Vector256.Create((ushort)5));
                rivals = Vector256.Min(rivals, Vector256.LoadUnsafe(ref first, (nuint)level) | near);
            }

            if (Smallest(rivals) < leastLead * least)
            {
                return float.NaN;
            }

            double before = line[best - 1] - line[best];
            double after = line[best + 1] - line[best];
            double part = before + after > 0 ? (before - after) / (2 * (before + after)) : 0;

            // Costs of this kind fall like a V: straight sides give the sub-step place without the parabola's pull.
            double vee = Math.Max(before, after) > 0 ? (before - after) / (2 * Math.Max(before, after)) : 0;
            return (float)(best + (0.5 * part) + (0.5 * vee));
        }
    }

    private static ushort Smallest(Vector256<ushort> values)
    {
        Vector128<ushort> half = Vector128.Min(values.GetLower(), values.GetUpper());
        if (Sse41.IsSupported)
        {
            return Sse41.MinHorizontal(half).ToScalar();
        }

        ushort smallest = half[0];
        for (int lane = 1; lane < 8; lane++)
        {
            smallest = Math.Min(smallest, half[lane]);
        }

        return smallest;
    }
}

/// <summary>Keeps each pixel's level as its sums come.</summary>
/// <param name="tiles">Of the volume.</param>
/// <param name="leastLead">How much worse the best elsewhere must be.</param>
/// <param name="levels">Receives rows × columns levels with fractions; NaN where doubtful.</param>
internal readonly struct LevelTaker(SweepTiles tiles, double leastLead, float[] levels) : ISumTaker
{
    public void Take(int row, int column, ReadOnlySpan<ushort> sums) =>
        levels[(row * tiles.Columns) + column] =
            tiles.FirstLevels[tiles.TileOf(row, column)] + HeightPick.Best(sums, leastLead);
}
