namespace Hillrow.Estate;

/// <summary>Told how a run goes on; called from the run's own threads, never after it has ended.</summary>
public interface IRunProgress
{
    void Advanced(RunMoment moment);

    void Ended(StepReport report);
}

/// <summary>Where a run stands.</summary>
/// <param name="Doing">The step's words, in every language.</param>
/// <param name="Key">The step.</param>
/// <param name="Number">Its place among all steps, from 1.</param>
/// <param name="Count">All steps of the order.</param>
/// <param name="ShareOfStep">0 … 1.</param>
/// <param name="ShareOfRun">0 … 1, by the steps' weights.</param>
/// <param name="Left">Time left, or null while there is too little to go by.</param>
public sealed record RunMoment(
    Words Doing,
    StepKey Key,
    int Number,
    int Count,
    double ShareOfStep,
    double ShareOfRun,
    TimeSpan? Left
);

/// <summary>For callers that want no progress.</summary>
public sealed class SilentProgress : IRunProgress
{
    public void Advanced(RunMoment moment) { }

    public void Ended(StepReport report) { }
}

/// <summary>Reckons the share done and the time left of a run from the weights of its steps.</summary>
internal sealed class RunClock(IReadOnlyList<double> weights, TimeProvider time)
{
    /// <summary>Below this share of the work, a guess of the rest would jump about.</summary>
    private const double LeastShareToGuess = 0.02;

    private readonly long start = time.GetTimestamp();
    private double settledWeight;
    private double workedWeight;
    private int settledSteps;

    public TimeSpan Elapsed => time.GetElapsedTime(start);

    /// <param name="worked">False for a step that had nothing to do: it says nothing about the pace.</param>
    public void Settle(bool worked)
    {
        double weight = weights[settledSteps++];
        settledWeight += weight;
        workedWeight += worked ? weight : 0;
    }

    public (double ShareOfRun, TimeSpan? Left) At(double shareOfStep)
    {
        double current = settledSteps < weights.Count ? weights[settledSteps] * shareOfStep : 0;
        double whole = Math.Max(weights.Sum(), double.Epsilon);
        double worked = workedWeight + current;
        double rest = whole - settledWeight - current;
        TimeSpan? left =
            worked / Math.Max(worked + rest, double.Epsilon) < LeastShareToGuess ? null : Elapsed * (rest / worked);
        return (Math.Min(1, (settledWeight + current) / whole), left);
    }
}
