using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>A round bright spot of a picture.</summary>
/// <param name="Row">Of its middle, first pixel's centre at 0.5.</param>
/// <param name="Column">Likewise.</param>
/// <param name="SigmaPixels">Scale that answers most: about the radius over √2.</param>
/// <param name="Strength">Answer of the scale-normalised Laplacian, in units of the picture.</param>
internal readonly record struct BlobTop(double Row, double Column, double SigmaPixels, double Strength);

/// <summary>Tops of round spots of any size: maxima over place and scale of the normalised Laplacian of a Gaussian.</summary>
/// <remarks>
/// T. Lindeberg 1998, doi 10.1023/A:1008045108935 (scale selection). A disk of radius r answers most at σ = r / √2. Of two
/// tops nearer than <c>overlap</c> times the sum of their scales the stronger stays.
/// </remarks>
internal static class BlobTops
{
    /// <param name="picture">Rows × columns, no NaN.</param>
    /// <param name="sigmasPixels">Rising; each above 0.5.</param>
    /// <param name="threshold">Least answer.</param>
    /// <param name="overlap">Of the sum of two scales.</param>
    public static IReadOnlyList<BlobTop> Find(
        ReadOnlySpan<float> picture,
        int rows,
        int columns,
        IReadOnlyList<double> sigmasPixels,
        double threshold,
        double overlap
    )
    {
        float[][] answers = new float[sigmasPixels.Count][];
        for (int scale = 0; scale < answers.Length; scale++)
        {
            answers[scale] = Answer(picture, rows, columns, sigmasPixels[scale]);
        }

        List<BlobTop> tops = [];
        for (int scale = 0; scale < answers.Length; scale++)
        {
            float[] here = answers[scale];
            for (int at = 0; at < here.Length; at++)
            {
                if (here[at] > threshold && IsTop(answers, scale, at, rows, columns))
                {
                    tops.Add(new BlobTop((at / columns) + 0.5, (at % columns) + 0.5, sigmasPixels[scale], here[at]));
                }
            }
        }

        return Apart(tops, overlap);
    }

    private static float[] Answer(ReadOnlySpan<float> picture, int rows, int columns, double sigma)
    {
        float[] answer = new float[picture.Length];
        GaussianFilter.Laplacian(picture, rows, columns, sigma, Border.Nearest, answer);
        float scale = (float)(-sigma * sigma);
        foreach (ref float value in answer.AsSpan())
        {
            value *= scale;
        }

        return answer;
    }

    /// <summary>No neighbour in place or scale is higher; of equal ones the first counts.</summary>
    private static bool IsTop(float[][] answers, int scale, int at, int rows, int columns)
    {
        float own = answers[scale][at];
        int row = at / columns;
        int column = at % columns;
        for (int s = Math.Max(0, scale - 1); s <= Math.Min(answers.Length - 1, scale + 1); s++)
        {
            for (int r = Math.Max(0, row - 1); r <= Math.Min(rows - 1, row + 1); r++)
            {
                for (int c = Math.Max(0, column - 1); c <= Math.Min(columns - 1, column + 1); c++)
                {
                    int other = (r * columns) + c;
                    bool before = s < scale || (s == scale && other < at);
                    float value = answers[s][other];
                    if (value > own || (before && value.Equals(own)))
                    {
                        return false;
                    }
                }
            }
        }

        return true;
    }

    private static List<BlobTop> Apart(List<BlobTop> tops, double overlap)
    {
        List<BlobTop> kept = [];
        Dictionary<(int, int), List<BlobTop>> cells = [];
        double reach = tops.Count == 0 ? 1 : 2 * overlap * tops.Max(top => top.SigmaPixels);
        foreach (
            BlobTop top in tops.OrderByDescending(top => top.Strength).ThenBy(top => top.Row).ThenBy(top => top.Column)
        )
        {
            (int row, int column) = ((int)(top.Row / reach), (int)(top.Column / reach));
            bool free = true;
            for (int r = row - 1; r <= row + 1 && free; r++)
            {
                for (int c = column - 1; c <= column + 1 && free; c++)
                {
                    free = !(
                        cells.TryGetValue((r, c), out List<BlobTop>? near) && near.Exists(other => Meet(top, other))
                    );
                }
            }

            if (free)
            {
                kept.Add(top);
                if (!cells.TryGetValue((row, column), out List<BlobTop>? list))
                {
                    cells[(row, column)] = list = [];
                }

                list.Add(top);
            }
        }

        return kept;

        bool Meet(BlobTop a, BlobTop b)
        {
            double limit = overlap * (a.SigmaPixels + b.SigmaPixels);
            double x = a.Column - b.Column;
            double y = a.Row - b.Row;
            return (x * x) + (y * y) < limit * limit;
        }
    }
}
