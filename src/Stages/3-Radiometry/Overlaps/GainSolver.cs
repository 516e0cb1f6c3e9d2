namespace Hillrow.Radiometry;

/// <summary>What the overlaps say.</summary>
/// <param name="Values">All unknowns, in the problem's order.</param>
/// <param name="LookSigma">Robust standard deviation of a look about its place, logarithmic.</param>
/// <param name="Converged">False when the last linear solution was cut off.</param>
public sealed record GainSolution(double[] Values, double LookSigma, bool Converged);

/// <summary>
/// Solves for the light of every capture from overlaps, robustly: places are eliminated, the rest is solved by conjugate
/// gradients without ever forming the normal matrix, so that cost and memory grow with the looks alone.
/// </summary>
/// <remarks>
/// Least squares reweighted by Cauchy's weights (P. W. Holland and R. E. Welsch 1977, doi 10.1080/03610927708827533, c =
/// 2.385); scale by the median absolute deviation. Method of overlap adjustment: E. Honkavaara and E. Khoramshahi 2018, doi
/// 10.3390/rs10020256. Sums run in one order: the result does not depend on threads.
/// </remarks>
public static class GainSolver
{
    private const double CauchyConstant = 2.385;
    private const double MedianToSigma = 1.4826;
    private const double SmallestLookSigma = 0.004;
    private const int Reweightings = 10;

    /// <summary>Jumps and outliers are let in from this many times their sigma, less by a share each time: no edge is lost as an outlier.</summary>
    private const double FirstWidening = 16;
    private const double WideningShare = 0.55;
    private const int MostIterations = 600;
    private const double Tolerance = 1e-7;

    /// <param name="problem">Looks and priors.</param>
    /// <param name="lookSigma">First guess of the scatter of looks, logarithmic.</param>
    /// <param name="looksPerFact">
    /// How many looks tell as much as one independent one: neighbouring looks share parallax and slope. Their weights are
    /// divided by it.
    /// </param>
    /// <param name="cancel">Stops between steps.</param>
    public static GainSolution Solve(
        GainProblem problem,
        double lookSigma = 0.05,
        double looksPerFact = 4,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(problem);
        double[] values = new double[problem.Unknowns];
        double[] weights = new double[problem.Samples.Looks];
        Array.Fill(weights, 1 / (lookSigma * lookSigma * looksPerFact));
        bool converged = true;
        double sigma = lookSigma;
        double wider = FirstWidening;
        for (int round = 0; round < Reweightings && problem.Samples.Looks > 0; round++)
        {
            cancel.ThrowIfCancellationRequested();
            converged = Step(problem, weights, PriorWeights(problem, values, wider), values);
            wider = Math.Max(1, wider * WideningShare);
            double[] residuals = Residuals(problem, weights, values);
            sigma = Math.Max(SmallestLookSigma, MedianToSigma * MedianAbsolute(residuals));
            for (int look = 0; look < weights.Length; look++)
            {
                double size = residuals[look] / (CauchyConstant * sigma * Math.Max(1, Math.Sqrt(wider)));
                weights[look] = 1 / ((1 + (size * size)) * sigma * sigma * looksPerFact);
            }
        }

        if (problem.Samples.Looks == 0)
        {
            converged = Step(problem, weights, PriorWeights(problem, values), values);
        }

        return new GainSolution(values, sigma, converged);
    }

    /// <summary>Standard error of a linear combination of the unknowns, at a solution's scatter.</summary>
    public static double SigmaOf(
        GainProblem problem,
        GainSolution solution,
        double[] combination,
        double looksPerFact = 4
    )
    {
        ArgumentNullException.ThrowIfNull(problem);
        ArgumentNullException.ThrowIfNull(solution);
        ArgumentNullException.ThrowIfNull(combination);
        double[] weights = new double[problem.Samples.Looks];
        double[] residuals = Residuals(problem, weights.Select(_ => 1.0).ToArray(), solution.Values);
        for (int look = 0; look < weights.Length; look++)
        {
            double size = residuals[look] / (CauchyConstant * solution.LookSigma);
            weights[look] = 1 / ((1 + (size * size)) * solution.LookSigma * solution.LookSigma * looksPerFact);
        }

        double[] answer = new double[problem.Unknowns];
        Conjugate(problem, weights, PriorWeights(problem, solution.Values), combination, answer);
        double variance = 0;
        for (int index = 0; index < answer.Length; index++)
        {
            variance += answer[index] * combination[index];
        }

        return Math.Sqrt(Math.Max(0, variance));
    }

