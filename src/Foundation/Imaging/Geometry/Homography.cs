using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>The projective map between two pictures of a plane.</summary>
public static class Homography
{
    /// <summary>The map with the least sum of squared distances in the second picture; M33 is 1.</summary>
    /// <param name="from">At least 4 places, no three of the first four in line.</param>
    /// <param name="to">As many.</param>
    /// <returns>The matrix and the root mean square distance in pixels, or null when the places do not settle one.</returns>
    /// <remarks>Start: direct linear estimate on scaled places (R. I. Hartley 1997, doi 10.1109/34.601246); then Levenberg–Marquardt.</remarks>
    public static (Matrix3D Matrix, double RmsPixels)? Estimate(
        IReadOnlyList<PixelPoint> from,
        IReadOnlyList<PixelPoint> to
    )
    {
        if (from.Count < 4 || from.Count != to.Count)
        {
            throw new ArgumentException(
                $"A homography needs at least 4 pairs of places, not {from.Count} and {to.Count}."
            );
        }

        Matrix3D scaleFrom = Scaling(from);
        Matrix3D scaleTo = Scaling(to);
        double[] rows = new double[2 * from.Count * 9];
        for (int pair = 0; pair < from.Count; pair++)
        {
            PixelPoint a = Map(scaleFrom, from[pair]);
            PixelPoint b = Map(scaleTo, to[pair]);
            double[] first = [a.Column, a.Row, 1, 0, 0, 0, -b.Column * a.Column, -b.Column * a.Row, -b.Column];
            double[] second = [0, 0, 0, a.Column, a.Row, 1, -b.Row * a.Column, -b.Row * a.Row, -b.Row];
            first.CopyTo(rows, 18 * pair);
            second.CopyTo(rows, (18 * pair) + 9);
        }

        double[] h = NullVector.Of(rows, 2 * from.Count, 9);
        Matrix3D scaled = new(h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], h[8]);
        Matrix3D start = InverseScaling(scaleTo) * scaled * scaleFrom;
        if (!(Math.Abs(start.M33) > 1e-14 * Math.Abs(start.M11)))
        {
            return null;
        }

        (Matrix3D best, double squares) = SmallAdjustment.Minimise(
            Over(start, start.M33),
            8,
            2 * from.Count,
            (Matrix3D matrix, Span<double> residuals, Span<double> jacobian) =>
                Evaluate(matrix, from, to, residuals, jacobian),
            (matrix, step) =>
                new Matrix3D(
                    matrix.M11 + step[0],
                    matrix.M12 + step[1],
                    matrix.M13 + step[2],
                    matrix.M21 + step[3],
                    matrix.M22 + step[4],
                    matrix.M23 + step[5],
                    matrix.M31 + step[6],
                    matrix.M32 + step[7],
                    1
                )
        );
        return double.IsFinite(squares) ? (best, Math.Sqrt(squares / from.Count)) : null;
    }

    /// <summary>Where a place of the first picture lies in the second.</summary>
    public static PixelPoint Map(Matrix3D matrix, PixelPoint at)
    {
        Vector3D mapped = matrix * new Vector3D(at.Column, at.Row, 1);
        return new PixelPoint(mapped.X / mapped.Z, mapped.Y / mapped.Z);
    }

    private static bool Evaluate(
        Matrix3D matrix,
        IReadOnlyList<PixelPoint> from,
        IReadOnlyList<PixelPoint> to,
        Span<double> residuals,
        Span<double> jacobian
    )
    {
        jacobian.Clear();
        for (int pair = 0; pair < from.Count; pair++)
        {
            Vector3D mapped = matrix * new Vector3D(from[pair].Column, from[pair].Row, 1);
            if (mapped.Z == 0)
            {
                return false;
            }

            (double u, double v) = (mapped.X / mapped.Z, mapped.Y / mapped.Z);
            (double x, double y, double w) = (from[pair].Column / mapped.Z, from[pair].Row / mapped.Z, 1 / mapped.Z);
            residuals[2 * pair] = u - to[pair].Column;
            residuals[(2 * pair) + 1] = v - to[pair].Row;
            Span<double> byColumn = jacobian.Slice(16 * pair, 8);
            Span<double> byRow = jacobian.Slice((16 * pair) + 8, 8);
            (byColumn[0], byColumn[1], byColumn[2], byColumn[6], byColumn[7]) = (x, y, w, -u * x, -u * y);
            (byRow[3], byRow[4], byRow[5], byRow[6], byRow[7]) = (x, y, w, -v * x, -v * y);
        }

        return true;
    }

    private static Matrix3D Over(Matrix3D m, double d) =>
        new(m.M11 / d, m.M12 / d, m.M13 / d, m.M21 / d, m.M22 / d, m.M23 / d, m.M31 / d, m.M32 / d, m.M33 / d);

    /// <summary>Moves places to their mean and scales them to a mean distance of √2.</summary>
    private static Matrix3D Scaling(IReadOnlyList<PixelPoint> places)
    {
        double column = places.Average(place => place.Column);
        double row = places.Average(place => place.Row);
        double distance = places.Average(place =>
            Math.Sqrt(((place.Column - column) * (place.Column - column)) + ((place.Row - row) * (place.Row - row)))
        );
        double scale = distance > 0 ? Math.Sqrt(2) / distance : 1;
        return new Matrix3D(scale, 0, -scale * column, 0, scale, -scale * row, 0, 0, 1);
    }

    private static Matrix3D InverseScaling(Matrix3D s) =>
        new(1 / s.M11, 0, -s.M13 / s.M11, 0, 1 / s.M22, -s.M23 / s.M22, 0, 0, 1);
}
