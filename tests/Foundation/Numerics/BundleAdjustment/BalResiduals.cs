using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Numerics.Tests.BundleAdjustment;

/// <summary>
/// Reprojection errors of the BAL camera: P = R·X + t, p = −(Px, Py)/Pz, u = f·(1 + k1·r² + k2·r⁴)·p, in pixels.
/// </summary>
public sealed class BalResiduals : ResidualGroup
{
    private const int Width = BalCamera.StepSize + 3;

    private readonly int[] camera;
    private readonly int[] point;
    private readonly double[] observed;

    public BalResiduals(BalProblem problem, RobustLoss loss)
        : base(problem.Camera.Length, 2, [BalCamera.StepSize], usesPoint: true, loss)
    {
        camera = problem.Camera;
        point = problem.Point;
        observed = problem.Observed;
    }

    public override int SharedBlock(int residual, int slot) => camera[residual];

    public override int Point(int residual) => point[residual];

    public override bool Evaluate(
        ReadOnlySpan<int> which,
        ParameterValues parameters,
        Span<double> residuals,
        Span<double> jacobians
    )
    {
        bool wanted = !jacobians.IsEmpty;
        for (int place = 0; place < which.Length; place++)
        {
            int index = which[place];
            ReadOnlySpan<double> c = parameters.Shared(camera[index])[..BalCamera.ValueCount];
            ReadOnlySpan<double> x = parameters.Point(point[index])[..3];
            double ax = (c[0] * x[0]) + (c[1] * x[1]) + (c[2] * x[2]);
            double ay = (c[3] * x[0]) + (c[4] * x[1]) + (c[5] * x[2]);
            double az = (c[6] * x[0]) + (c[7] * x[1]) + (c[8] * x[2]);
            double inverse = -1 / (az + c[11]);
            double px = (ax + c[9]) * inverse;
            double py = (ay + c[10]) * inverse;
            double square = (px * px) + (py * py);
            double f = c[12];
            double distortion = 1 + (square * (c[13] + (square * c[14])));
            residuals[2 * place] = (f * distortion * px) - observed[2 * index];
            residuals[(2 * place) + 1] = (f * distortion * py) - observed[(2 * index) + 1];
            if (!wanted)
            {
                continue;
            }

            // d(u, v)/d(px, py), then through p = −P/Pz.
            double slope = 2 * f * (c[13] + (2 * c[14] * square));
            double uu = (f * distortion) + (slope * px * px);
            double uv = slope * px * py;
            double vv = (f * distortion) + (slope * py * py);
            Span<double> row = jacobians.Slice(place * 2 * Width, 2 * Width);
            Row(row[..Width], uu * inverse, uv * inverse, ((uu * px) + (uv * py)) * inverse, ax, ay, az, c);
            Row(row[Width..], uv * inverse, vv * inverse, ((uv * px) + (vv * py)) * inverse, ax, ay, az, c);
            row[6] = distortion * px;
            row[7] = f * square * px;
            row[8] = f * square * square * px;
            row[Width + 6] = distortion * py;
            row[Width + 7] = f * square * py;
            row[Width + 8] = f * square * square * py;
        }

        return true;
    }

    /// <summary>One row by P (gx, gy, gz), spread to the turn (a × g), the shift (g) and the point (Rᵀ·g).</summary>
    private static void Row(
        Span<double> row,
        double gx,
        double gy,
        double gz,
        double ax,
        double ay,
        double az,
        ReadOnlySpan<double> c
    )
    {
        row[11] = (c[2] * gx) + (c[5] * gy) + (c[8] * gz);
        row[0] = (ay * gz) - (az * gy);
        row[1] = (az * gx) - (ax * gz);
        row[2] = (ax * gy) - (ay * gx);
        row[3] = gx;
        row[4] = gy;
        row[5] = gz;
        row[9] = (c[0] * gx) + (c[3] * gy) + (c[6] * gz);
        row[10] = (c[1] * gx) + (c[4] * gy) + (c[7] * gz);
    }
}
