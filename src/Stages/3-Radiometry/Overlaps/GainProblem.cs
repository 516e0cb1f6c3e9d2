namespace Hillrow.Radiometry;

/// <summary>Something known beforehand about the unknowns: Σ coefficient · unknown = target, give or take sigma.</summary>
/// <param name="Unknowns">Indices.</param>
/// <param name="Coefficients">As many.</param>
/// <param name="Target">Wanted value.</param>
/// <param name="Sigma">Standard error, above 0.</param>
/// <param name="MayJump">Now and then it is far off (a cloud's edge): large misses lose weight as Cauchy's law has it.</param>
public sealed record GainPrior(int[] Unknowns, double[] Coefficients, double Target, double Sigma, bool MayJump = false)
{
    /// <summary>How much it weighs when the unknowns are so.</summary>
    /// <param name="values">All unknowns.</param>
    /// <param name="wider">Sigma of those that may jump is taken so much wider: a solution is led to edges from afar.</param>
    public double WeightAt(ReadOnlySpan<double> values, double wider = 1)
    {
        if (!MayJump)
        {
            return 1 / (Sigma * Sigma);
        }

        double sigma = Sigma * wider;
        double weight = 1 / (sigma * sigma);

        double miss = -Target;
        for (int index = 0; index < Unknowns.Length; index++)
        {
            miss += Coefficients[index] * values[Unknowns[index]];
        }

        miss /= sigma;
        return weight / (1 + (miss * miss));
    }

    public static GainPrior Of(int unknown, double target, double sigma) => new([unknown], [1], target, sigma);
}

/// <summary>The unknowns of one band and what is known of them.</summary>
/// <remarks>
/// A look at place p by capture c: log reflectance found = r(p) − x(c, place in frame) + Σ v(k) · regressor(k) + noise. Unknowns in
/// this order: nodes of x by capture, shared v, further ones that only priors name. r(p) is never kept: it is eliminated.
/// </remarks>
public sealed class GainProblem(GainSamples samples, int captures, int nodesPerCapture, int further)
{
    private readonly List<GainPrior> priors = [];

    public GainSamples Samples { get; } = samples;

    public int Captures { get; } = captures;

    public int NodesPerCapture { get; } = nodesPerCapture;

    public int SharedStart => Captures * NodesPerCapture;

    public int FurtherStart => SharedStart + Samples.Regressors;

    public int Unknowns => FurtherStart + further;

    public IReadOnlyList<GainPrior> Priors => priors;

    public int NodeIndex(int capture, int node) => (capture * NodesPerCapture) + node;

    /// <exception cref="ArgumentException">An index or sigma is out of range.</exception>
    public void Add(GainPrior prior)
    {
        ArgumentNullException.ThrowIfNull(prior);
        if (
            prior.Unknowns.Length != prior.Coefficients.Length
            || prior.Unknowns.Any(index => index < 0 || index >= Unknowns)
            || !(prior.Sigma > 0)
        )
        {
            throw new ArgumentException("A prior needs known unknowns, a coefficient each, and a sigma above 0.");
        }

        priors.Add(prior);
    }

    /// <summary>The value of the light at a place of a capture's frame, as a prior on its nodes.</summary>
    public GainPrior AtPlace(
        int capture,
        NodePlace place,
        IEnumerable<(int Unknown, double Coefficient)> more,
        double target,
        double sigma
    )
    {
        double[] weights = new double[NodesPerCapture];
        place.Spread(1, weights);
        (int Unknown, double Coefficient)[] all =
        [
            .. weights.Select((weight, node) => (NodeIndex(capture, node), weight)).Where(entry => entry.weight != 0),
            .. more,
        ];
        return new GainPrior(
            [.. all.Select(entry => entry.Unknown)],
            [.. all.Select(entry => entry.Coefficient)],
            target,
            sigma
        );
    }
}
