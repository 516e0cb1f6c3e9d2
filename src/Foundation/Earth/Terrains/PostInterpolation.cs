using System.Runtime.CompilerServices;

namespace Hillrow.Earth;

/// <summary>Interpolation kernels on a row-major lattice of posts; NaN posts make NaN unless their weight is 0.</summary>
internal static class PostInterpolation
{
    /// <summary>Bilinear at fractional post coordinates inside the hull of the posts (checked by the caller).</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static double Bilinear(ReadOnlySpan<float> posts, int rows, int columns, double row, double column)
    {
        int i = Math.Min((int)row, Math.Max(rows - 2, 0));
        int j = Math.Min((int)column, Math.Max(columns - 2, 0));
        double v = row - i;
        double u = column - j;
        int at = (i * columns) + j;
        int below = v > 0 ? at + columns : at;
        int right = u > 0 ? 1 : 0;
        return Mix(posts[at], posts[at + right], posts[below], posts[below + right], u, v);
    }

    /// <summary>The bilinear form; a corner of weight 0 may be NaN.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static double Mix(double northWest, double northEast, double southWest, double southEast, double u, double v)
    {
        double north = u > 0 ? northWest + (u * (northEast - northWest)) : northWest;
        double south = u > 0 ? southWest + (u * (southEast - southWest)) : southWest;
        return v > 0 ? north + (v * (south - north)) : north;
    }

    /// <summary>Cubic convolution; needs one more post on every side (checked by the caller).</summary>
    public static double Bicubic(ReadOnlySpan<float> posts, int columns, double row, double column)
    {
        int i = (int)row;
        int j = (int)column;
        Span<double> across = stackalloc double[4];
        Span<double> down = stackalloc double[4];
        Weights(column - j, across);
        Weights(row - i, down);
        double sum = 0;
        for (int k = 0; k < 4; k++)
        {
            ReadOnlySpan<float> line = posts.Slice(((i - 1 + k) * columns) + j - 1, 4);
            sum +=
                down[k]
                * ((across[0] * line[0]) + (across[1] * line[1]) + (across[2] * line[2]) + (across[3] * line[3]));
        }

        return sum;
    }

    /// <summary>Keys' four weights at t in [0, 1) between the second and third post.</summary>
    public static void Weights(double t, Span<double> weights)
    {
        weights[0] = t * ((t * (1 - (t / 2))) - 0.5);
        weights[1] = 1 + (t * t * ((1.5 * t) - 2.5));
        weights[2] = t * (0.5 + (t * (2 - (1.5 * t))));
        weights[3] = t * t * ((t / 2) - 0.5);
    }
}
