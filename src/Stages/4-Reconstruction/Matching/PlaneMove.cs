using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Finds which of many moved places agree on one affine move of the plane: random samples, then refitting.</summary>
/// <remarks>Source: M. A. Fischler, R. C. Bolles 1981, doi 10.1145/358669.358692. Deterministic: the seed is given.</remarks>
internal static class PlaneMove
{
    private const int Rounds = 400;

    /// <summary>A turn or stretch beyond this (share) is no misplaced camera but a wrong agreement.</summary>
    private const double LargestTurn = 0.45;

    /// <summary>A place before and after the move, pixels.</summary>
    public readonly record struct Pair(PixelPoint From, PixelPoint To);

    /// <summary>True for each pair that agrees; all false when fewer than <paramref name="least"/> do.</summary>
    public static bool[] Agreement(Pair[] pairs, double tolerancePixels, int least, ulong seed)
    {
        bool[] agrees = new bool[pairs.Length];
        if (pairs.Length < least)
        {
            return agrees;
        }

        SplittableRandom draw = new(seed);
        double[] bestMove = [];
        int bestCount = 0;
        for (int round = 0; round < Rounds; round++)
        {
            int a = draw.NextInt32(pairs.Length);
            int b = draw.NextInt32(pairs.Length);
            int c = draw.NextInt32(pairs.Length);
            if (a == b || b == c || a == c || !TryFit([pairs[a], pairs[b], pairs[c]], out double[] move) || Wild(move))
            {
                continue;
            }

            int count = pairs.Count(pair => Miss(move, pair) <= tolerancePixels);
            if (count > bestCount)
            {
                (bestCount, bestMove) = (count, move);
            }
        }

        for (int refit = 0; refit < 2 && bestCount >= least; refit++)
        {
            double[] move = bestMove;
            Pair[] inside = [.. pairs.Where(pair => Miss(move, pair) <= tolerancePixels)];
            if (!TryFit(inside, out double[] again) || Wild(again))
            {
                break;
            }

            bestMove = again;
            bestCount = pairs.Count(pair => Miss(again, pair) <= tolerancePixels);
        }

        // Chance agreement among n random pairs is far below a fifth of them at the tolerances used.
        if (bestCount < Math.Max(least, pairs.Length / 5))
        {
            return agrees;
        }

        for (int index = 0; index < pairs.Length; index++)
        {
            agrees[index] = Miss(bestMove, pairs[index]) <= tolerancePixels;
        }

        return agrees;
    }

    private static bool Wild(double[] m) =>
        Math.Abs(m[0] - 1) > LargestTurn
        || Math.Abs(m[4] - 1) > LargestTurn
        || Math.Abs(m[1]) > LargestTurn
        || Math.Abs(m[3]) > LargestTurn;

    private static double Miss(double[] m, Pair pair)
    {
        double x = (m[0] * pair.From.Column) + (m[1] * pair.From.Row) + m[2] - pair.To.Column;
        double y = (m[3] * pair.From.Column) + (m[4] * pair.From.Row) + m[5] - pair.To.Row;
        return Math.Sqrt((x * x) + (y * y));
    }

    /// <summary>Least-squares affine move; false when the places lie on a line.</summary>
    private static bool TryFit(ReadOnlySpan<Pair> pairs, out double[] move)
    {
        double fx = 0;
        double fy = 0;
        double tx = 0;
        double ty = 0;
        foreach (Pair pair in pairs)
        {
            fx += pair.From.Column;
            fy += pair.From.Row;
            tx += pair.To.Column;
            ty += pair.To.Row;
        }

        (fx, fy, tx, ty) = (fx / pairs.Length, fy / pairs.Length, tx / pairs.Length, ty / pairs.Length);
        double xx = 0;
        double xy = 0;
        double yy = 0;
        double xu = 0;
        double yu = 0;
        double xv = 0;
        double yv = 0;
        foreach (Pair pair in pairs)
        {
            double x = pair.From.Column - fx;
            double y = pair.From.Row - fy;
            double u = pair.To.Column - tx;
            double v = pair.To.Row - ty;
            xx += x * x;
            xy += x * y;
            yy += y * y;
            xu += x * u;
            yu += y * u;
            xv += x * v;
            yv += y * v;
        }

        double determinant = (xx * yy) - (xy * xy);
        if (determinant <= 1e-6 * xx * yy || determinant <= 0)
        {
            move = [];
            return false;
        }

        double a = ((xu * yy) - (yu * xy)) / determinant;
        double b = ((yu * xx) - (xu * xy)) / determinant;
        double c = ((xv * yy) - (yv * xy)) / determinant;
        double d = ((yv * xx) - (xv * xy)) / determinant;
        move = [a, b, tx - (a * fx) - (b * fy), c, d, ty - (c * fx) - (d * fy)];
        return true;
    }
}
