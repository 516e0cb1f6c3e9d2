using Hillrow.Imaging;

namespace Hillrow.Reconstruction;

/// <summary>
/// Finds the middles of boards in four fields, two light and two dark: around such a middle, brightness rises and falls
/// twice on a circle, alike on a smaller and a larger one.
/// </summary>
internal static class TargetCorners
{
    private const int Samples = 16;
    private const double InnerPixels = 3;
    private const double OuterPixels = 5;

    /// <summary>Of the brightness's square on a circle; four ideal fields give 0.81.</summary>
    private const float LeastExplained = 0.6f;

    /// <summary>Cosine between the two circles' patterns.</summary>
    private const float LeastAlike = 0.9f;

    private const int ApartPixels = 6;

    /// <summary>Middles, the one of most contrast first, to a tenth of a pixel on sharp boards.</summary>
    /// <param name="counts">Rows × columns.</param>
    /// <param name="rows">Above 12.</param>
    /// <param name="columns">Above 12.</param>
    /// <param name="most">Kept.</param>
    public static IReadOnlyList<PixelPoint> Find(ReadOnlySpan<ushort> counts, int rows, int columns, int most)
    {
        float[] smooth = Smoothed(counts, rows, columns);
        Ring inner = new(InnerPixels, columns);
        Ring outer = new(OuterPixels, columns);
        int rim = (int)OuterPixels + 2;
        List<(float Contrast, int Row, int Column)> found = [];
        for (int row = rim; row < rows - rim; row++)
        {
            for (int column = rim; column < columns - rim; column++)
            {
                int at = (row * columns) + column;
                if (
                    inner.TryMeasure(smooth, at, out float c, out float s)
                    && outer.TryMeasure(smooth, at, out float c2, out float s2)
                )
                {
                    float one = MathF.Sqrt((c * c) + (s * s));
                    float other = MathF.Sqrt((c2 * c2) + (s2 * s2));
                    if ((c * c2) + (s * s2) >= LeastAlike * one * other)
                    {
                        found.Add((MathF.Min(one, other), row, column));
                    }
                }
            }
        }

        List<(int Row, int Column)> kept = [];
        foreach (
            (_, int row, int column) in found
                .OrderByDescending(entry => entry.Contrast)
                .ThenBy(entry => entry.Row)
                .ThenBy(entry => entry.Column)
        )
        {
            if (
                kept.TrueForAll(other =>
                    Math.Abs(other.Row - row) > ApartPixels || Math.Abs(other.Column - column) > ApartPixels
                )
            )
            {
                kept.Add((row, column));
                if (kept.Count == most)
                {
                    break;
                }
            }
        }

        return [.. kept.Select(place => Middle(smooth, rows, columns, place.Row, place.Column))];
    }

    /// <summary>Mean of three by three.</summary>
    private static float[] Smoothed(ReadOnlySpan<ushort> counts, int rows, int columns)
    {
        float[] smooth = new float[rows * columns];
        for (int row = 1; row < rows - 1; row++)
        {
            for (int column = 1; column < columns - 1; column++)
            {
                int at = (row * columns) + column;
                int sum = 0;
                for (int line = at - columns; line <= at + columns; line += columns)
                {
                    sum += counts[line - 1] + counts[line] + counts[line + 1];
                }

                smooth[at] = sum / 9f;
            }
        }

        return smooth;
    }

    /// <summary>
    /// The saddle, looked for again about where it was found: contrast is flat about a middle, so the first window may lie
    /// some pixels beside it, and a saddle at the rim of its window is not well told.
    /// </summary>
    private static PixelPoint Middle(float[] smooth, int rows, int columns, int row, int column)
    {
        const int MostSteps = 5;
        const int Rim = 3;
        PixelPoint at = Saddle(smooth, columns, row, column);
        for (int step = 0; step < MostSteps; step++)
        {
            int nextRow = Math.Clamp((int)Math.Floor(at.Row), Rim, rows - Rim - 1);
            int nextColumn = Math.Clamp((int)Math.Floor(at.Column), Rim, columns - Rim - 1);
            if (nextRow == row && nextColumn == column)
            {
                break;
            }

            (row, column) = (nextRow, nextColumn);
            at = Saddle(smooth, columns, row, column);
        }

        return at;
    }

    /// <summary>The saddle of the surface of second degree through five by five pixels.</summary>
    private static PixelPoint Saddle(float[] smooth, int columns, int row, int column)
    {
        double x = 0;
        double y = 0;
        double xx = 0;
        double xy = 0;
        double yy = 0;
        for (int v = -2; v <= 2; v++)
        {
            for (int u = -2; u <= 2; u++)
            {
                double value = smooth[((row + v) * columns) + column + u];
                x += u * value / 50;
                y += v * value / 50;
                xy += u * v * value / 100;

                // Σ(u² − 2)² over the window is 70; half the second derivative comes out.
                xx += ((u * u) - 2) * value / 70;
                yy += ((v * v) - 2) * value / 70;
            }
        }

        double determinant = (4 * xx * yy) - (xy * xy);
        double shiftColumn = determinant < 0 ? ((xy * y) - (2 * yy * x)) / determinant : 0;
        double shiftRow = determinant < 0 ? ((xy * x) - (2 * xx * y)) / determinant : 0;
        return new PixelPoint(column + 0.5 + Math.Clamp(shiftColumn, -2, 2), row + 0.5 + Math.Clamp(shiftRow, -2, 2));
    }

    /// <summary>A circle of samples.</summary>
    private sealed class Ring
    {
        private readonly int[] offsets = new int[Samples];
        private readonly float[] cosines = new float[Samples];
        private readonly float[] sines = new float[Samples];

        public Ring(double radius, int columns)
        {
            for (int sample = 0; sample < Samples; sample++)
            {
                double angle = sample * 2 * Math.PI / Samples;
                double u = Math.Round(radius * Math.Cos(angle));
                double v = Math.Round(radius * Math.Sin(angle));
                offsets[sample] = ((int)v * columns) + (int)u;
                double twice = 2 * Math.Atan2(v, u);
                cosines[sample] = (float)Math.Cos(twice);
                sines[sample] = (float)Math.Sin(twice);
            }
        }

        /// <summary>Parts of the wave that rises twice; false when it does not explain enough.</summary>
        public bool TryMeasure(float[] picture, int at, out float cosine, out float sine)
        {
            float sum = 0;
            float squares = 0;
            float c = 0;
            float s = 0;
            for (int sample = 0; sample < Samples; sample++)
            {
                float value = picture[at + offsets[sample]];
                sum += value;
                squares += value * value;
                c += cosines[sample] * value;
                s += sines[sample] * value;
            }

            float spread = squares - (sum * sum / Samples);
            cosine = c * 2 / Samples;
            sine = s * 2 / Samples;
            return spread > 0 && ((cosine * cosine) + (sine * sine)) * Samples / 2 >= LeastExplained * spread;
        }
    }
}
