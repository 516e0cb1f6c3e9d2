namespace Hillrow.Reconstruction;

/// <summary>
/// Strength of a picture's edges, evened out over the frame: what a leaf's rim looks like in every band, be the leaf
/// darker or brighter than the soil.
/// </summary>
internal sealed class GradientPicture
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

    /// <summary>Rows × Columns; about 1 on average everywhere.</summary>
    public float[] Strength { get; }

    /// <param name="counts">Full frame.</param>
    /// <param name="rows">Of the full frame.</param>
    /// <param name="columns">Of the full frame.</param>
    /// <param name="reduction">1, 2, 4 …: means of that many pixels each way.</param>
    public static GradientPicture Of(ReadOnlySpan<ushort> counts, int rows, int columns, int reduction)
    {
        int h = rows / reduction;
        int w = columns / reduction;
        float[] picture = new float[h * w];
        float[] strength = new float[h * w];
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

        float[] around = BoxMean.Of(strength, h, w, EvenPixels);
        for (int at = 0; at < strength.Length; at++)
        {
            // The root tames single glints.
            strength[at] = MathF.Sqrt(strength[at] / MathF.Max(around[at], 1e-6f));
        }

        return new GradientPicture(h, w, reduction, strength);
    }
}
