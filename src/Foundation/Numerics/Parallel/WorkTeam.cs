namespace Hillrow.Numerics;

/// <summary>
/// A fixed team of threads that shares out numbered pieces of work. A run allocates nothing, so it can stand
/// inside an iteration; the pieces must be the same for every team size, then so is the result.
/// </summary>
/// <remarks>The calling thread takes part as worker 0. One run at a time; not re-entrant.</remarks>
public sealed class WorkTeam : IDisposable
{
    private const int SpinsBeforeSleep = 60;

    private readonly Lock gateOwner = new();
    private readonly object gate = new();
    private readonly Thread[] helpers;
    private Action<int, int>? body;
    private Exception? failure;
    private int count;
    private int next;
    private int active;
    private int generation;
    private bool stopping;

    /// <param name="threads">Threads in all, the caller's included; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">Fewer than one thread.</exception>
    public WorkTeam(int threads)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(threads, 1);
        helpers = new Thread[threads - 1];
        for (int index = 0; index < helpers.Length; index++)
        {
            int worker = index + 1;
            helpers[index] = new Thread(() => Help(worker)) { IsBackground = true, Name = $"work team {worker}" };
            helpers[index].Start();
        }
    }

    public int Threads => helpers.Length + 1;

    /// <summary>Calls <paramref name="work"/>(piece, worker) once for every piece in [0, pieces); returns when all are done.</summary>
    /// <param name="pieces">How many pieces; which worker gets which is left open.</param>
    /// <param name="work">Keep the delegate in a field to stay free of allocation.</param>
    public void Run(int pieces, Action<int, int> work)
    {
        ArgumentNullException.ThrowIfNull(work);
        if (helpers.Length == 0 || pieces <= 1)
        {
            for (int piece = 0; piece < pieces; piece++)
            {
                work(piece, 0);
            }

            return;
        }

        lock (gateOwner)
        {
            lock (gate)
            {
                WaitUntilIdle();
                body = work;
                count = pieces;
                next = 0;
                failure = null;
                Volatile.Write(ref generation, unchecked(generation + 1));
                Monitor.PulseAll(gate);
            }

            TakePieces(0);
            Exception? thrown;
            lock (gate)
            {
                WaitUntilIdle();
                body = null;
                thrown = failure;
            }

            if (thrown is not null)
            {
                throw new InvalidOperationException("A piece of parallel work failed: " + thrown.Message, thrown);
            }
        }
    }

    public void Dispose()
    {
        lock (gate)
        {
            stopping = true;
            Monitor.PulseAll(gate);
        }

        foreach (Thread helper in helpers)
        {
            helper.Join();
        }
    }

    private void WaitUntilIdle()
    {
        while (active > 0)
        {
            Monitor.Wait(gate);
        }
    }

    private void Help(int worker)
    {
        int seen = 0;
        while (true)
        {
            // A short spin catches the next run of the same iteration without a trip through the scheduler.
            SpinWait spin = default;
            while (Volatile.Read(ref generation) == seen && spin.Count < SpinsBeforeSleep)
            {
                spin.SpinOnce(sleep1Threshold: -1);
            }

            lock (gate)
            {
                while (generation == seen && !stopping)
                {
                    Monitor.Wait(gate);
                }

                if (stopping)
                {
                    return;
                }

                seen = generation;
                active++;
            }

            TakePieces(worker);
            lock (gate)
            {
                active--;
                Monitor.PulseAll(gate);
            }
        }
    }

    private void TakePieces(int worker)
    {
        Action<int, int>? work = body;
        if (work is null)
        {
            return;
        }

        while (true)
        {
            int piece = Interlocked.Increment(ref next) - 1;
            if (piece >= count)
            {
                return;
            }

            try
            {
                work(piece, worker);
            }
            catch (Exception thrown) when (KeepFirst(thrown))
            {
                Interlocked.Exchange(ref next, count);
            }
        }
    }

    private bool KeepFirst(Exception thrown)
    {
        Interlocked.CompareExchange(ref failure, thrown, null);
        return true;
    }
}
