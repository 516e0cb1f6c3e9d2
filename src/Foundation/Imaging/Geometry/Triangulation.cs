using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>A linear camera: pixel ~ Left · point + Right, our pixel convention or any other, the same for its pixels.</summary>
/// <param name="Left">The first three columns of the 3 × 4 projection matrix.</param>
/// <param name="Right">Its last column.</param>
public readonly record struct ProjectionMatrix(Matrix3D Left, Vector3D Right)
{
    public Vector3D Project(Vector3D point) => (Left * point) + Right;
}

/// <summary>A place in a picture taken by a camera of known pose.</summary>
public readonly record struct Sighting(Lens Lens, CameraPose Pose, PixelPoint Pixel);

/// <summary>Where the rays of several pictures meet.</summary>
public static class Triangulation
{
    /// <summary>Direct linear estimate from rows u P3 − P1 and v P3 − P2, without scaling them.</summary>
    /// <param name="cameras">At least 2.</param>
    /// <param name="pixels">One for each.</param>
    public static Vector3D Linear(IReadOnlyList<ProjectionMatrix> cameras, IReadOnlyList<PixelPoint> pixels)
    {
        CheckCounts(cameras.Count, pixels.Count);
        double[] rows = new double[8 * cameras.Count];
        for (int view = 0; view < cameras.Count; view++)
        {
            (Matrix3D left, Vector3D right) = (cameras[view].Left, cameras[view].Right);
            Vector3D column = (left.Row3 * pixels[view].Column) - left.Row1;
            Vector3D row = (left.Row3 * pixels[view].Row) - left.Row2;
            double[] both =
            [
                column.X,
                column.Y,
                column.Z,
                (right.Z * pixels[view].Column) - right.X,
                row.X,
                row.Y,
                row.Z,
                (right.Z * pixels[view].Row) - right.Y,
            ];
            both.CopyTo(rows, 8 * view);
        }

        double[] point = NullVector.Of(rows, 2 * cameras.Count, 4);
        return new Vector3D(point[0] / point[3], point[1] / point[3], point[2] / point[3]);
    }

    /// <summary>The point with the least sum of squared pixel distances.</summary>
    public static Vector3D LeastReprojection(IReadOnlyList<ProjectionMatrix> cameras, IReadOnlyList<PixelPoint> pixels)
    {
        Vector3D start = Linear(cameras, pixels);
        return SmallAdjustment
            .Minimise(
                start,
                3,
                2 * cameras.Count,
                (Vector3D point, Span<double> residuals, Span<double> jacobian) =>
                {
                    for (int view = 0; view < cameras.Count; view++)
                    {
                        Matrix3D left = cameras[view].Left;
                        Vector3D mapped = cameras[view].Project(point);
                        (double u, double v) = (mapped.X / mapped.Z, mapped.Y / mapped.Z);
                        residuals[2 * view] = u - pixels[view].Column;
                        residuals[(2 * view) + 1] = v - pixels[view].Row;
                        Put(jacobian, 2 * view, (left.Row1 - (left.Row3 * u)) / mapped.Z);
                        Put(jacobian, (2 * view) + 1, (left.Row2 - (left.Row3 * v)) / mapped.Z);
                    }

                    return true;
                },
                (point, step) => point + new Vector3D(step[0], step[1], step[2])
            )
            .State;
    }

    /// <summary>The point with the least sum of squared pixel distances in pictures of any lens; null when it lies behind one.</summary>
    /// <param name="sightings">At least 2, from different places.</param>
    /// <returns>Point in the local frame, metres, and the root mean square distance, pixels.</returns>
    public static (Vector3D PointLocalMetres, double RmsPixels)? LeastReprojection(IReadOnlyList<Sighting> sightings)
    {
        CheckCounts(sightings.Count, sightings.Count);

        // Start on undistorted unit-focal cameras, where the linear estimate is exact for exact rays.
        ProjectionMatrix[] cameras = new ProjectionMatrix[sightings.Count];
        PixelPoint[] places = new PixelPoint[sightings.Count];
        for (int view = 0; view < sightings.Count; view++)
        {
            CameraPose pose = sightings[view].Pose;
            Vector3D ray = sightings[view].Lens.RayOf(sightings[view].Pixel);
            cameras[view] = new ProjectionMatrix(pose.LocalToCamera, -(pose.LocalToCamera * pose.CentreLocalMetres));
            places[view] = new PixelPoint(ray.X / ray.Z, ray.Y / ray.Z);
        }

        (Vector3D best, double squares) = SmallAdjustment.Minimise(
            Linear(cameras, places),
            3,
            2 * sightings.Count,
            (Vector3D point, Span<double> residuals, Span<double> jacobian) =>
            {
                Span<double> byPoint = stackalloc double[6];
                for (int view = 0; view < sightings.Count; view++)
                {
                    Sighting sighting = sightings[view];
                    if (!sighting.Lens.TryProject(sighting.Pose.ToCamera(point), out PixelPoint pixel, byPoint, []))
                    {
                        return false;
                    }

                    Matrix3D turn = sighting.Pose.LocalToCamera.Transposed();
                    residuals[2 * view] = pixel.Column - sighting.Pixel.Column;
                    residuals[(2 * view) + 1] = pixel.Row - sighting.Pixel.Row;
                    Put(jacobian, 2 * view, turn * new Vector3D(byPoint[0], byPoint[1], byPoint[2]));
                    Put(jacobian, (2 * view) + 1, turn * new Vector3D(byPoint[3], byPoint[4], byPoint[5]));
                }

                return true;
            },
            (point, step) => point + new Vector3D(step[0], step[1], step[2])
        );
        return double.IsFinite(squares) ? (best, Math.Sqrt(squares / sightings.Count)) : null;
    }

    private static void Put(Span<double> jacobian, int row, Vector3D values) =>
        (jacobian[3 * row], jacobian[(3 * row) + 1], jacobian[(3 * row) + 2]) = (values.X, values.Y, values.Z);

    private static void CheckCounts(int cameras, int pixels)
    {
        if (cameras < 2 || cameras != pixels)
        {
            throw new ArgumentException(
                $"A point needs at least 2 cameras and a pixel in each, not {cameras} and {pixels}."
            );
        }
    }
}
