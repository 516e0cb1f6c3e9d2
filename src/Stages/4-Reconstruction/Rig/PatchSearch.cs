using System.Runtime.Intrinsics;
using Hillrow.Imaging;

namespace Hillrow.Reconstruction;

/// <summary>Finds a patch of one gradient picture in another by normalised correlation, to a part of a pixel.</summary>
internal static class PatchSearch
{
    private const int Reach = 13;

    /// <summary>Correlation below this is no find.</summary>
    private const double LeastCorrelation = 0.35;

    /// <summary>A rival peak nearly as high elsewhere makes a find doubtful.</summary>
    private const double LeastLead = 0.05;

    /// <param name="from">Holds the patch.</param>
    /// <param name="place">Middle of the patch, full-size pixels.</param>
    /// <param name="into">Is searched.</param>
    /// <param name="predicted">Where the middle should be, full-size pixels.</param>
    /// <param name="search">Largest offset, pixels of the reduced picture.</param>
    /// <param name="found">Where it is, full-size pixels.</param>
    public static bool TryFind(
        GradientPicture from,
        PixelPoint place,
        GradientPicture into,
        PixelPoint predicted,
        int search,
        out PixelPoint found
    )
    {
        found = default;
        double size = from.Reduction;
        int ownColumn = (int)Math.Floor(place.Column / size);
        int ownRow = (int)Math.Floor(place.Row / size);
        double partColumn = (place.Column / size) - (ownColumn + 0.5);
        double partRow = (place.Row / size) - (ownRow + 0.5);
        int column = (int)Math.Floor((predicted.Column / size) - partColumn);
        int row = (int)Math.Floor((predicted.Row / size) - partRow);
        int margin = Reach + search + 2;
        if (
            ownColumn < Reach + 1
            || ownRow < Reach + 1
            || ownColumn >= from.Columns - Reach - 1
            || ownRow >= from.Rows - Reach - 1
            || column < margin
            || row < margin
            || column >= into.Columns - margin
            || row >= into.Rows - margin
        )
        {
            return false;
        }

        int across = (2 * search) + 1;
        double[] score = new double[across * across];
        int best = 0;
        for (int at = 0; at < score.Length; at++)
        {
            score[at] = Correlation(
                from,
                ownRow,
                ownColumn,
                into,
                row - search + (at / across),
                column - search + (at % across)
            );
            best = score[at] > score[best] ? at : best;
        }

        int bestRow = best / across;
        int bestColumn = best % across;
        if (
            score[best] < LeastCorrelation
            || bestRow == 0
            || bestColumn == 0
            || bestRow == across - 1
            || bestColumn == across - 1
        )
        {
            return false;
        }

        for (int at = 0; at < score.Length; at++)
        {
            bool near = Math.Abs((at / across) - bestRow) <= 2 && Math.Abs((at % across) - bestColumn) <= 2;
            if (!near && score[at] > score[best] - LeastLead)
            {
                return false;
            }
        }

        double offColumn = Peak(score[best - 1], score[best], score[best + 1]);
        double offRow = Peak(score[best - across], score[best], score[best + across]);
        found = new PixelPoint(
            size * (column - search + bestColumn + 0.5 + offColumn + partColumn),
            size * (row - search + bestRow + 0.5 + offRow + partRow)
        );
        return true;
    }

    private static double Peak(double before, double top, double after)
    {
        double bend = before - (2 * top) + after;
        return bend < 0 ? Math.Clamp(0.5 * (before - after) / bend, -0.5, 0.5) : 0;
    }

    private static double Correlation(
        GradientPicture a,
        int rowA,
        int columnA,
        GradientPicture b,
        int rowB,
        int columnB
    )
    {
        unchecked
        {
            // The caller keeps both windows inside their pictures; three vectors and the last columns make a line.
            Vector256<float> sumA = default;
            Vector256<float> sumB = default;
            Vector256<float> squaresA = default;
            Vector256<float> squaresB = default;
            Vector256<float> products = default;
            float sa = 0;
            float sb = 0;
            float aa = 0;
            float bb = 0;
            float ab = 0;
            for (int r = -Reach; r <= Reach; r++)
            {
                ReadOnlySpan<float> lineA = a.Strength.AsSpan(
                    ((rowA + r) * a.Columns) + columnA - Reach,
                    (2 * Reach) + 1
                );
                ReadOnlySpan<float> lineB = b.Strength.AsSpan(
                    ((rowB + r) * b.Columns) + columnB - Reach,
                    (2 * Reach) + 1
                );
                int c = 0;
                for (; c + 8 <= lineA.Length; c += 8)
                {
                    Vector256<float> x = Vector256.Create(lineA[c..]);
                    Vector256<float> y = Vector256.Create(lineB[c..]);
                    sumA += x;
                    sumB += y;
                    squaresA += x * x;
                    squaresB += y * y;
                    products += x * y;
                }

                for (; c < lineA.Length; c++)
                {
                    float x = lineA[c];
                    float y = lineB[c];
                    sa += x;
                    sb += y;
                    aa += x * x;
                    bb += y * y;
                    ab += x * y;
                }
            }

            sa += Vector256.Sum(sumA);
            sb += Vector256.Sum(sumB);
            aa += Vector256.Sum(squaresA);
            bb += Vector256.Sum(squaresB);
            ab += Vector256.Sum(products);
            const float Count = ((2 * Reach) + 1) * ((2 * Reach) + 1);
            double va = aa - (sa * sa / Count);
            double vb = bb - (sb * sb / Count);
            return va > 0 && vb > 0 ? (ab - (sa * sb / Count)) / Math.Sqrt(va * vb) : 0;
        }
    }
}
