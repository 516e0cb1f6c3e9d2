using Hillrow.Numerics.Linear;

namespace Hillrow.Radiometry;

/// <summary>How much of a cloud's shade each band shows, and the sum of bands that shows it best.</summary>
internal static class ShadeWeights
{
    /// <summary>Bright clouds add to the skylight by about so much.</summary>
    private const double CloudySky = 1.3;

    /// <summary>Shade at which a band's slope is taken: half the beam.</summary>
    private const double UsualShare = 0.5;

    /// <summary>Readings that scatter less tell nothing of slopes.</summary>
    private const double LeastScatter = 0.05;

    /// <summary>What a band's own curve and offset leave besides scatter, logarithmic.</summary>
    private const double OwnSigma = 0.02;
    private const double Clip = 3;
    private const double MedianToSigma = 1.4826;
    private const int FewestDifferences = 60;

    /// <summary>Slopes by band, and weights whose sum over weight · slope is 1.</summary>
    public static (double[] Slopes, double[] Weights) Of(
        IReadOnlyList<CaptureLooks> captures,
        IReadOnlyList<BandLooks> bands
    )
    {
        double[] slopes = Told(captures, bands) ?? Reckoned(captures, bands);
        double mean = slopes.Average();
        for (int band = 0; band < slopes.Length; band++)
        {
            slopes[band] /= mean;
        }

        int count = bands.Count;
        double[] scatter = Scatter(captures, bands);
        for (int band = 0; band < count; band++)
        {
            scatter[(band * count) + band] += OwnSigma * OwnSigma;
        }

        double[] weights = [.. slopes];
        if (!DenseCholesky.Factor(scatter, count))
        {
            Array.Fill(weights, 1);
        }
        else
        {
            DenseCholesky.Solve(scatter, count, weights);
        }

        double sum = 0;
        for (int band = 0; band < count; band++)
        {
            sum += weights[band] * slopes[band];
        }

        return (slopes, [.. weights.Select(weight => weight / sum)]);
    }

    /// <summary>Slopes as the sensor's readings tell them: how each band's scatter with the mean of all. Null without.</summary>
    private static double[]? Told(IReadOnlyList<CaptureLooks> captures, IReadOnlyList<BandLooks> bands)
    {
        if (!bands.All(band => band.Course.Captures.All(moment => moment.Watched)))
        {
            return null;
        }

        double[][] logs = [.. bands.Select(band => band.LogFollow.ToArray())];
        double[] mean = [.. Enumerable.Range(0, captures.Count).Select(at => logs.Average(log => log[at]))];
        double middle = mean.Average();
        double square = mean.Sum(value => (value - middle) * (value - middle));
        return Math.Sqrt(square / captures.Count) < LeastScatter
            ? null
            : [.. logs.Select(log => log.Select((value, at) => value * (mean[at] - middle)).Sum() / square)];
    }

    private static double[] Reckoned(IReadOnlyList<CaptureLooks> captures, IReadOnlyList<BandLooks> bands)
    {
        double[] heights = [.. captures.Select(capture => capture.TowardsSun.Z).Order()];
        double sun = Math.Max(0.2, heights[heights.Length / 2]);
        return
        [
            .. bands.Select(band =>
            {
                double sky = CloudySky * IrradianceSeries.ClearDiffuseShare(band.Band.CentreNanometres);
                double share = sky / (sun + sky);
                return -Math.Log(((1 - share) * UsualShare) + share);
            }),
        ];
    }

    /// <summary>
    /// Covariance over bands of what two captures see differently from one place to the next: shade hardly changes
    /// over so short a way, leaves and soil do. Large ones are clipped.
    /// </summary>
    private static double[] Scatter(IReadOnlyList<CaptureLooks> captures, IReadOnlyList<BandLooks> bands)
    {
        int count = bands.Count;
        List<double[]> differences = Differences(captures, bands);
        double[] covariance = new double[count * count];
        if (differences.Count < FewestDifferences)
        {
            for (int band = 0; band < count; band++)
            {
                covariance[(band * count) + band] = OwnSigma * OwnSigma;
            }

            return covariance;
        }

        double[] limits =
        [
            .. Enumerable
                .Range(0, count)
                .Select(band =>
                {
                    double[] sizes = [.. differences.Select(one => Math.Abs(one[band])).Order()];
                    return Clip * MedianToSigma * sizes[sizes.Length / 2];
                }),
        ];
        foreach (double[] one in differences)
        {
            for (int row = 0; row < count; row++)
            {
                for (int column = 0; column < count; column++)
                {
                    covariance[(row * count) + column] +=
                        Math.Clamp(one[row], -limits[row], limits[row])
                        * Math.Clamp(one[column], -limits[column], limits[column])
                        / (4 * differences.Count);
                }
            }
        }

        return covariance;
    }

    private static List<double[]> Differences(IReadOnlyList<CaptureLooks> captures, IReadOnlyList<BandLooks> bands)
    {
        List<double[]> differences = [];
        for (int one = 0; one + 1 < captures.Count; one++)
        {
            Dictionary<int, OverlapLook> next = captures[one + 1].Looks.ToDictionary(look => look.Place);
            double[]? before = null;
            int last = -2;
            foreach (OverlapLook look in captures[one].Looks)
            {
                double[]? here = next.TryGetValue(look.Place, out OverlapLook? other)
                    ? [.. bands.Select(band => band.LogOf(one, look) - band.LogOf(one + 1, other))]
                    : null;
                if (here is not null && before is not null && look.Place == last + 1)
                {
                    double[] change = [.. here.Zip(before, (now, then) => now - then)];
                    if (change.All(double.IsFinite))
                    {
                        differences.Add(change);
                    }
                }

                (before, last) = (here, look.Place);
            }
        }

        return differences;
    }
}
