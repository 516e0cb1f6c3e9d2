namespace Hillrow.Radiometry;

/// <summary>
/// look = place + offset(capture) + pattern(place in frame) + lean · view + error: reweighted least squares with Cauchy's
/// weights; places are eliminated, the rest solved by conjugate gradients that never form the matrix.
/// </summary>
/// <remarks>Cost and memory grow with the looks. A twin that forms and factors the matrix stands in the tests.</remarks>
internal sealed class DriftSolver
{
    private const int Leans = DriftProblem.Leans;
    private const int Rounds = 12;
    private const int MostSteps = 400;

    /// <summary>Captures whose standard error is solved for; those between take the mean of the two beside them.</summary>
    private const int SigmaSamples = 25;

    /// <summary>
    /// Neighbouring looks of a capture err alike (leaves lit alike, one pose): so many of them tell as much as one. On a rehearsed
    /// flight offsets were off by twice what four would have made of it (development seed 72).
    /// </summary>
    public const double AlikeLooks = 16;

    private readonly DriftProblem problem;
    private readonly int captures;
    private readonly int unknowns;
    private readonly double[] weights;
    private readonly double[] placeWeights;
    private readonly double[] placeMeans;
    private double lookVariance;

    public DriftSolver(DriftProblem problem)
    {
        this.problem = problem;
        captures = problem.Seconds.Count;
        unknowns = captures + ThermalDrift.Nodes + Leans;
        weights = new double[problem.Looks.Count];
        Array.Fill(weights, 1);
        placeWeights = new double[problem.Places];
        placeMeans = new double[problem.Places];
        lookVariance = 1;
    }

    public DriftSolution Solve()
    {
        double before = Scatter(Residuals(new double[unknowns]));
        double[] solution = new double[unknowns];
        double after = before;
        for (int round = 0; round < Rounds; round++)
        {
            lookVariance = Math.Max(after, DriftProblem.LeastScatterKelvin);
            lookVariance *= lookVariance;
            Array.Clear(solution);
            Conjugate(RightSide(), solution);
            double[] residuals = Residuals(solution);
            after = Scatter(residuals);
            double scale = 2.4 * Math.Max(after, DriftProblem.LeastScatterKelvin);
            for (int look = 0; look < residuals.Length; look++)
            {
                double off = residuals[look] / scale;
                weights[look] = 1 / (1 + (off * off));
            }
        }

        double[] sigmas = OffsetSigmas(out double level, out double pattern);
        return new DriftSolution(
            solution[..captures],
            sigmas,
            solution[captures..(captures + ThermalDrift.Nodes)],
            pattern,
            level,
            before,
            after
        );
    }

    /// <summary>Looks less their places' weighted means, less the model.</summary>
    private double[] Residuals(double[] at)
    {
        double[] left = new double[problem.Looks.Count];
        for (int look = 0; look < left.Length; look++)
        {
            left[look] = problem.Looks[look].Kelvin - ModelOf(problem.Looks[look], at);
        }

        TakeMeans(left);
        return left;
    }

    /// <summary>Robust standard deviation of a single look, the mean's share given back.</summary>
    private double Scatter(double[] residuals)
    {
        int[] count = new int[problem.Places];
        foreach (ThermalLook look in problem.Looks)
        {
            count[look.Place]++;
        }

        double[] sizes = new double[residuals.Length];
        for (int look = 0; look < sizes.Length; look++)
        {
            int seen = count[problem.Looks[look].Place];
            sizes[look] = Math.Abs(residuals[look]) * Math.Sqrt(seen / (seen - 1.0));
        }

        Array.Sort(sizes);
        return sizes.Length == 0 ? 0 : 1.4826 * sizes[sizes.Length / 2];
    }

    private double ModelOf(in ThermalLook look, double[] at)
    {
        Span<double> share = stackalloc double[4];
        ThermalDrift.WeightsAt(look.RowShare, look.ColumnShare, out int node, share);
        int first = captures + node;
        int lean = captures + ThermalDrift.Nodes;
        return at[look.Capture]
            + (share[0] * at[first])
            + (share[1] * at[first + 1])
            + (share[2] * at[first + ThermalDrift.NodeColumns])
            + (share[3] * at[first + ThermalDrift.NodeColumns + 1])
            + LeanOf(look, at, lean);
    }

