using Hillrow.Numerics;

namespace Hillrow.Checks;

/// <summary>How far errors in height bend about a tilted plane.</summary>
public static class PlaneMiss
{
    /// <summary>98th percentile of the distance in height from the best plane.</summary>
    public static double Percentile98(IReadOnlyList<(Vector3D At, Vector3D Off)> errors)
    {
        double x = errors.Average(entry => entry.At.X);
        double y = errors.Average(entry => entry.At.Y);
        double z = errors.Average(entry => entry.Off.Z);
        double xx = errors.Sum(entry => (entry.At.X - x) * (entry.At.X - x));
        double yy = errors.Sum(entry => (entry.At.Y - y) * (entry.At.Y - y));
        double xy = errors.Sum(entry => (entry.At.X - x) * (entry.At.Y - y));
        double xz = errors.Sum(entry => (entry.At.X - x) * (entry.Off.Z - z));
        double yz = errors.Sum(entry => (entry.At.Y - y) * (entry.Off.Z - z));
        double determinant = (xx * yy) - (xy * xy);
        double a = ((xz * yy) - (yz * xy)) / determinant;
        double b = ((yz * xx) - (xz * xy)) / determinant;
        double[] off =
        [
            .. errors
                .Select(entry => Math.Abs(entry.Off.Z - z - (a * (entry.At.X - x)) - (b * (entry.At.Y - y))))
                .Order(),
        ];
        return off[(int)(0.98 * (off.Length - 1))];
    }
}