    /// <summary>Each look less the weighted mean of its place, all modelled effects taken off.</summary>
    public static double[] Residuals(GainProblem problem, ReadOnlySpan<double> weights, ReadOnlySpan<double> values)
    {
        ArgumentNullException.ThrowIfNull(problem);
        GainSamples samples = problem.Samples;
        double[] residuals = new double[samples.Looks];
        for (int place = 0; place < samples.Places; place++)
        {
            (int first, int end) = (samples.StartOf(place), samples.StartOf(place + 1));
            double sum = 0;
            double total = 0;
            for (int look = first; look < end; look++)
            {
                residuals[look] = samples.LogOf(look) + Effect(problem, look, values);
                sum += weights[look] * residuals[look];
                total += weights[look];
            }

            double mean = sum / total;
            for (int look = first; look < end; look++)
            {
                residuals[look] -= mean;
            }
        }

        return residuals;
    }

    /// <summary>x(c) − Σ v · regressor: what is added to a look's logarithm to get the place's.</summary>
    private static double Effect(GainProblem problem, int look, ReadOnlySpan<double> values)
    {
        GainSamples samples = problem.Samples;
        double effect = samples
            .NodeOf(look)
            .Of(values.Slice(samples.CaptureOf(look) * problem.NodesPerCapture, problem.NodesPerCapture));
        ReadOnlySpan<float> regressors = samples.RegressorsOf(look);
        ReadOnlySpan<double> shared = values.Slice(problem.SharedStart, samples.Regressors);
        for (int index = 0; index < regressors.Length; index++)
        {
            effect -= regressors[index] * shared[index];
        }

        return effect;
    }

    private static void SpreadEffect(GainProblem problem, int look, double value, Span<double> into)
    {
        GainSamples samples = problem.Samples;
        samples
            .NodeOf(look)
            .Spread(value, into.Slice(samples.CaptureOf(look) * problem.NodesPerCapture, problem.NodesPerCapture));
        ReadOnlySpan<float> regressors = samples.RegressorsOf(look);
        Span<double> shared = into.Slice(problem.SharedStart, samples.Regressors);
        for (int index = 0; index < regressors.Length; index++)
        {
            shared[index] -= regressors[index] * value;
        }
    }

    private static bool Step(GainProblem problem, double[] weights, double[] priorWeights, double[] values)
    {
        double[] right = new double[values.Length];
        GainSamples samples = problem.Samples;
        for (int place = 0; place < samples.Places; place++)
        {
            (int first, int end) = (samples.StartOf(place), samples.StartOf(place + 1));
            double sum = 0;
            double total = 0;
            for (int look = first; look < end; look++)
            {
                sum += weights[look] * samples.LogOf(look);
                total += weights[look];
            }

            double mean = sum / total;
            for (int look = first; look < end; look++)
            {
                SpreadEffect(problem, look, -weights[look] * (samples.LogOf(look) - mean), right);
            }
        }

        for (int at = 0; at < priorWeights.Length; at++)
        {
            GainPrior prior = problem.Priors[at];
            double weight = prior.Target * priorWeights[at];
            for (int index = 0; index < prior.Unknowns.Length; index++)
            {
                right[prior.Unknowns[index]] += weight * prior.Coefficients[index];
            }
        }

        return Conjugate(problem, weights, priorWeights, right, values);
    }