    private static double LeanOf(in ThermalLook look, double[] at, int first)
    {
        double sum = 0;
        for (int lean = 0; lean < Leans; lean++)
        {
            sum += look.Lean(lean) * at[first + lean];
        }

        return sum;
    }

    private void AddTransposed(in ThermalLook look, double value, double[] into)
    {
        Span<double> share = stackalloc double[4];
        ThermalDrift.WeightsAt(look.RowShare, look.ColumnShare, out int node, share);
        int first = captures + node;
        int lean = captures + ThermalDrift.Nodes;
        into[look.Capture] += value;
        into[first] += share[0] * value;
        into[first + 1] += share[1] * value;
        into[first + ThermalDrift.NodeColumns] += share[2] * value;
        into[first + ThermalDrift.NodeColumns + 1] += share[3] * value;
        for (int at = 0; at < Leans; at++)
        {
            into[lean + at] += look.Lean(at) * value;
        }
    }

    private void TakeMeans(double[] values)
    {
        Array.Clear(placeWeights);
        Array.Clear(placeMeans);
        for (int look = 0; look < values.Length; look++)
        {
            int place = problem.Looks[look].Place;
            placeWeights[place] += weights[look];
            placeMeans[place] += weights[look] * values[look];
        }

        for (int look = 0; look < values.Length; look++)
        {
            int place = problem.Looks[look].Place;
            values[look] -= placeMeans[place] / placeWeights[place];
        }
    }

    private double[] RightSide()
    {
        double[] values = [.. problem.Looks.Select(look => look.Kelvin)];
        return FromLooks(values);
    }

    /// <summary>Aᵀ W (values less their places' means), over the variance of a look.</summary>
    private double[] FromLooks(double[] values)
    {
        TakeMeans(values);
        double[] result = new double[unknowns];
        double scale = 1 / (AlikeLooks * lookVariance);
        for (int look = 0; look < values.Length; look++)
        {
            AddTransposed(problem.Looks[look], scale * weights[look] * values[look], result);
        }

        return result;
    }

    private double[] Multiply(double[] at)
    {
        double[] values = new double[problem.Looks.Count];
        for (int look = 0; look < values.Length; look++)
        {
            values[look] = ModelOf(problem.Looks[look], at);
        }

        double[] result = FromLooks(values);
        AddPriors(at, result);
        return result;
    }

    /// <summary>The zero forgets itself exponentially (an Ornstein–Uhlenbeck process); nodes and leans are around 0.</summary>
    private void AddPriors(double[] at, double[] into)
    {
        double variance = problem.AccuracyKelvin * problem.AccuracyKelvin;
        into[0] += at[0] / variance;
        for (int next = 1; next < captures; next++)
        {
            double keep = Keep(next);
            double weight = 1 / (variance * (1 - (keep * keep)));
            double off = weight * (at[next] - (keep * at[next - 1]));
            into[next] += off;
            into[next - 1] -= keep * off;
        }

        for (int node = captures; node < unknowns; node++)
        {
            into[node] += at[node] * NodeWeight(node);
        }
    }

    private double Keep(int next) =>
        Math.Exp(-Math.Max(0.1, problem.Seconds[next] - problem.Seconds[next - 1]) / DriftProblem.DriftSeconds);

    private double NodeWeight(int unknown)
    {
        double sigma =
            unknown < captures + ThermalDrift.Nodes
                ? DriftProblem.PatternSigmaKelvin
                : DriftProblem.LeanSigmaKelvin(unknown - captures - ThermalDrift.Nodes);
        return 1 / (sigma * sigma);
    }

