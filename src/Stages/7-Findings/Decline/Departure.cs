using Hillrow.Numerics;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Findings;

/// <summary>How far each plant of a block stands below its peers, all measures joined.</summary>
/// <param name="Values">Standard deviations, negative is worse; NaN when a plant has too few measures.</param>
/// <param name="Sigmas">What the measures' own errors make of it.</param>
/// <param name="Slow">The slow surface of the leaf-green measure, for zones; NaN where none.</param>
/// <param name="Measures">Measures that took part.</param>
internal sealed record Departure(double[] Values, double[] Sigmas, double[] Slow, IReadOnlyList<VigourMeasure> Measures)
{
    /// <summary>How much each measure says about decline; the same for all crops until scouting answers teach better.</summary>
    private static readonly Dictionary<VigourMeasure, double> Weights = new()
    {
        [VigourMeasure.Ndre] = 0.35,
        [VigourMeasure.Ndvi] = 0.25,
        [VigourMeasure.LogCrownArea] = 0.20,
        [VigourMeasure.FoliageDensity] = 0.20,
    };

    public static Departure Of(IReadOnlyList<ObservedPlant> peers, FindingsSettings settings)
    {
        double[] east = [.. peers.Select(plant => plant.Place.EastingMetres)];
        double[] north = [.. peers.Select(plant => plant.Place.NorthingMetres)];
        // Young plants are in the surface's way: they are small for their age, not for their place.
        bool[] grown = [.. peers.Select(plant => !plant.IsYoung)];
        SplineGround? ground =
            grown.Count(one => one) >= settings.LeastPlantsForSurface
                ? new SplineGround(east, north, settings.SlowMetres)
                : null;
        List<(VigourMeasure Measure, double[] Scores, double[] Errors)> scored = [];
        double[] slow = [.. peers.Select(_ => double.NaN)];
        foreach (VigourMeasure measure in Enum.GetValues<VigourMeasure>())
        {
            double[] values = [.. peers.Select((plant, at) => grown[at] ? plant.Of(measure).Value : double.NaN)];
            SlowSurface surface = SlowSurface.Fit(ground, values);
            if (!(surface.Scale > 0))
            {
                continue; // not measured in this block, or all alike: it tells nothing
            }

            if (scored.Count == 0)
            {
                slow = surface.Fitted;
            }

            scored.Add(
                (
                    measure,
                    [.. surface.Residuals.Select(residual => residual / surface.Scale)],
                    [.. peers.Select(plant => plant.Of(measure).Sigma / surface.Scale)]
                )
            );
        }

        double[] joined = new double[peers.Count];
        double[] sigmas = new double[peers.Count];
        for (int plant = 0; plant < peers.Count; plant++)
        {
            (joined[plant], sigmas[plant]) = Join(scored, plant);
        }

        Standardise(joined, sigmas);
        return new Departure(joined, sigmas, slow, [.. scored.Select(entry => entry.Measure)]);
    }

    /// <summary>Weighted mean of the scores that are there; at least half of the weight must be.</summary>
    private static (double Value, double Sigma) Join(
        List<(VigourMeasure Measure, double[] Scores, double[] Errors)> scored,
        int plant
    )
    {
        double weightSum = 0;
        double allWeight = 0;
        double sum = 0;
        double variance = 0;
        foreach ((VigourMeasure measure, double[] scores, double[] errors) in scored)
        {
            double weight = Weights[measure];
            allWeight += weight;
            if (double.IsFinite(scores[plant]))
            {
                weightSum += weight;
                sum += weight * scores[plant];
                double error = double.IsFinite(errors[plant]) ? errors[plant] : 0;
                variance += weight * weight * error * error;
            }
        }

        return weightSum > 0 && weightSum >= allWeight / 2
            ? (sum / weightSum, Math.Sqrt(variance) / weightSum)
            : (double.NaN, double.NaN);
    }

    /// <summary>The joined scores are correlated, so their own healthy spread is the unit, not √Σw².</summary>
    private static void Standardise(Span<double> values, Span<double> sigmas)
    {
        List<double> finite = [];
        foreach (double value in values)
        {
            if (double.IsFinite(value))
            {
                finite.Add(value);
            }
        }

        if (finite.Count == 0)
        {
            return;
        }

        double[] sorted = [.. finite.Order()];
        double middle = Quantiles.QuantileOfSorted(sorted, 0.5);
        double upper = Quantiles.QuantileOfSorted(sorted, 0.8413) - middle;
        double scale = upper > 0 ? upper : 1;
        for (int at = 0; at < values.Length; at++)
        {
            values[at] = (values[at] - middle) / scale;
            sigmas[at] /= scale;
        }
    }
}
