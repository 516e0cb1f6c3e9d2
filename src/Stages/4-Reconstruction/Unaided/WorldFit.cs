using Hillrow.Numerics;
using Hillrow.Numerics.Linear;

namespace Hillrow.Reconstruction;

/// <summary>Shift, turn and scale of any size that bring one set of places onto another, in closed form.</summary>
/// <remarks>Least squares by unit quaternions, B. K. P. Horn 1987, doi 10.1364/JOSAA.4.000629.</remarks>
internal static class WorldFit
{
    /// <summary>Null when the places lie in one point or in line, which leaves the turn open.</summary>
    /// <param name="pairs">From, to, and weight above 0; at least 3.</param>
    public static SimilarityMove? Of(IReadOnlyList<(Vector3D From, Vector3D To, double Weight)> pairs)
    {
        double sum = pairs.Sum(pair => pair.Weight);
        if (pairs.Count < 3 || !(sum > 0))
        {
            return null;
        }

        Vector3D from = default;
        Vector3D to = default;
        foreach ((Vector3D a, Vector3D b, double weight) in pairs)
        {
            from += a * (weight / sum);
            to += b * (weight / sum);
        }

        Span<double> m = stackalloc double[9];
        Span<double> spread = stackalloc double[9];
        double fromSquare = 0;
        double toSquare = 0;
        foreach ((Vector3D one, Vector3D other, double weight) in pairs)
        {
            Vector3D a = one - from;
            Vector3D b = other - to;
            fromSquare += weight * a.LengthSquared;
            toSquare += weight * b.LengthSquared;
            Add(m, a, b, weight);
            Add(spread, a, a, weight);
        }

        Span<double> widths = stackalloc double[3];
        SymmetricEigen.Solve(spread, 3, widths, stackalloc double[9]);

        // The second widest direction must be there, or the turn about the line is free.
        if (!(widths[1] > 1e-4 * widths[2]))
        {
            return null;
        }

        (double xx, double xy, double xz) = (m[0], m[1], m[2]);
        (double yx, double yy, double yz) = (m[3], m[4], m[5]);
        (double zx, double zy, double zz) = (m[6], m[7], m[8]);
        ReadOnlySpan<double> n =
        [
            xx + yy + zz,
            yz - zy,
            zx - xz,
            xy - yx,
            yz - zy,
            xx - yy - zz,
            xy + yx,
            zx + xz,
            zx - xz,
            xy + yx,
            yy - xx - zz,
            yz + zy,
            xy - yx,
            zx + xz,
            yz + zy,
            zz - xx - yy,
        ];
        Span<double> values = stackalloc double[4];
        Span<double> vectors = stackalloc double[16];
        SymmetricEigen.Solve(n, 4, values, vectors);
        Matrix3D turn = Rotation(vectors[12..]);
        return new SimilarityMove(from, to - from, turn, Math.Sqrt(toSquare / fromSquare));
    }

    private static void Add(Span<double> sums, Vector3D a, Vector3D b, double weight)
    {
        ReadOnlySpan<double> rows = [a.X, a.Y, a.Z];
        ReadOnlySpan<double> columns = [b.X, b.Y, b.Z];
        for (int row = 0; row < 3; row++)
        {
            for (int column = 0; column < 3; column++)
            {
                sums[(3 * row) + column] += weight * rows[row] * columns[column];
            }
        }
    }

    private static Matrix3D Rotation(ReadOnlySpan<double> q)
    {
        (double w, double x, double y, double z) = (q[0], q[1], q[2], q[3]);
        return new Matrix3D(
            1 - (2 * ((y * y) + (z * z))),
            2 * ((x * y) - (w * z)),
            2 * ((x * z) + (w * y)),
            2 * ((x * y) + (w * z)),
            1 - (2 * ((x * x) + (z * z))),
            2 * ((y * z) - (w * x)),
            2 * ((x * z) - (w * y)),
            2 * ((y * z) + (w * x)),
            1 - (2 * ((x * x) + (y * y)))
        );
    }
}
