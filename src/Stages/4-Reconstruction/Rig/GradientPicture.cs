using System.Buffers;

namespace Hillrow.Reconstruction;

/// <summary>
/// Strength of a picture's edges, evened out over the frame: what a leaf's rim looks like in every band, be the leaf
/// darker or brighter than the soil.
/// </summary>
internal sealed class GradientPicture : IDisposable
{
    private const int EvenPixels = 24;

    private GradientPicture(int rows, int columns, int reduction, float[] strength)
    {
        (Rows, Columns, Reduction, Strength) = (rows, columns, reduction, strength);
    }

    public int Rows { get; }

    public int Columns { get; }

    /// <summary>Full-size pixels along the edge of one of ours.</summary>
    public int Reduction { get; }

    /// <summary>At least Rows × Columns, borrowed; about 1 on average everywhere.</summary>
    public float[] Strength { get; }

    public void Dispose() => ArrayPool<float>.Shared.Return(Strength);

    /// <param name="counts">Full frame.</param>
    /// <param name="rows">Of the full frame.</param>
    /// <param name="columns">Of the full frame.</param>
    /// <param name="reduction">1, 2, 4 …: means of that many pixels each way.</param>
    public static GradientPicture Of(ReadOnlySpan<ushort> counts, int rows, int columns, int reduction)
    {
        int h = rows / reduction;
        int w = columns / reduction;
        float[] picture = ArrayPool<float>.Shared.Rent(h * w);
        float[] strength = ArrayPool<float>.Shared.Rent(h * w);
        strength.AsSpan(0, h * w).Clear();
        unchecked
        {
            // Indices are bounded by the frame; sums of 16 counts fit easily.
            float share = 1f / (reduction * reduction);
            for (int row = 0; row < h; row++)
            {
                for (int column = 0; column < w; column++)
                {
                    int sum = 0;
                    for (int r = 0; r < reduction; r++)
                    {
                        int at = (((row * reduction) + r) * columns) + (column * reduction);
                        for (int c = 0; c < reduction; c++)
                        {
                            sum += counts[at + c];
                        }
                    }

                    picture[(row * w) + column] = sum * share;
                }
            }

            for (int row = 1; row < h - 1; row++)
            {
                for (int column = 1; column < w - 1; column++)
                {
                    int at = (row * w) + column;
                    float x =
                        (2 * (picture[at + 1] - picture[at - 1]))
                        + (picture[at + 1 - w] - picture[at - 1 - w])
                        + (picture[at + 1 + w] - picture[at - 1 + w]);
                    float y =
                        (2 * (picture[at + w] - picture[at - w]))
                        + (picture[at + w - 1] - picture[at - w - 1])
                        + (picture[at + w + 1] - picture[at - w + 1]);
                    strength[at] = MathF.Sqrt((x * x) + (y * y));
                }
            }
        }

        float[] around = ArrayPool<float>.Shared.Rent(h * w);
        BoxMean.Into(strength, h, w, EvenPixels, picture, around);
        for (int at = 0; at < h * w; at++)
        {
            // The root tames single glints.
            strength[at] = MathF.Sqrt(strength[at] / MathF.Max(around[at], 1e-6f));
        }

        ArrayPool<float>.Shared.Return(picture);
        ArrayPool<float>.Shared.Return(around);
        return new GradientPicture(h, w, reduction, strength);
    }
}
