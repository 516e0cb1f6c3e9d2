using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>How a value between pixels is made.</summary>
public enum ResamplingMethod
{
    Nearest,

    Bilinear,

    /// <summary>Cubic convolution, a = −1/2 (R. G. Keys 1981, doi 10.1109/TASSP.1981.1163711): third-order accurate.</summary>
    Bicubic,

    /// <summary>Cubic convolution, a = −3/4: sharper, as several imaging libraries have it.</summary>
    SharpBicubic,

    /// <summary>Lanczos with three lobes, weights divided by their sum.</summary>
    Lanczos3,

    /// <summary>Mean over the area a result pixel covers; for making pictures smaller.</summary>
    Area,
}

/// <summary>Values of a picture between its pixels, and pictures of another size.</summary>
/// <remarks>Places in our pixel convention: the first pixel's centre is (0.5, 0.5). Edge pixels are repeated outside. NaN spreads.</remarks>
public static class Resampling
{
    /// <summary>One value. <see cref="ResamplingMethod.Area"/> is for whole pictures and throws here.</summary>
    public static double Sample<T>(
        ReadOnlySpan<T> source,
        int rows,
        int columns,
        PixelPoint at,
        ResamplingMethod method
    )
        where T : IFloatingPointIeee754<T>
    {
        double x = at.Column - 0.5;
        double y = at.Row - 0.5;
        if (method == ResamplingMethod.Nearest)
        {
            int row = Math.Clamp((int)Math.Floor(at.Row), 0, rows - 1);
            int column = Math.Clamp((int)Math.Floor(at.Column), 0, columns - 1);
            return double.CreateChecked(source[(row * columns) + column]);
        }

        Span<double> across = stackalloc double[6];
        Span<double> down = stackalloc double[6];
        int reach = Reach(method);
        int left = (int)Math.Floor(x) - reach + 1;
        int top = (int)Math.Floor(y) - reach + 1;
        Weights(x - Math.Floor(x), method, across);
        Weights(y - Math.Floor(y), method, down);
        double sum = 0;
        for (int i = 0; i < 2 * reach; i++)
        {
            int line = Math.Clamp(top + i, 0, rows - 1) * columns;
            double inner = 0;
            for (int j = 0; j < 2 * reach; j++)
            {
                inner += across[j] * double.CreateChecked(source[line + Math.Clamp(left + j, 0, columns - 1)]);
            }

            sum += down[i] * inner;
        }

        return sum;
    }

    /// <summary>Pixels on either side that a method looks at.</summary>
    internal static int Reach(ResamplingMethod method) =>
        method switch
        {
            ResamplingMethod.Bilinear => 1,
            ResamplingMethod.Bicubic or ResamplingMethod.SharpBicubic => 2,
            ResamplingMethod.Lanczos3 => 3,
            _ => throw new ArgumentOutOfRangeException(nameof(method), method, "This method has no point samples."),
        };

    /// <summary>Weights of the 2 × reach pixels about a place t (0 … 1) past the one before it.</summary>
    internal static void Weights(double t, ResamplingMethod method, Span<double> weights)
    {
        switch (method)
        {
            case ResamplingMethod.Bilinear:
                (weights[0], weights[1]) = (1 - t, t);
                break;
            case ResamplingMethod.Bicubic:
                Cubic(t, -0.5, weights);
                break;
            case ResamplingMethod.SharpBicubic:
                Cubic(t, -0.75, weights);
                break;
            default:
                double sum = 0;
                for (int k = 0; k < 6; k++)
                {
                    weights[k] = Lanczos(t + 2 - k);
                    sum += weights[k];
                }

                for (int k = 0; k < 6; k++)
                {
                    weights[k] /= sum;
                }

                break;
        }
    }

    private static void Cubic(double t, double a, Span<double> weights)
    {
        double Outer(double d) => a * ((d * d * d) - (5 * d * d) + (8 * d) - 4);
        double Inner(double d) => ((a + 2) * d * d * d) - ((a + 3) * d * d) + 1;
        weights[0] = Outer(1 + t);
        weights[1] = Inner(t);
        weights[2] = Inner(1 - t);
        weights[3] = Outer(2 - t);
    }

    private static double Lanczos(double distance)
    {
        double angle = Math.PI * Math.Abs(distance);
        return angle < 1e-12 ? 1
            : angle >= 3 * Math.PI ? 0
            : 3 * Math.Sin(angle) * Math.Sin(angle / 3) / (angle * angle);
    }
}
