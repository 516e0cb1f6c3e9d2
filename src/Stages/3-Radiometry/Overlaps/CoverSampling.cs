using Hillrow.Imaging;

namespace Hillrow.Radiometry;

/// <summary>Takes the canopy pixels and the open ground's of each look's window apart, by their own red and near infrared.</summary>
/// <remarks>
/// Bands are laid on one another at the window's middle, whole pixels: over a window they turn and stretch against each other by
/// less than one.
/// </remarks>
internal static class CoverSampling
{
    /// <summary>A class with fewer of the window's pixels is mostly its rim.</summary>
    private const double LeastShare = 0.15;

    /// <param name="looks">Receive the means; those without red or near infrared are left.</param>
    /// <param name="pictures">By band, reflectance row by row; null where the capture has none.</param>
    /// <param name="columns">Of each band's picture.</param>
    /// <param name="cover">Which bands tell the cover.</param>
    /// <param name="half">Half a window's edge, pixels; every window lies within its picture.</param>
    public static void Split(
        IEnumerable<OverlapLook> looks,
        float[]?[] pictures,
        int[] columns,
        (int Red, int Infrared) cover,
        int half
    )
    {
        if (pictures[cover.Red] is null || pictures[cover.Infrared] is null)
        {
            return;
        }

        int[] at = new int[pictures.Length];
        double[] canopy = new double[pictures.Length];
        double[] open = new double[pictures.Length];
        foreach (OverlapLook look in looks)
        {
            if (!float.IsFinite(look.Reflectance[cover.Red] + look.Reflectance[cover.Infrared]))
            {
                continue;
            }

            canopy.AsSpan().Clear();
            open.AsSpan().Clear();
            int canopyPixels = 0;
            int openPixels = 0;
            for (int row = -half; row < half; row++)
            {
                for (int band = 0; band < at.Length; band++)
                {
                    PixelPoint pixel = look.Pixels[band];
                    at[band] = (((int)pixel.Row + row) * columns[band]) + (int)pixel.Column;
                }

                for (int column = -half; column < half; column++)
                {
                    float share = CoverShare.Of(
                        pictures[cover.Red]![at[cover.Red] + column],
                        pictures[cover.Infrared]![at[cover.Infrared] + column]
                    );
                    if (share is > 0 and < 1)
                    {
                        continue;
                    }

                    double[] sums = share > 0 ? canopy : open;
                    canopyPixels += share > 0 ? 1 : 0;
                    openPixels += share > 0 ? 0 : 1;
                    for (int band = 0; band < at.Length; band++)
                    {
                        // A band that does not see the place takes no part; one saturated pixel leaves its class out.
                        sums[band] += float.IsFinite(look.Reflectance[band])
                            ? pictures[band]![at[band] + column]
                            : double.NaN;
                    }
                }
            }

            double least = LeastShare * 4 * half * half;
            look.Canopy = Means(canopy, canopyPixels, least);
            look.Open = Means(open, openPixels, least);
        }
    }

    private static float[] Means(double[] sums, int pixels, double least) =>
        [.. sums.Select(sum => pixels < least ? float.NaN : (float)(sum / pixels))];
}
