using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hillrow.Intake;

/// <summary>The same patch of ground in two ground pictures, in cells of their lattice.</summary>
/// <param name="East">Middle of the patch in the first picture, cells east of the origin.</param>
/// <param name="North">The same, north.</param>
/// <param name="ShiftEast">How much farther east the second picture shows it.</param>
/// <param name="ShiftNorth">How much farther north.</param>
internal readonly record struct PatchMatch(double East, double North, double ShiftEast, double ShiftNorth);

/// <summary>
/// Finds what two ground pictures share, coarse to fine: one shift of all that both see at a quarter and at half the
/// resolution, then patch by patch around it, by normalised correlation (level and contrast do not count).
/// </summary>
/// <remarks>Whole numbers and fixed orders only: the same result on every machine and for any number of threads.</remarks>
internal static class PairMatching
{
    /// <summary>Quarter-size cells (about 1.4 m from 65 m) that a pair may be off: 5° of roll and more.</summary>
    private const int CoarseReach = 6;

    private const int HalfReach = 2;

    /// <summary>Full-size cells around the pair's shift: heading, scale and terrain move patches apart within a pair.</summary>
    private const int PatchReach = 4;

    /// <summary>A patch is 2 × 10 + 1 cells wide: more than two rows of coffee from 65 m.</summary>
    private const int PatchRadius = 10;

    /// <summary>More patches would tell the same again.</summary>
    private const int PatchStep = 28;

    /// <summary>Fewer shared coarse cells correlate by chance.</summary>
    private const int LeastShared = 60;

    private const double LeastCoarse = 0.35;
    private const double LeastPatch = 0.6;

    /// <summary>The next best place of a patch must be clearly worse, or rows of plants are taken for each other.</summary>
    private const double LeastLead = 0.05;

    /// <summary>Squared contrast of 8-bit values below which a patch shows nothing.</summary>
    private const double LeastVariance = 16;

    /// <summary>Patches found again; empty when the pictures do not agree.</summary>
    /// <param name="first">At full, half and quarter resolution.</param>
    /// <param name="second">The same.</param>
    public static IReadOnlyList<PatchMatch> Match(GroundPicture[] first, GroundPicture[] second)
    {
        if (
            BestShift(first[2], second[2], 0, 0, CoarseReach, LeastShared) is not { } coarse
            || BestShift(first[1], second[1], 2 * coarse.East, 2 * coarse.North, HalfReach, 4 * LeastShared)
                is not { } half
        )
        {
            return [];
        }

        int east = 2 * half.East;
        int north = 2 * half.North;
        List<PatchMatch> found = [];
        GroundPicture one = first[0];
        // Patch centres lie on one lattice for the whole survey, so that a place is met by many pairs.
        int firstRow = NextMultiple(one.South + PatchRadius) - one.South;
        int firstColumn = NextMultiple(one.West + PatchRadius) - one.West;
        for (int row = firstRow; row < one.Rows - PatchRadius; row += PatchStep)
        {
            for (int column = firstColumn; column < one.Columns - PatchRadius; column += PatchStep)
            {
                if (PatchAt(one, second[0], row, column, east, north) is { } match)
                {
                    found.Add(match);
                }
            }
        }

        return found;
    }

    private static int NextMultiple(int cell) => (int)Math.Ceiling(cell / (double)PatchStep) * PatchStep;

    /// <summary>The shift within reach at which what both see correlates best; null when poor or at the reach's edge.</summary>
    private static (int East, int North)? BestShift(
        GroundPicture one,
        GroundPicture other,
        int aboutEast,
        int aboutNorth,
        int reach,
        int leastShared
    )
    {
        double best = LeastCoarse;
        (int East, int North)? at = null;
        for (int north = aboutNorth - reach; north <= aboutNorth + reach; north++)
        {
            for (int east = aboutEast - reach; east <= aboutEast + reach; east++)
            {
                double score = Correlation(one, other, east, north, leastShared);
                if (score > best)
                {
                    (best, at) = (score, (east, north));
                }
            }
        }

        return at is var (e, n) && (Math.Abs(e - aboutEast) == reach || Math.Abs(n - aboutNorth) == reach) ? null : at;
    }

    /// <summary>Over all cells that both see, the other moved back by a shift; −1 when they are too few.</summary>
    private static double Correlation(GroundPicture one, GroundPicture other, int east, int north, int leastShared)
    {
        int downBy = other.South - one.South - north;
        int rightBy = other.West - one.West - east;
        int firstRow = Math.Max(0, downBy);
        int lastRow = Math.Min(one.Rows, other.Rows + downBy);
        int left = Math.Max(0, rightBy);
        int width = Math.Min(one.Columns, other.Columns + rightBy) - left;
        if (width <= 0)
        {
            return -1;
        }

        SharedMoments moments = default;
        for (int row = firstRow; row < lastRow; row++)
        {
            moments.Add(
                one.Values.AsSpan((row * one.Columns) + left, width),
                other.Values.AsSpan(((row - downBy) * other.Columns) + left - rightBy, width)
            );
        }

        return moments.Correlation(leastShared);
    }