    /// <summary>Normal matrix times a vector.</summary>
    private static void Multiply(
        GainProblem problem,
        double[] weights,
        double[] priorWeights,
        double[] vector,
        double[] into
    )
    {
        Array.Clear(into);
        GainSamples samples = problem.Samples;
        double[] effects = new double[64];
        for (int place = 0; place < samples.Places; place++)
        {
            (int first, int end) = (samples.StartOf(place), samples.StartOf(place + 1));
            if (effects.Length < end - first)
            {
                effects = new double[2 * (end - first)];
            }

            double sum = 0;
            double total = 0;
            for (int look = first; look < end; look++)
            {
                double effect = Effect(problem, look, vector);
                effects[look - first] = effect;
                sum += weights[look] * effect;
                total += weights[look];
            }

            double mean = sum / total;
            for (int look = first; look < end; look++)
            {
                SpreadEffect(problem, look, weights[look] * (effects[look - first] - mean), into);
            }
        }

        for (int at = 0; at < priorWeights.Length; at++)
        {
            GainPrior prior = problem.Priors[at];
            double value = 0;
            for (int index = 0; index < prior.Unknowns.Length; index++)
            {
                value += prior.Coefficients[index] * vector[prior.Unknowns[index]];
            }

            value *= priorWeights[at];
            for (int index = 0; index < prior.Unknowns.Length; index++)
            {
                into[prior.Unknowns[index]] += value * prior.Coefficients[index];
            }
        }
    }

    /// <summary>Diagonal of the normal matrix, without what elimination takes off: only to scale the steps.</summary>
    private static double[] Diagonal(GainProblem problem, double[] weights, double[] priorWeights)
    {
        double[] diagonal = new double[problem.Unknowns];
        double[] node = new double[problem.NodesPerCapture];
        GainSamples samples = problem.Samples;
        for (int look = 0; look < samples.Looks; look++)
        {
            Array.Clear(node);
            samples.NodeOf(look).Spread(1, node);
            int start = samples.CaptureOf(look) * problem.NodesPerCapture;
            for (int index = 0; index < node.Length; index++)
            {
                diagonal[start + index] += weights[look] * node[index] * node[index];
            }

            ReadOnlySpan<float> regressors = samples.RegressorsOf(look);
            for (int index = 0; index < regressors.Length; index++)
            {
                diagonal[problem.SharedStart + index] += weights[look] * (double)regressors[index] * regressors[index];
            }
        }

        for (int at = 0; at < priorWeights.Length; at++)
        {
            GainPrior prior = problem.Priors[at];
            for (int index = 0; index < prior.Unknowns.Length; index++)
            {
                double coefficient = prior.Coefficients[index];
                diagonal[prior.Unknowns[index]] += priorWeights[at] * coefficient * coefficient;
            }
        }

        for (int index = 0; index < diagonal.Length; index++)
        {
            diagonal[index] = diagonal[index] > 0 ? diagonal[index] : 1;
        }

        return diagonal;
    }

    private static double[] PriorWeights(GainProblem problem, double[] values, double wider = 1) =>
        [.. problem.Priors.Select(prior => prior.WeightAt(values, wider))];

    private static bool Conjugate(
        GainProblem problem,
        double[] weights,
        double[] priorWeights,
        double[] right,
        double[] solution
    )
    {
        double[] diagonal = Diagonal(problem, weights, priorWeights);
        double[] product = new double[right.Length];
        Multiply(problem, weights, priorWeights, solution, product);
        double[] residual = new double[right.Length];
        double[] direction = new double[right.Length];
        double old = 0;
        double goal = 0;
        for (int index = 0; index < right.Length; index++)
        {
            residual[index] = right[index] - product[index];
            direction[index] = residual[index] / diagonal[index];
            old += residual[index] * direction[index];
            goal += right[index] * right[index] / diagonal[index];
        }

        goal *= Tolerance * Tolerance;
        for (int step = 0; step < MostIterations; step++)
        {
            if (old <= goal)
            {
                return true;
            }

            Multiply(problem, weights, priorWeights, direction, product);
            double curvature = 0;
            for (int index = 0; index < right.Length; index++)
            {
                curvature += direction[index] * product[index];
            }

            double length = old / curvature;
            double now = 0;
            for (int index = 0; index < right.Length; index++)
            {
                solution[index] += length * direction[index];
                residual[index] -= length * product[index];
                now += residual[index] * residual[index] / diagonal[index];
            }

            double share = now / old;
            for (int index = 0; index < right.Length; index++)
            {
                direction[index] = (residual[index] / diagonal[index]) + (share * direction[index]);
            }

            old = now;
        }

        return false;
    }

    private static double MedianAbsolute(double[] residuals)
    {
        double[] sizes = Array.ConvertAll(residuals, Math.Abs);
        Array.Sort(sizes);
        return sizes[sizes.Length / 2];
    }
}
