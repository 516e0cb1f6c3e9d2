namespace Hillrow.Reconstruction;

/// <summary>Turns done by several threads, their results taken in order, as soon as all before are taken.</summary>
/// <param name="count">How many turns.</param>
/// <param name="take">Called with one result at a time, in the order of turns.</param>
internal sealed class OrderedTurns<T>(int count, Action<T> take)
    where T : class
{
    /// <summary>Results a thread may be ahead of the one that is waited for, so that few pile up.</summary>
    private const int MostAhead = 8;

    private readonly T?[] waiting = new T?[count];
    private readonly object gate = new();
    private int next;
    private int taken;
    private bool failed;

    /// <param name="threads">The results and their order do not depend on it.</param>
    /// <param name="prepare">Makes what one thread works with.</param>
    /// <param name="turn">Does a turn.</param>
    /// <param name="cancel">Stops between turns.</param>
    public void Run<TTool>(int threads, Func<TTool> prepare, Func<int, TTool, T> turn, CancellationToken cancel) =>
        Parallel.For(
            0,
            Math.Min(threads, count),
            new ParallelOptions { MaxDegreeOfParallelism = threads, CancellationToken = cancel },
            _ =>
            {
                TTool tool = prepare();
                try
                {
                    for (int at = Begin(); at < count; at = Begin())
                    {
                        cancel.ThrowIfCancellationRequested();
                        End(at, turn(at, tool));
                    }
                }
                catch
                {
                    lock (gate)
                    {
                        failed = true;
                        Monitor.PulseAll(gate);
                    }

                    throw;
                }
            }
        );

    /// <summary>The next turn; beyond the last when there is none left, or one has failed.</summary>
    private int Begin()
    {
        lock (gate)
        {
            while (!failed && next - taken >= MostAhead && next < count)
            {
                Monitor.Wait(gate);
            }

            return failed ? count : next++;
        }
    }

    private void End(int at, T result)
    {
        lock (gate)
        {
            waiting[at] = result;
            while (taken < count && waiting[taken] is { } ready)
            {
                take(ready);
                waiting[taken++] = null;
            }

            Monitor.PulseAll(gate);
        }
    }
}