    /// <remarks>Compiled well at once: a check is over before slow code would be found to be hot.</remarks>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static PatchMatch? PatchAt(GroundPicture one, GroundPicture other, int row, int column, int east, int north)
    {
        const int Edge = (2 * PatchRadius) + 1;
        const int Span = (2 * PatchReach) + 1;
        int otherRow = row + one.South - other.South + north;
        int otherColumn = column + one.West - other.West + east;
        const int Wide = PatchRadius + PatchReach;
        if (
            otherRow < Wide
            || otherColumn < Wide
            || otherRow >= other.Rows - Wide
            || otherColumn >= other.Columns - Wide
            || !Sum(one, row, column, out long a, out long aa)
        )
        {
            return null;
        }

        const int Count = Edge * Edge;
        double spreadA = (Count * (double)aa) - ((double)a * a);
        if (spreadA < LeastVariance * Count * Count)
        {
            return null;
        }

        Span<int> sums = stackalloc int[Span * Span];
        Span<int> squares = stackalloc int[Span * Span];
        if (!Windows(other, otherRow, otherColumn, sums, squares))
        {
            return null;
        }

        Span<double> scores = stackalloc double[Span * Span];
        int best = 0;
        for (int shift = 0; shift < scores.Length; shift++)
        {
            int r = otherRow + (shift / Span) - PatchReach;
            int c = otherColumn + (shift % Span) - PatchReach;
            long ab = 0;
            for (int line = -PatchRadius; line <= PatchRadius; line++)
            {
                ab += Product(
                    one.Values.AsSpan(((row + line) * one.Columns) + column - PatchRadius, Edge),
                    other.Values.AsSpan(((r + line) * other.Columns) + c - PatchRadius, Edge)
                );
            }

            double spreadB = (Count * (double)squares[shift]) - ((double)sums[shift] * sums[shift]);
            scores[shift] =
                spreadB <= 0 ? -1 : ((Count * (double)ab) - ((double)a * sums[shift])) / Math.Sqrt(spreadA * spreadB);
            best = scores[shift] > scores[best] ? shift : best;
        }

        int bestRow = best / Span;
        int bestColumn = best % Span;
        if (
            scores[best] < LeastPatch
            || bestRow is 0 or Span - 1
            || bestColumn is 0 or Span - 1
            || Rival(scores, Span, bestRow, bestColumn) > scores[best] - LeastLead
        )
        {
            return null;
        }

        return new PatchMatch(
            one.West + column + 0.5,
            one.South + row + 0.5,
            east + bestColumn - PatchReach + Top(scores[best - 1], scores[best], scores[best + 1]),
            north + bestRow - PatchReach + Top(scores[best - Span], scores[best], scores[best + Span])
        );
    }

    /// <summary>Sums and sums of squares of the patch at every shift; false where a cell of any is not seen.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static bool Windows(GroundPicture picture, int row, int column, Span<int> sums, Span<int> squares)
    {
        const int Edge = (2 * PatchRadius) + 1;
        const int Span = (2 * PatchReach) + 1;
        const int Wide = PatchRadius + PatchReach;
        sums.Clear();
        squares.Clear();
        for (int line = 0; line <= 2 * Wide; line++)
        {
            ReadOnlySpan<byte> cells = picture.Values.AsSpan(
                ((row + line - Wide) * picture.Columns) + column - Wide,
                (2 * Wide) + 1
            );
            if (cells.Contains((byte)0))
            {
                return false;
            }

            int sum = 0;
            int square = 0;
            for (int at = 0; at < cells.Length; at++)
            {
                sum += cells[at];
                square += cells[at] * cells[at];
                if (at >= Edge)
                {
                    sum -= cells[at - Edge];
                    square -= cells[at - Edge] * cells[at - Edge];
                }

                // This line belongs to the patches of so many shifts.
                for (
                    int down = Math.Max(0, line - Edge + 1);
                    at >= Edge - 1 && down <= Math.Min(Span - 1, line);
                    down++
                )
                {
                    sums[(down * Span) + at - Edge + 1] += sum;
                    squares[(down * Span) + at - Edge + 1] += square;
                }
            }
        }

        return true;
    }

    /// <summary>Sum of products, sixteen at a time; whole numbers, so the same as one by one.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static int Product(ReadOnlySpan<byte> one, ReadOnlySpan<byte> other)
    {
        int at = 0;
        int sum = 0;
        if (Avx2.IsSupported)
        {
            Vector256<int> sums = Vector256<int>.Zero;
            for (; at + Vector128<byte>.Count <= one.Length; at += Vector128<byte>.Count)
            {
                sums += Avx2.MultiplyAddAdjacent(
                    Avx2.ConvertToVector256Int16(Vector128.Create(one[at..])),
                    Avx2.ConvertToVector256Int16(Vector128.Create(other[at..]))
                );
            }

            sum = Vector256.Sum(sums);
        }

        for (; at < one.Length; at++)
        {
            sum += one[at] * other[at];
        }

        return sum;
    }

    /// <summary>Sum and sum of squares of a patch; false where a cell of it is not seen.</summary>
    private static bool Sum(GroundPicture picture, int row, int column, out long sum, out long squares)
    {
        const int Edge = (2 * PatchRadius) + 1;
        sum = 0;
        squares = 0;
        for (int line = -PatchRadius; line <= PatchRadius; line++)
        {
            ReadOnlySpan<byte> cells = picture.Values.AsSpan(
                ((row + line) * picture.Columns) + column - PatchRadius,
                Edge
            );
            if (cells.Contains((byte)0))
            {
                return false;
            }

            foreach (byte value in cells)
            {
                sum += value;
            }

            squares += Product(cells, cells);
        }

        return true;
    }

    /// <summary>Best score more than two cells from the best.</summary>
    private static double Rival(ReadOnlySpan<double> scores, int span, int row, int column)
    {
        double rival = -1;
        for (int at = 0; at < scores.Length; at++)
        {
            if (Math.Abs((at / span) - row) > 2 || Math.Abs((at % span) - column) > 2)
            {
                rival = Math.Max(rival, scores[at]);
            }
        }

        return rival;
    }

    /// <summary>Where the parabola through three scores peaks, −½ … ½.</summary>
    private static double Top(double before, double middle, double after)
    {
        double bend = before - (2 * middle) + after;
        return bend < 0 ? Math.Clamp(0.5 * (before - after) / bend, -0.5, 0.5) : 0;
    }
}
