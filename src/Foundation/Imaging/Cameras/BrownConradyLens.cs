using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>The numbers of a Brown–Conrady lens.</summary>
/// <param name="FocalColumnsPixels">Focal length in columns (f / pixel width), above 0.</param>
/// <param name="FocalRowsPixels">Focal length in rows (f / pixel height), above 0.</param>
/// <param name="PrincipalPoint">Our pixel convention: the first pixel's outer corner is (0, 0).</param>
/// <param name="K1">Radial, r².</param>
/// <param name="K2">Radial, r⁴.</param>
/// <param name="P1">Tangential, towards rows.</param>
/// <param name="P2">Tangential, towards columns.</param>
/// <param name="K3">Radial, r⁶.</param>
public readonly record struct BrownConradyValues(
    double FocalColumnsPixels,
    double FocalRowsPixels,
    PixelPoint PrincipalPoint,
    double K1 = 0,
    double K2 = 0,
    double P1 = 0,
    double P2 = 0,
    double K3 = 0
);

/// <summary>A central-perspective lens with radial and tangential distortion.</summary>
/// <remarks>
/// x' = x(1 + k1 r² + k2 r⁴ + k3 r⁶) + 2 p1 x y + p2 (r² + 2x²), y' likewise with p1 (r² + 2y²) + 2 p2 x y,
/// where (x, y) = (X/Z, Y/Z). Source: D. C. Brown 1966, Photogrammetric Engineering 32(3):444 and A. E. Conrady
/// 1919, doi 10.1093/mnras/79.5.384, in the sign and order convention of tests/Reference/camera-geometry/projection.json.
/// The inverse is a Newton iteration to better than 1e-9 pixel.
/// </remarks>
public sealed class BrownConradyLens : Lens
{
    private const double SmallestDepth = 1e-12;

    private static readonly string[] Names =
    [
        "focalColumnsPixels",
        "focalRowsPixels",
        "principalColumn",
        "principalRow",
        "k1",
        "k2",
        "p1",
        "p2",
        "k3",
    ];

    private readonly double fx;
    private readonly double fy;
    private readonly double cx;
    private readonly double cy;
    private readonly double k1;
    private readonly double k2;
    private readonly double k3;
    private readonly double p1;
    private readonly double p2;
    private readonly double radiusSquaredLimit;

    /// <exception cref="ArgumentException">A value is not finite, a focal length is not above 0, or the model folds inside the frame.</exception>
    public BrownConradyLens(int rows, int columns, BrownConradyValues values)
        : base(rows, columns)
    {
        Values = values;
        (fx, fy, cx, cy) = (
            values.FocalColumnsPixels,
            values.FocalRowsPixels,
            values.PrincipalPoint.Column,
            values.PrincipalPoint.Row
        );
        (k1, k2, p1, p2, k3) = (values.K1, values.K2, values.P1, values.P2, values.K3);
        Parameters = [fx, fy, cx, cy, k1, k2, p1, p2, k3];
        for (int index = 0; index < Names.Length; index++)
        {
            if (!double.IsFinite(Parameters[index]))
            {
                throw new ArgumentException($"Lens value {Names[index]} is not a finite number.", nameof(values));
            }
        }

        if (fx <= 0 || fy <= 0)
        {
            throw new ArgumentException($"Focal lengths must be above 0 pixels, not {fx} and {fy}.", nameof(values));
        }

        radiusSquaredLimit = RadialDistortion.MonotoneRadiusSquared(k1, k2, k3);
        RefuseFoldInsideFrame();
    }

    public BrownConradyValues Values { get; }

    public override IReadOnlyList<double> Parameters { get; }

    public override IReadOnlyList<string> ParameterNames => Names;

    /// <summary>Largest tan(angle off the axis) that the radial polynomial maps one-to-one; infinite without distortion.</summary>
    public double MonotoneRadius => Math.Sqrt(radiusSquaredLimit);

    public override Lens WithParameters(ReadOnlySpan<double> parameters)
    {
        if (parameters.Length != Names.Length)
        {
            throw new ArgumentException(
                $"{Names.Length} values wanted, {parameters.Length} given.",
                nameof(parameters)
            );
        }

        return new BrownConradyLens(
            Rows,
            Columns,
            new BrownConradyValues(
                parameters[0],
                parameters[1],
                new PixelPoint(parameters[2], parameters[3]),
                parameters[4],
                parameters[5],
                parameters[6],
                parameters[7],
                parameters[8]
            )
        );
    }

    public override bool TryProject(Vector3D inCamera, out PixelPoint pixel)
    {
        double x = inCamera.X / inCamera.Z;
        double y = inCamera.Y / inCamera.Z;
        double r2 = (x * x) + (y * y);
        if (!(inCamera.Z > SmallestDepth && r2 < radiusSquaredLimit))
        {
            pixel = default;
            return false;
        }

        double radial = 1 + (r2 * (k1 + (r2 * (k2 + (r2 * k3)))));
        double distortedX = (x * radial) + (2 * p1 * x * y) + (p2 * (r2 + (2 * x * x)));
        double distortedY = (y * radial) + (p1 * (r2 + (2 * y * y))) + (2 * p2 * x * y);
        pixel = new PixelPoint((fx * distortedX) + cx, (fy * distortedY) + cy);
        return true;
    }

