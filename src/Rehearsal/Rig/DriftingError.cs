using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>An error that wanders: first-order Gauss–Markov, correlated over a time constant.</summary>
public sealed class DriftingError
{
    private readonly double sigma;
    private readonly double seconds;
    private readonly SplittableRandom draw;

    /// <param name="sigma">Standard deviation in the long run; the unit is the caller's.</param>
    /// <param name="correlationSeconds">After this time the correlation is 1/e.</param>
    public DriftingError(double sigma, double correlationSeconds, SplittableRandom draw)
    {
        ArgumentNullException.ThrowIfNull(draw);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(correlationSeconds);
        this.sigma = sigma;
        seconds = correlationSeconds;
        this.draw = draw;
        Value = sigma * draw.NextGaussian();
    }

    public double Value { get; private set; }

    /// <summary>Moves on in time and gives the new value.</summary>
    public double After(double stepSeconds)
    {
        double keep = Math.Exp(-Math.Max(0, stepSeconds) / seconds);
        Value = (keep * Value) + (sigma * Math.Sqrt(1 - (keep * keep)) * draw.NextGaussian());
        return Value;
    }
}
