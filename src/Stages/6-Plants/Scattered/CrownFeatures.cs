using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>What a cell and its surroundings look like, at several sizes: what a model of crowns is trained on.</summary>
/// <remarks>
/// Each band enters relative to the map's own vegetation, so that digital numbers serve as well as reflectance. All
/// lengths are metres on the ground; nothing depends on direction, as neither sun nor rows may stand alike elsewhere.
/// </remarks>
internal static class CrownFeatures
{
    private static readonly double[] MeanMetres = [0.6, 1.2, 2.4, 4.8];
    private static readonly double[] BlobMetres = [0.9, 1.5, 2.4, 3.6];
    private static readonly double[] SpreadMetres = [1.2, 2.4];
    private static readonly double[] RingMetres = [1.8, 3.0, 4.8];
    private const int RingPlaces = 8;

    /// <summary>Channels whose spread within a window is a feature: greenness, brightness, near infrared.</summary>
    private const int SpreadChannels = 3;

    /// <summary>Channels looked at around the cell: a crown stands apart from what surrounds it and has its shadow beside it.</summary>
    private const int RingChannels = 2;

    /// <param name="bands">"red" and "nir", "green" and "blue" when there are; rows × columns each, no NaN.</param>
    /// <param name="cellMetres">Edge of a cell.</param>
    /// <returns>One array a feature; the same features in the same order for the same bands.</returns>
    public static float[][] Of(IReadOnlyDictionary<string, float[]> bands, int rows, int columns, double cellMetres)
    {
        List<float[]> channels = Channels(bands);
        List<float[]> features = [];
        foreach (float[] channel in channels)
        {
            foreach (double metres in MeanMetres)
            {
                features.Add(Smooth(channel, rows, columns, metres / cellMetres));
            }

            foreach (double metres in BlobMetres)
            {
                features.Add(Blob(channel, rows, columns, metres / cellMetres));
            }
        }

        foreach (float[] channel in channels.Take(SpreadChannels))
        {
            foreach (double metres in SpreadMetres)
            {
                features.Add(Spread(channel, rows, columns, metres / cellMetres));
            }
        }

        foreach (float[] channel in channels.Take(RingChannels))
        {
            float[] smooth = Smooth(channel, rows, columns, MeanMetres[0] / cellMetres);
            foreach (double metres in RingMetres)
            {
                (float[] least, float[] most) = Ring(smooth, rows, columns, metres / cellMetres);
                features.Add(least);
                features.Add(most);
            }
        }

        return [.. features];
    }

    private static List<float[]> Channels(IReadOnlyDictionary<string, float[]> bands)
    {
        float[] red = bands["red"];
        float[] nir = bands["nir"];
        float[]? green = bands.GetValueOrDefault("green");
        float[]? blue = bands.GetValueOrDefault("blue");
        float[] ndvi = Ratio(nir, red);
        float threshold = ndvi.Max() > ndvi.Min() ? (float)Math.Clamp(OtsuThreshold.Of<float>(ndvi), 0, 0.5) : 0;
        float[] visible = new float[red.Length];
        for (int at = 0; at < visible.Length; at++)
        {
            visible[at] = green is null || blue is null ? red[at] : (red[at] + green[at] + blue[at]) / 3;
        }

        List<float[]> channels =
        [
            [.. ndvi.Select(value => value - threshold)],
            Relative(visible, ndvi, threshold),
            Relative(nir, ndvi, threshold),
        ];
        if (green is not null)
        {
            channels.Add(Ratio(green, red));
        }

        if (green is not null && blue is not null)
        {
            channels.Add(Ratio(blue, green));
        }

        return channels;
    }

    private static float[] Ratio(float[] high, float[] low)
    {
        float[] ratio = new float[high.Length];
        for (int at = 0; at < ratio.Length; at++)
        {
            float sum = high[at] + low[at];
            ratio[at] = sum > 1e-6f ? Math.Clamp((high[at] - low[at]) / sum, -1, 1) : 0;
        }

        return ratio;
    }

    /// <summary>Over the median of what is vegetation.</summary>
    private static float[] Relative(float[] band, float[] ndvi, float threshold)
    {
        List<float> green = [];
        for (int at = 0; at < band.Length; at++)
        {
            if (ndvi[at] > threshold)
            {
                green.Add(band[at]);
            }
        }

        green.Sort();
        float middle = green.Count == 0 ? 1 : Math.Max(1e-6f, green[green.Count / 2]);
        return [.. band.Select(value => value / middle)];
    }

    private static float[] Smooth(float[] channel, int rows, int columns, double sigma)
    {
        float[] smooth = new float[channel.Length];
        GaussianFilter.Smooth<float>(channel, rows, columns, Math.Max(0.4, sigma), Border.Nearest, smooth);
        return smooth;
    }

    private static float[] Blob(float[] channel, int rows, int columns, double sigma)
    {
        double used = Math.Max(0.7, sigma);
        float[] blob = new float[channel.Length];
        GaussianFilter.Laplacian<float>(channel, rows, columns, used, Border.Nearest, blob);
        float scale = (float)(-used * used);
        return [.. blob.Select(value => value * scale)];
    }

    private static float[] Spread(float[] channel, int rows, int columns, double sigma)
    {
        float[] mean = Smooth(channel, rows, columns, sigma);
        float[] squares = Smooth([.. channel.Select(value => value * value)], rows, columns, sigma);
        return [.. squares.Zip(mean, (square, value) => MathF.Sqrt(Math.Max(0, square - (value * value))))];
    }

    private static (float[] Least, float[] Most) Ring(float[] channel, int rows, int columns, double radius)
    {
        float[] least = new float[channel.Length];
        float[] most = new float[channel.Length];
        Array.Fill(least, float.MaxValue);
        Array.Fill(most, float.MinValue);
        for (int place = 0; place < RingPlaces; place++)
        {
            double angle = Math.Tau * place / RingPlaces;
            int down = (int)Math.Round(radius * Math.Sin(angle));
            int across = (int)Math.Round(radius * Math.Cos(angle));
            for (int row = 0; row < rows; row++)
            {
                int from = Math.Clamp(row + down, 0, rows - 1) * columns;
                int to = row * columns;
                for (int column = 0; column < columns; column++)
                {
                    float value = channel[from + Math.Clamp(column + across, 0, columns - 1)];
                    least[to + column] = Math.Min(least[to + column], value);
                    most[to + column] = Math.Max(most[to + column], value);
                }
            }
        }

        return (least, most);
    }
}
