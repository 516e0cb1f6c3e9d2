using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>Gaussian smoothing, and the Laplacian of the Gaussian.</summary>
public static class GaussianFilter
{
    private const double LargestSigma = 1000;

    /// <summary>Radius that keeps all but 6e-5 of the weight: four sigma, rounded.</summary>
    public static int RadiusFor(double sigmaPixels) => (int)((4 * sigmaPixels) + 0.5);

    /// <summary>Smooths with sampled Gaussian weights that sum to 1.</summary>
    /// <param name="source">Rows × columns, row-major.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="sigmaPixels">Above 0, at most 1000.</param>
    /// <param name="border">What stands outside.</param>
    /// <param name="result">The same shape; must not overlap the source.</param>
    /// <param name="radius">Weights beyond are cut off; null: <see cref="RadiusFor"/>.</param>
    public static void Smooth<T>(
        ReadOnlySpan<T> source,
        int rows,
        int columns,
        double sigmaPixels,
        Border border,
        Span<T> result,
        int? radius = null
    )
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        T[] weights = Weights<T>(sigmaPixels, radius, derivative: 0);
        SeparableFilter.Apply(source, rows, columns, weights, weights, border, result);
    }

    /// <summary>Sum of the second derivatives of the smoothed picture, by the derivatives of the Gaussian itself.</summary>
    /// <inheritdoc cref="Smooth"/>
    public static void Laplacian<T>(
        ReadOnlySpan<T> source,
        int rows,
        int columns,
        double sigmaPixels,
        Border border,
        Span<T> result,
        int? radius = null
    )
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        T[] smooth = Weights<T>(sigmaPixels, radius, derivative: 0);
        T[] bend = Weights<T>(sigmaPixels, radius, derivative: 2);
        T[] other = new T[source.Length];
        SeparableFilter.Apply(source, rows, columns, smooth, bend, border, other);
        SeparableFilter.Apply(source, rows, columns, bend, smooth, border, result);
        for (int index = 0; index < other.Length; index++)
        {
            result[index] += other[index];
        }
    }

    private static T[] Weights<T>(double sigma, int? radius, int derivative)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        if (!(sigma is > 0 and <= LargestSigma))
        {
            throw new ArgumentOutOfRangeException(
                nameof(sigma),
                sigma,
                $"The sigma of a Gaussian must be above 0 and at most {LargestSigma} pixels."
            );
        }

        int reach = radius ?? RadiusFor(sigma);
        ArgumentOutOfRangeException.ThrowIfNegative(reach);
        double[] weights = new double[(2 * reach) + 1];
        double sum = 0;
        for (int k = -reach; k <= reach; k++)
        {
            weights[k + reach] = Math.Exp(-0.5 * k * k / (sigma * sigma));
            sum += weights[k + reach];
        }

        double variance = sigma * sigma;
        return
        [
            .. weights.Select(
                (weight, index) =>
                {
                    double k = index - reach;
                    double factor = derivative == 2 ? ((k * k / variance) - 1) / variance : 1;
                    return T.CreateTruncating(weight / sum * factor);
                }
            ),
        ];
    }
}
