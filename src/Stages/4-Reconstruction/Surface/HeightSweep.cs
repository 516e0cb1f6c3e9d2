using System.Numerics;
using System.Runtime.InteropServices;

namespace Hillrow.Reconstruction;

/// <summary>How one capture's heights are swept at one size of picture.</summary>
/// <param name="FirstMetres">Lowest height tried, against the base.</param>
/// <param name="StepMetres">Between heights tried.</param>
/// <param name="Levels">Heights tried, a multiple of 16.</param>
internal readonly record struct SweepRange(double FirstMetres, double StepMetres, int Levels);

/// <summary>
/// Heights of one capture's pixels: tries heights around a base surface, compares the capture with its partners warped
/// as if the ground lay there, and chooses by costs summed along eight paths.
/// </summary>
/// <remarks>
/// Following a base keeps the comparison windows parallel to the slope (plane sweep: R. Collins 1996, doi
/// 10.1109/CVPR.1996.517097). The better half of the partners counts, as the rest may not see behind a crown.
/// </remarks>
internal static class HeightSweep
{
    private const int RowsPerBlock = 24;
    private const byte Unseen = 255;

    /// <summary>Cost where no partner sees the place: as much as chance would give.</summary>
    private const byte UnknownCost = 16;

    private const int SmallStep = 2;
    private const int LargeStep = 22;

    /// <summary>A second best this near (share of the best sum) elsewhere makes a pixel doubtful.</summary>
    private const double LeastLead = 1.04;

    /// <param name="own">The capture.</param>
    /// <param name="partners">At least one.</param>
    /// <param name="baseHeights">Rows × Columns local up coordinates, no NaN.</param>
    /// <param name="range">Heights tried.</param>
    /// <param name="heights">Receives Rows × Columns local up coordinates along each line of sight; NaN where doubtful.</param>
    public static void Run(
        LevelView own,
        IReadOnlyList<LevelView> partners,
        ReadOnlySpan<float> baseHeights,
        SweepRange range,
        Span<float> heights
    )
    {
        int rows = own.Rows;
        int columns = own.Columns;
        byte[] costs = GC.AllocateUninitializedArray<byte>(rows * columns * range.Levels);
        Costs(own, partners, baseHeights, range, costs);
        ushort[] sums = GC.AllocateUninitializedArray<ushort>(costs.Length);
        PathAggregation paths = new(rows, columns, range.Levels, SmallStep, LargeStep, Edge(own));
        paths.Sum(costs, own.Picture, sums);
        Pick(sums, baseHeights, range, heights);
    }

    /// <summary>Brightness difference that counts as an edge: twice the mean difference of neighbours.</summary>
    private static float Edge(LevelView view)
    {
        double sum = 0;
        for (int at = 1; at < view.Picture.Length; at++)
        {
            sum += Math.Abs(view.Picture[at] - view.Picture[at - 1]);
        }

        return (float)Math.Max(1e-6, 2 * sum / view.Picture.Length);
    }

    private static void Costs(
        LevelView own,
        IReadOnlyList<LevelView> partners,
        ReadOnlySpan<float> baseHeights,
        SweepRange range,
        byte[] costs
    )
    {
        const int Reach = CensusTransform.Reach;
        int rows = own.Rows;
        int columns = own.Columns;
        SweepWarp[] warps = [.. partners.Select(partner => new SweepWarp(own, partner))];
        float[] perMetre = new float[(RowsPerBlock + (2 * Reach)) * columns];
        float[] lengths = new float[columns];
        float[] warped = new float[perMetre.Length];
        float[] toBase = new float[perMetre.Length];
        uint[] bits = new uint[columns];
        uint[] ownBits = new uint[RowsPerBlock * columns];
        byte[][] unlike = [.. partners.Select(_ => new byte[RowsPerBlock * columns])];
        unchecked
        {
            // Indices are bounded by the blocks; costs are at most 33.
            for (int firstRow = 0; firstRow < rows; firstRow += RowsPerBlock)
            {
                int blockRows = Math.Min(RowsPerBlock, rows - firstRow);
                int top = Math.Max(0, firstRow - Reach);
                int bottom = Math.Min(rows, firstRow + blockRows + Reach);
                for (int row = top; row < bottom; row++)
                {
                    Lengths(
                        own,
                        row,
                        baseHeights.Slice(row * columns, columns),
                        toBase.AsSpan((row - top) * columns, columns),
                        perMetre.AsSpan((row - top) * columns, columns)
                    );
                }

                for (int row = firstRow; row < firstRow + blockRows; row++)
                {
                    Span<uint> into = ownBits.AsSpan((row - firstRow) * columns, columns);
                    if (row >= Reach && row < rows - Reach)
                    {
                        CensusTransform.Row(own.Picture, columns, row, into);
                    }
                }

                for (int level = 0; level < range.Levels; level++)
                {
                    float raised = (float)(range.FirstMetres + (level * range.StepMetres));
                    for (int partner = 0; partner < warps.Length; partner++)
                    {
                        for (int row = top; row < bottom; row++)
                        {
                            int at = (row - top) * columns;
                            for (int column = 0; column < columns; column++)
                            {
                                lengths[column] = toBase[at + column] - (raised * perMetre[at + column]);
                            }

                            warps[partner].Row(row, lengths, warped.AsSpan(at, columns));
                        }

                        Compare(firstRow, blockRows, top, rows, columns, warped, bits, ownBits, unlike[partner]);
                    }

                    Join(unlike, blockRows * columns, costs, (firstRow * columns * range.Levels) + level, range.Levels);
                }
            }
        }
    }

