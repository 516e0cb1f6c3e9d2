using System.Diagnostics;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Tells progress and keeps the seconds of each step.</summary>
internal sealed class StageClock(IProgress<WorkProgress>? progress, int captures)
{
    private readonly List<StepTime> steps = [];

    public IReadOnlyList<StepTime> Steps => [.. steps];

    /// <summary>Runs a step that takes the progress from one share to another, told capture by capture.</summary>
    public T Time<T>(string what, double from, double to, Func<Action<int>, T> step)
    {
        int done = 0;
        progress?.Report(new WorkProgress(what, from));
        Stopwatch watch = Stopwatch.StartNew();
        TimeSpan before = Environment.CpuUsage.TotalTime;
        T result = step(_ =>
        {
            int count = Interlocked.Increment(ref done);
            progress?.Report(new WorkProgress(what, from + ((to - from) * count / Math.Max(1, captures))));
        });
        steps.Add(
            new StepTime(what, watch.Elapsed.TotalSeconds, (Environment.CpuUsage.TotalTime - before).TotalSeconds)
        );
        return result;
    }

    public void Time(string what, double from, double to, Action<Action<int>> step) =>
        Time(
            what,
            from,
            to,
            done =>
            {
                step(done);
                return 0;
            }
        );
}
