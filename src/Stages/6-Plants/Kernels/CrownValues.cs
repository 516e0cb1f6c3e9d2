using Hillrow.Numerics.Statistics;

namespace Hillrow.Plants;

/// <summary>Statistics of bands and indices over a crown's sunlit pixels.</summary>
internal static class CrownValues
{
    // Neighbouring pixels of a map share their source pixels and leaves: about this many tell as much as one.
    private const double PixelsPerIndependentOne = 4;

    // What a map tells of a pixel is its level, common to the crown, and its own noise, which averages out: taken as about
    // halves of the variance, since no map says how they share it (own assumption, docs/decisions/0044).
    private const double CommonVariance = 0.58;

    // Of the level's variance this share moves all bands alike and cancels in an index of two of them (own assumption).
    private const double LightVariance = 0.28;

    /// <param name="bands">Band by band, the values of the sunlit pixels.</param>
    /// <param name="sigmas">Likewise their standard uncertainties; empty arrays where unknown.</param>
    /// <param name="names">Names of the bands.</param>
    public static IReadOnlyList<CrownValue> Of(
        IReadOnlyList<double[]> bands,
        IReadOnlyList<double[]> sigmas,
        IReadOnlyList<string> names
    )
    {
        List<CrownValue> values = [];
        for (int band = 0; band < bands.Count; band++)
        {
            values.Add(Summary(names[band], bands[band], Math.Sqrt(CommonVariance) * MeanOf(sigmas[band])));
        }

        int nir = IndexOf(names, "nir");
        AddIndex("NDVI", IndexOf(names, "red"));
        AddIndex("NDRE", IndexOf(names, "rededge"));
        return values;

        void AddIndex(string name, int other)
        {
            if (other < 0 || nir < 0)
            {
                return;
            }

            values.Add(Index(name, bands[nir], bands[other], sigmas[nir], sigmas[other]));
        }
    }

    /// <summary>(nir − other) / (nir + other) over some pixels, with the uncertainty that they share.</summary>
    /// <param name="name">Of the index.</param>
    /// <param name="nir">By pixel.</param>
    /// <param name="other">By pixel.</param>
    /// <param name="nirSigmas">By pixel, or empty.</param>
    /// <param name="otherSigmas">By pixel, or empty.</param>
    public static CrownValue Index(string name, double[] nir, double[] other, double[] nirSigmas, double[] otherSigmas)
    {
        double[] index = new double[nir.Length];
        double common = 0;
        for (int at = 0; at < index.Length; at++)
        {
            index[at] = (nir[at] - other[at]) / (nir[at] + other[at]);
        }

        if (nirSigmas.Length > 0 && otherSigmas.Length > 0 && index.Length > 0)
        {
            // First order: d/dn = 2 o / (n + o)², d/do = -2 n / (n + o)².
            double n = MeanOf(nir);
            double o = MeanOf(other);
            double scale = 2 / ((n + o) * (n + o));
            double fromNir = scale * o * MeanOf(nirSigmas);
            double fromOther = scale * n * MeanOf(otherSigmas);
            common =
                Math.Sqrt(CommonVariance * (1 - LightVariance))
                * Math.Sqrt((fromNir * fromNir) + (fromOther * fromOther));
        }

        return Summary(name, index, common);
    }

    public static int IndexOf(IReadOnlyList<string> names, string wanted)
    {
        for (int at = 0; at < names.Count; at++)
        {
            string bare = string.Concat(names[at].Where(char.IsLetterOrDigit));
            if (string.Equals(bare, wanted, StringComparison.OrdinalIgnoreCase))
            {
                return at;
            }
        }

        return -1;
    }

    private static CrownValue Summary(string name, double[] values, double common)
    {
        RunningMoments moments = default;
        foreach (double value in values)
        {
            if (double.IsFinite(value))
            {
                moments.Add(value);
            }
        }

        if (moments.Count == 0)
        {
            return new CrownValue(name, Measured.None, double.NaN, double.NaN);
        }

        double deviation = moments.Count > 1 ? moments.StandardDeviation : 0;
        double random = deviation * deviation * PixelsPerIndependentOne / moments.Count;
        double[] finite = [.. values.Where(double.IsFinite)];
        return new CrownValue(
            name,
            new Measured(moments.Mean, Math.Sqrt(random + (common * common))),
            Quantiles.MedianInPlace(finite),
            deviation
        );
    }

    private static double MeanOf(double[] values)
    {
        double sum = 0;
        int count = 0;
        foreach (double value in values)
        {
            if (double.IsFinite(value))
            {
                sum += value;
                count++;
            }
        }

        return count == 0 ? 0 : sum / count;
    }
}
