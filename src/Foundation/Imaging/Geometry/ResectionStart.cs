using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>First poses for a resection, by direct linear estimates on undistorted rays.</summary>
internal static class ResectionStart
{
    public static IEnumerable<CameraPose> Candidates(
        Lens lens,
        IReadOnlyList<Vector3D> points,
        IReadOnlyList<PixelPoint> pixels
    )
    {
        PixelPoint[] rays = new PixelPoint[pixels.Count];
        for (int index = 0; index < rays.Length; index++)
        {
            Vector3D ray = lens.RayOf(pixels[index]);
            rays[index] = new PixelPoint(ray.X / ray.Z, ray.Y / ray.Z);
        }

        Vector3D mean = points.Aggregate(Vector3D.Zero, (sum, point) => sum + point) / points.Count;
        Vector3D normal = Flattest(points, mean, out double flatness);
        List<CameraPose> found = [];
        if (points.Count >= 6 && flatness > 1e-3 && FromSpace(points, mean, rays) is { } spatial)
        {
            found.Add(spatial);
        }

        // Nearly flat ground is also tried as a plane: the spatial estimate is weak there.
        if (flatness < 0.2)
        {
            found.AddRange(FromPlane(points, mean, normal, rays));
        }

        return found;
    }

    /// <summary>Normal of the plane nearest to all points, and how thick they are across it against their size.</summary>
    private static Vector3D Flattest(IReadOnlyList<Vector3D> points, Vector3D mean, out double flatness)
    {
        double[] rows = new double[3 * points.Count];
        double size = 0;
        for (int index = 0; index < points.Count; index++)
        {
            Vector3D offset = points[index] - mean;
            (rows[3 * index], rows[(3 * index) + 1], rows[(3 * index) + 2]) = (offset.X, offset.Y, offset.Z);
            size += offset.LengthSquared;
        }

        double[] normal = NullVector.Of(rows, points.Count, 3);
        Vector3D across = new(normal[0], normal[1], normal[2]);
        double thick = points.Sum(point => Math.Pow(Vector3D.Dot(across, point - mean), 2));
        flatness = size > 0 ? Math.Sqrt(thick / size) : 0;
        return across;
    }

    private static CameraPose? FromSpace(IReadOnlyList<Vector3D> points, Vector3D mean, PixelPoint[] rays)
    {
        double size = Math.Sqrt(points.Average(point => (point - mean).LengthSquared));
        double[] rows = new double[24 * points.Count];
        for (int index = 0; index < points.Count; index++)
        {
            Vector3D p = (points[index] - mean) / size;
            (double x, double y) = (rays[index].Column, rays[index].Row);
            double[] both =
            [
                p.X,
                p.Y,
                p.Z,
                1,
                0,
                0,
                0,
                0,
                -x * p.X,
                -x * p.Y,
                -x * p.Z,
                -x,
                0,
                0,
                0,
                0,
                p.X,
                p.Y,
                p.Z,
                1,
                -y * p.X,
                -y * p.Y,
                -y * p.Z,
                -y,
            ];
            both.CopyTo(rows, 24 * index);
        }

        double[] v = NullVector.Of(rows, 2 * points.Count, 12);
        Matrix3D left = new(v[0], v[1], v[2], v[4], v[5], v[6], v[8], v[9], v[10]);
        double sign = left.Determinant < 0 ? -1 : 1;
        double scale = sign * Math.Cbrt(Math.Abs(left.Determinant));
        if (!(Math.Abs(scale) > 0))
        {
            return null;
        }

        Matrix3D? turn = NearestRotation(left, scale);
        if (turn is not { } rotation)
        {
            return null;
        }

        Vector3D shift = new Vector3D(v[3], v[7], v[11]) / scale;
        return new CameraPose(mean - (rotation.Transposed() * shift * size), rotation);
    }

    private static IEnumerable<CameraPose> FromPlane(
        IReadOnlyList<Vector3D> points,
        Vector3D mean,
        Vector3D normal,
        PixelPoint[] rays
    )
    {
        Vector3D helper = Math.Abs(normal.X) < 0.6 ? new Vector3D(1, 0, 0) : new Vector3D(0, 1, 0);
        Vector3D a = Vector3D.Cross(normal, helper).Normalized();
        Vector3D b = Vector3D.Cross(normal, a);
        PixelPoint[] plane =
        [
            .. points.Select(point => new PixelPoint(Vector3D.Dot(a, point - mean), Vector3D.Dot(b, point - mean))),
        ];
        if (Homography.Estimate(plane, rays) is not { } estimate)
        {
            yield break;
        }

        Matrix3D columns = estimate.Matrix.Transposed();
        double scale = 0.5 * (columns.Row1.Length + columns.Row2.Length);

        // The plane lies in front of the camera, so the depth of its origin is positive.
        Vector3D first = columns.Row1 / scale;
        Vector3D second = columns.Row2 / scale;
        Vector3D shift = columns.Row3 / scale;
        Matrix3D turnColumns = Matrix3D.FromRows(first, second, Vector3D.Cross(first, second));
        if (NearestRotation(turnColumns.Transposed(), 1) is { } planeToCamera)
        {
            Matrix3D rotation = planeToCamera * Matrix3D.FromRows(a, b, normal);
            yield return new CameraPose(mean - (rotation.Transposed() * shift), rotation);
        }
    }

    /// <summary>The rotation nearest to a matrix: Newton's iteration to its orthogonal factor (N. J. Higham 1986, doi 10.1137/0907079).</summary>
    private static Matrix3D? NearestRotation(Matrix3D matrix, double scale)
    {
        Matrix3D x = Times(matrix, 1 / scale);
        for (int round = 0; round < 100; round++)
        {
            double determinant = x.Determinant;
            if (!(Math.Abs(determinant) > 1e-30))
            {
                return null;
            }

            Matrix3D cofactors = Matrix3D.FromRows(
                Vector3D.Cross(x.Row2, x.Row3),
                Vector3D.Cross(x.Row3, x.Row1),
                Vector3D.Cross(x.Row1, x.Row2)
            );
            Matrix3D next = Times(Plus(x, Times(cofactors, 1 / determinant)), 0.5);
            double change = (next.Row1 - x.Row1).Length + (next.Row2 - x.Row2).Length + (next.Row3 - x.Row3).Length;
            x = next;
            if (change < 1e-14)
            {
                break;
            }
        }

        return x.Determinant > 0 ? x : null;
    }

    private static Matrix3D Times(Matrix3D m, double f) => Matrix3D.FromRows(m.Row1 * f, m.Row2 * f, m.Row3 * f);

    private static Matrix3D Plus(Matrix3D m, Matrix3D n) =>
        Matrix3D.FromRows(m.Row1 + n.Row1, m.Row2 + n.Row2, m.Row3 + n.Row3);
}