    /// <summary>Of the matrix, places' means left out: near enough to precondition by.</summary>
    private double[] Diagonal()
    {
        double[] diagonal = new double[unknowns];
        double variance = problem.AccuracyKelvin * problem.AccuracyKelvin;
        for (int capture = 0; capture < captures; capture++)
        {
            diagonal[capture] = capture == 0 ? 1 / variance : 0;
        }

        for (int next = 1; next < captures; next++)
        {
            double keep = Keep(next);
            double weight = 1 / (variance * (1 - (keep * keep)));
            diagonal[next] += weight;
            diagonal[next - 1] += keep * keep * weight;
        }

        for (int node = captures; node < unknowns; node++)
        {
            diagonal[node] = NodeWeight(node);
        }

        Span<double> share = stackalloc double[4];
        double scale = 1 / (AlikeLooks * lookVariance);
        for (int at = 0; at < problem.Looks.Count; at++)
        {
            ThermalLook look = problem.Looks[at];
            double weight = scale * weights[at];
            ThermalDrift.WeightsAt(look.RowShare, look.ColumnShare, out int node, share);
            int first = captures + node;
            diagonal[look.Capture] += weight;
            diagonal[first] += weight * share[0] * share[0];
            diagonal[first + 1] += weight * share[1] * share[1];
            diagonal[first + ThermalDrift.NodeColumns] += weight * share[2] * share[2];
            diagonal[first + ThermalDrift.NodeColumns + 1] += weight * share[3] * share[3];
            for (int lean = 0; lean < Leans; lean++)
            {
                diagonal[unknowns - Leans + lean] += weight * look.Lean(lean) * look.Lean(lean);
            }
        }

        return diagonal;
    }

    private void Conjugate(double[] right, double[] solution)
    {
        double[] diagonal = Diagonal();
        double[] residual = [.. right];
        double[] direction = [.. residual.Select((value, at) => value / diagonal[at])];
        double product = Dot(residual, direction);
        double limit = 1e-18 * Math.Max(product, 1e-300);
        for (int step = 0; step < MostSteps && product > limit; step++)
        {
            double[] image = Multiply(direction);
            double along = product / Dot(direction, image);
            for (int at = 0; at < unknowns; at++)
            {
                solution[at] += along * direction[at];
                residual[at] -= along * image[at];
            }

            double next = 0;
            for (int at = 0; at < unknowns; at++)
            {
                next += residual[at] * residual[at] / diagonal[at];
            }

            double keep = next / product;
            product = next;
            for (int at = 0; at < unknowns; at++)
            {
                direction[at] = (residual[at] / diagonal[at]) + (keep * direction[at]);
            }
        }
    }

    /// <summary>Of each offset against the flight's mean offset; of the mean; of a pattern's node, the typical one.</summary>
    private double[] OffsetSigmas(out double level, out double pattern)
    {
        double[] mean = new double[unknowns];
        Array.Fill(mean, 1.0 / captures, 0, captures);
        level = Sigma(mean);
        double[] one = new double[unknowns];
        one[captures + (ThermalDrift.Nodes / 2)] = 1;
        pattern = Sigma(one);
        int samples = Math.Min(SigmaSamples, captures);
        double[] found = new double[samples];
        double[] places = new double[samples];
        for (int sample = 0; sample < samples; sample++)
        {
            int capture = samples == 1 ? 0 : (int)((long)sample * (captures - 1) / (samples - 1));
            double[] contrast = [.. mean.Select(share => -share)];
            contrast[capture] += 1;
            places[sample] = capture;
            found[sample] = Sigma(contrast);
        }

        double[] sigmas = new double[captures];
        for (int capture = 0; capture < captures; capture++)
        {
            int next = Array.FindIndex(places, place => place >= capture);
            int last = places[next] > capture ? next - 1 : next;
            sigmas[capture] = (found[last] + found[next]) / 2;
        }

        return sigmas;
    }

    private double Sigma(double[] contrast)
    {
        double[] solved = new double[unknowns];
        Conjugate(contrast, solved);
        return Math.Sqrt(Math.Max(0, Dot(contrast, solved)));
    }

    private static double Dot(double[] a, double[] b)
    {
        double sum = 0;
        for (int at = 0; at < a.Length; at++)
        {
            sum += a[at] * b[at];
        }

        return sum;
    }
}

/// <param name="Offsets">One a capture, kelvin.</param>
/// <param name="OffsetSigmas">Against the mean offset.</param>
/// <param name="Pattern">One a node of the frame.</param>
/// <param name="PatternSigma">Of a node in the middle.</param>
/// <param name="LevelSigma">Of the mean offset.</param>
/// <param name="Before">Scatter of a look with nothing taken off.</param>
/// <param name="After">Scatter of a look about the solution.</param>
internal sealed record DriftSolution(
    double[] Offsets,
    double[] OffsetSigmas,
    double[] Pattern,
    double PatternSigma,
    double LevelSigma,
    double Before,
    double After
);
