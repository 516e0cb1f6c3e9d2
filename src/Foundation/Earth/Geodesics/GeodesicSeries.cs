namespace Hillrow.Earth;

/// <summary>Series of the geodesic problems to the sixth order in ε, for one ellipsoid.</summary>
/// <remarks>
/// Source: C. F. F. Karney 2013, Algorithms for geodesics, J. Geodesy 87:43–55, eqs 17–25, DOI 10.1007/s00190-012-0578-z.
/// </remarks>
internal sealed class GeodesicSeries
{
    public const int Order = 6;

    private readonly double[] a3 = new double[Order];
    private readonly double[][] c3 = new double[Order][];

    public GeodesicSeries(double n)
    {
        a3[0] = 1;
        a3[1] = -(0.5 - (n / 2));
        a3[2] = -(0.25 + (n / 8) - (n * n * 3 / 8));
        a3[3] = -((1.0 / 16) + (n * 3 / 16) + (n * n / 16));
        a3[4] = -((3.0 / 64) + (n / 32));
        a3[5] = -3.0 / 128;
        double n2 = n * n;
        c3[0] = [];
        c3[1] =
        [
            0.25 - (n / 4),
            0.125 - (n2 / 8),
            (3.0 / 64) + (n * 3 / 64) - (n2 / 64),
            (5.0 / 128) + (n / 64),
            3.0 / 128,
        ];
        c3[2] =
        [
            (1.0 / 16) - (n * 3 / 32) + (n2 / 32),
            (3.0 / 64) - (n / 32) - (n2 * 3 / 64),
            (3.0 / 128) + (n / 128),
            5.0 / 256,
        ];
        c3[3] = [(5.0 / 192) - (n * 3 / 64) + (n2 * 5 / 192), (3.0 / 128) - (n * 5 / 192), 7.0 / 512];
        c3[4] = [(7.0 / 512) - (n * 7 / 256), 7.0 / 512];
        c3[5] = [21.0 / 2560];
    }

    /// <summary>A₁: mean ratio of distance to arc.</summary>
    public static double A1(double eps)
    {
        double squared = eps * eps;
        double t = squared * (64 + (squared * (4 + squared))) / 256;
        return 1 + ((t + eps) / (1 - eps));
    }

    /// <summary>C₁ₗ, l = 1 … 6: periodic part of distance from arc.</summary>
    public static void C1(double eps, Span<double> c)
    {
        double e2 = eps * eps;
        double power = eps;
        c[1] = power * (-16 + (e2 * (6 - e2))) / 32;
        power *= eps;
        c[2] = power * (-128 + (e2 * (64 - (9 * e2)))) / 2048;
        power *= eps;
        c[3] = power * (-16 + (9 * e2)) / 768;
        power *= eps;
        c[4] = power * (-5 + (3 * e2)) / 512;
        power *= eps;
        c[5] = -7 * power / 1280;
        power *= eps;
        c[6] = -7 * power / 2048;
    }

    /// <summary>C′₁ₗ, l = 1 … 6: periodic part of arc from distance.</summary>
    public static void C1Reverted(double eps, Span<double> c)
    {
        double e2 = eps * eps;
        double power = eps;
        c[1] = power * (768 + (e2 * (-432 + (205 * e2)))) / 1536;
        power *= eps;
        c[2] = power * (3840 + (e2 * (-4736 + (4005 * e2)))) / 12288;
        power *= eps;
        c[3] = power * (116 - (225 * e2)) / 384;
        power *= eps;
        c[4] = power * (2695 - (7173 * e2)) / 7680;
        power *= eps;
        c[5] = 3467 * power / 7680;
        power *= eps;
        c[6] = 38081 * power / 61440;
    }

    /// <summary>A₃: mean ratio of the longitude correction to arc.</summary>
    public double A3(double eps)
    {
        double sum = 0;
        for (int i = Order - 1; i >= 0; i--)
        {
            sum = (sum * eps) + a3[i];
        }

        return sum;
    }

    /// <summary>C₃ₗ, l = 1 … 5: periodic part of the longitude correction.</summary>
    public void C3(double eps, Span<double> c)
    {
        double power = 1;
        for (int l = 1; l < Order; l++)
        {
            power *= eps;
            double sum = 0;
            for (int i = c3[l].Length - 1; i >= 0; i--)
            {
                sum = (sum * eps) + c3[l][i];
            }

            c[l] = power * sum;
        }
    }

    /// <summary>Σ cₗ·sin 2lσ, l = 1 … last, by Clenshaw's recurrence.</summary>
    public static double SineSum(ReadOnlySpan<double> c, int last, double sine, double cosine)
    {
        double twice = 2 * (cosine - sine) * (cosine + sine);
        double one = 0;
        double two = 0;
        for (int l = last; l >= 1; l--)
        {
            (one, two) = ((twice * one) - two + c[l], one);
        }

        return 2 * sine * cosine * one;
    }
}