    public override bool TryProject(
        Vector3D inCamera,
        out PixelPoint pixel,
        Span<double> byPoint,
        Span<double> byParameters
    )
    {
        if (!TryProject(inCamera, out pixel))
        {
            return false;
        }

        double inverseDepth = 1 / inCamera.Z;
        double x = inCamera.X * inverseDepth;
        double y = inCamera.Y * inverseDepth;
        double r2 = (x * x) + (y * y);
        Jacobian(x, y, out double xx, out double xy, out double yy);
        (double cX, double cY, double rX, double rY) = (fx * xx, fx * xy, fy * xy, fy * yy);
        byPoint[0] = cX * inverseDepth;
        byPoint[1] = cY * inverseDepth;
        byPoint[2] = -((cX * x) + (cY * y)) * inverseDepth;
        byPoint[3] = rX * inverseDepth;
        byPoint[4] = rY * inverseDepth;
        byPoint[5] = -((rX * x) + (rY * y)) * inverseDepth;
        if (byParameters.IsEmpty)
        {
            return true;
        }

        Span<double> column = byParameters[..Names.Length];
        Span<double> row = byParameters.Slice(Names.Length, Names.Length);
        double r4 = r2 * r2;
        (column[0], row[0]) = ((pixel.Column - cx) / fx, 0);
        (column[1], row[1]) = (0, (pixel.Row - cy) / fy);
        (column[2], row[2]) = (1, 0);
        (column[3], row[3]) = (0, 1);
        (column[4], row[4]) = (fx * x * r2, fy * y * r2);
        (column[5], row[5]) = (fx * x * r4, fy * y * r4);
        (column[6], row[6]) = (2 * fx * x * y, fy * (r2 + (2 * y * y)));
        (column[7], row[7]) = (fx * (r2 + (2 * x * x)), 2 * fy * x * y);
        (column[8], row[8]) = (fx * x * r4 * r2, fy * y * r4 * r2);
        return true;
    }

    public override bool TryRayOf(PixelPoint pixel, out Vector3D ray)
    {
        if (!TryUndistort(pixel, out double x, out double y))
        {
            ray = default;
            return false;
        }

        double scale = 1 / Math.Sqrt(1 + (x * x) + (y * y));
        ray = new Vector3D(x * scale, y * scale, scale);
        return true;
    }

    /// <summary>The undistorted image coordinates (X/Z, Y/Z) of a pixel.</summary>
    public bool TryUndistort(PixelPoint pixel, out double x, out double y)
    {
        double wantedX = (pixel.Column - cx) / fx;
        double wantedY = (pixel.Row - cy) / fy;
        double distortedRadius = Math.Sqrt((wantedX * wantedX) + (wantedY * wantedY));

        // Start on the exact radial solution: the small tangential part is then a step or two of Newton away.
        if (!RadialDistortion.TryInvert(distortedRadius, k1, k2, k3, radiusSquaredLimit, out double radius))
        {
            radius = Math.Min(distortedRadius, Math.Sqrt(radiusSquaredLimit));
        }

        double start = distortedRadius > 0 ? radius / distortedRadius : 1;
        (x, y) = (wantedX * start, wantedY * start);
        for (int step = 0; step < 50; step++)
        {
            double r2 = (x * x) + (y * y);
            double radial = 1 + (r2 * (k1 + (r2 * (k2 + (r2 * k3)))));
            double offX = (x * radial) + (2 * p1 * x * y) + (p2 * (r2 + (2 * x * x))) - wantedX;
            double offY = (y * radial) + (p1 * (r2 + (2 * y * y))) + (2 * p2 * x * y) - wantedY;
            if (Math.Abs(offX) * fx < 1e-11 && Math.Abs(offY) * fy < 1e-11)
            {
                return r2 < radiusSquaredLimit;
            }

            Jacobian(x, y, out double xx, out double xy, out double yy);
            double determinant = (xx * yy) - (xy * xy);
            if (!(determinant > 1e-12))
            {
                return false;
            }

            x -= ((yy * offX) - (xy * offY)) / determinant;
            y -= ((xx * offY) - (xy * offX)) / determinant;
        }

        // Far outside the frame rounding can stop just above the strict bound; accept what is good to 1e-9 pixel.
        return TryProject(new Vector3D(x, y, 1), out PixelPoint back)
            && Math.Abs(back.Column - pixel.Column) < 1e-9
            && Math.Abs(back.Row - pixel.Row) < 1e-9;
    }

    /// <summary>Derivatives of the distorted coordinates; symmetric, so ∂x'/∂y = ∂y'/∂x.</summary>
    private void Jacobian(double x, double y, out double xx, out double xy, out double yy)
    {
        double r2 = (x * x) + (y * y);
        double radial = 1 + (r2 * (k1 + (r2 * (k2 + (r2 * k3)))));
        double slope = 2 * (k1 + (r2 * ((2 * k2) + (3 * k3 * r2))));
        xx = radial + (slope * x * x) + (2 * p1 * y) + (6 * p2 * x);
        xy = (slope * x * y) + (2 * p1 * x) + (2 * p2 * y);
        yy = radial + (slope * y * y) + (6 * p1 * y) + (2 * p2 * x);
    }

    private void RefuseFoldInsideFrame()
    {
        foreach (
            PixelPoint corner in (ReadOnlySpan<PixelPoint>)
                [new(0, 0), new(Columns, 0), new(0, Rows), new(Columns, Rows)]
        )
        {
            if (!TryUndistort(corner, out _, out _))
            {
                throw new ArgumentException(
                    $"The distortion (k1 {k1}, k2 {k2}, k3 {k3}, p1 {p1}, p2 {p2}) folds the picture inside its frame, near column {corner.Column}, row {corner.Row}."
                );
            }
        }
    }
}