    /// <summary>Factors on (x, y, 1) that reach the base, and how much shorter they are for each metre higher.</summary>
    private static void Lengths(
        LevelView own,
        int row,
        ReadOnlySpan<float> baseHeights,
        Span<float> toBase,
        Span<float> perMetre
    )
    {
        Numerics.Matrix3D toCamera = own.Pose.LocalToCamera;
        double y = (row + 0.5 - own.PrincipalRow) / own.FocalPixels;
        for (int column = 0; column < baseHeights.Length; column++)
        {
            double x = (column + 0.5 - own.PrincipalColumn) / own.FocalPixels;
            double fall = -((toCamera.M13 * x) + (toCamera.M23 * y) + toCamera.M33);
            perMetre[column] = (float)(1 / fall);
            toBase[column] = (float)((own.Pose.CentreLocalMetres.Z - baseHeights[column]) / fall);
        }
    }

    private static void Compare(
        int firstRow,
        int blockRows,
        int top,
        int rows,
        int columns,
        float[] warped,
        uint[] bits,
        uint[] ownBits,
        byte[] unlike
    )
    {
        unchecked
        {
            // Bounded as in the caller.
            for (int row = firstRow; row < firstRow + blockRows; row++)
            {
                Span<byte> into = unlike.AsSpan((row - firstRow) * columns, columns);
                if (row < CensusTransform.Reach || row >= rows - CensusTransform.Reach)
                {
                    into.Fill(Unseen);
                    continue;
                }

                CensusTransform.Row(warped, columns, row - top, bits);
                ReadOnlySpan<uint> ours = ownBits.AsSpan((row - firstRow) * columns, columns);
                ReadOnlySpan<float> values = warped.AsSpan((row - top) * columns, columns);
                for (int column = 0; column < columns; column++)
                {
                    int count = BitOperations.PopCount(ours[column] ^ bits[column]);
                    into[column] = values[column] < 0 ? Unseen : (byte)count;
                }
            }
        }
    }

    /// <summary>Mean of the two partners that agree best; one alone counts a little worse.</summary>
    private static void Join(byte[][] unlike, int count, byte[] costs, int first, int stride)
    {
        unchecked
        {
            // Bounded as in the caller.
            ref byte into = ref MemoryMarshal.GetArrayDataReference(costs);
            for (int pixel = 0; pixel < count; pixel++)
            {
                int best = Unseen;
                int next = Unseen;
                foreach (byte[] partner in unlike)
                {
                    int value = partner[pixel];
                    int higher = Math.Max(best, value);
                    best = Math.Min(best, value);
                    next = Math.Min(next, higher);
                }

                int cost =
                    next != Unseen ? (best + next + 1) >> 1
                    : best != Unseen ? best + 1
                    : UnknownCost;
                System.Runtime.CompilerServices.Unsafe.Add(ref into, first + (pixel * stride)) = (byte)cost;
            }
        }
    }

    private static void Pick(ushort[] sums, ReadOnlySpan<float> baseHeights, SweepRange range, Span<float> heights)
    {
        int levels = range.Levels;
        for (int pixel = 0; pixel < heights.Length; pixel++)
        {
            ReadOnlySpan<ushort> line = sums.AsSpan(pixel * levels, levels);
            int best = 0;
            for (int level = 1; level < levels; level++)
            {
                best = line[level] < line[best] ? level : best;
            }

            int rival = ushort.MaxValue;
            for (int level = 0; level < levels; level++)
            {
                rival = Math.Abs(level - best) > 2 && line[level] < rival ? line[level] : rival;
            }

            if (best == 0 || best == levels - 1 || rival < LeastLead * line[best])
            {
                heights[pixel] = float.NaN;
                continue;
            }

            double before = line[best - 1] - line[best];
            double after = line[best + 1] - line[best];
            double part = before + after > 0 ? (before - after) / (2 * (before + after)) : 0;
            // Costs of this kind fall like a V: straight sides give the sub-step place without the parabola's pull.
            double vee = Math.Max(before, after) > 0 ? (before - after) / (2 * Math.Max(before, after)) : 0;
            double offset = (0.5 * part) + (0.5 * vee);
            heights[pixel] = (float)(baseHeights[pixel] + range.FirstMetres + ((best + offset) * range.StepMetres));
        }
    }
}
