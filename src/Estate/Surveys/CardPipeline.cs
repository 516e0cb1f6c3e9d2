using System.Collections.Concurrent;

namespace Hillrow.Estate;

/// <summary>A file that has been worked on and is still to be made lasting.</summary>
internal interface IPendingFile : IDisposable
{
    /// <summary>Flushes it and gives it its name.</summary>
    void Finish();
}

/// <summary>
/// Takes files through three steps that never wait for each other as long as there is room: read from the card, work on
/// the bytes, make the copy lasting. So the card is read without a pause while others are hashed, looked at and flushed.
/// </summary>
/// <typeparam name="T">What reading gives.</typeparam>
/// <param name="read">Reads the file of a number; two run at a time, so that the card always has a next request.</param>
/// <param name="work">Works on it; null when nothing is to be finished.</param>
/// <param name="bytesOf">Memory that a file takes from its reading to the end of the work.</param>
/// <param name="done">Called for each file when all is done; by several threads.</param>
internal sealed class CardPipeline<T>(
    Func<int, T> read,
    Func<int, T, IPendingFile?> work,
    Func<int, long> bytesOf,
    Action<int> done
)
{
    private const int Readers = 2;

    /// <summary>Waiting for the disk takes no processor; flushes that come together are done together by the file system.</summary>
    private const int Finishers = 6;

    /// <summary>Files written and not yet flushed; more would only move the waiting to the end.</summary>
    private const int MostPending = 48;

    /// <summary>Read and not yet done with: most of a second of a fast card; more would only grow cold in memory.</summary>
    private const long MostBytesAhead = 64L << 20;

    private readonly BlockingCollection<(int Number, T Content)> loaded = new(new ConcurrentQueue<(int, T)>());
    private readonly BlockingCollection<(int Number, IPendingFile File)> pending = new(
        new ConcurrentQueue<(int, IPendingFile)>(),
        MostPending
    );
    private readonly object room = new();
    private readonly SortedDictionary<int, Exception> faults = [];
    private volatile bool cardFailed;
    private long held;
    private int next = -1;

    /// <summary>Takes files 0 … count − 1 through, begun in this order.</summary>
    /// <param name="count">Files.</param>
    /// <param name="workers">Files worked on at the same time.</param>
    /// <param name="cancellation">Stops at once; what is half done is left unfinished.</param>
    /// <exception cref="Exception">The fault of the first file that had one.</exception>
    public void Run(int count, int workers, CancellationToken cancellation)
    {
        using CancellationTokenSource stop = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        using CancellationTokenRegistration wake = stop.Token.Register(Wake);
        Task reading = All(Readers, () => Read(count, stop), loaded.CompleteAdding);
        Task working = All(workers, () => Work(stop), pending.CompleteAdding);
        Task finishing = All(Finishers, () => Finish(stop), () => { });
        Task.WaitAll([reading, working, finishing], CancellationToken.None);
        while (pending.TryTake(out (int Number, IPendingFile File) left))
        {
            left.File.Dispose();
        }

        if (faults.Count > 0)
        {
            System.Runtime.ExceptionServices.ExceptionDispatchInfo.Throw(faults.First().Value);
        }

        cancellation.ThrowIfCancellationRequested();
    }

    /// <summary>Threads of their own: they mostly wait.</summary>
    private static Task All(int threads, Action body, Action after) =>
        Task.WhenAll(
                Enumerable
                    .Range(0, threads)
                    .Select(_ =>
                        Task.Factory.StartNew(
                            body,
                            CancellationToken.None,
                            TaskCreationOptions.LongRunning,
                            TaskScheduler.Default
                        )
                    )
            )
            .ContinueWith(_ => after(), TaskScheduler.Default);

    /// <summary>A card that fails is read no further, but what came over is still worked on and kept.</summary>
    private void Read(int count, CancellationTokenSource stop)
    {
        while (!cardFailed)
        {
            int at = Interlocked.Increment(ref next);
            if (at >= count || !TakeRoom(bytesOf(at), stop.Token))
            {
                return;
            }

            try
            {
                loaded.Add((at, read(at)), stop.Token);
            }
            catch (OperationCanceledException) when (stop.IsCancellationRequested)
            {
                return;
            }
            catch (Exception fault)
            {
                cardFailed = true;
                Keep(at, fault);
                return;
            }
        }
    }

    private void Work(CancellationTokenSource stop) =>
        Each(
            loaded,
            stop,
            (at, content) =>
            {
                IPendingFile? file;
                try
                {
                    file = work(at, content);
                }
                finally
                {
                    GiveRoom(bytesOf(at));
                }

                if (file is null)
                {
                    done(at);
                }
                else
                {
                    pending.Add((at, file), stop.Token);
                }
            }
        );

    private void Finish(CancellationTokenSource stop) =>
        Each(
            pending,
            stop,
            (at, file) =>
            {
                using (file)
                {
                    file.Finish();
                }

                done(at);
            }
        );

    private void Each<TItem>(
        BlockingCollection<(int Number, TItem Item)> from,
        CancellationTokenSource stop,
        Action<int, TItem> body
    )
    {
        while (true)
        {
            (int Number, TItem Item) one;
            try
            {
                if (!from.TryTake(out one, Timeout.Infinite, stop.Token))
                {
                    return;
                }
            }
            catch (OperationCanceledException)
            {
                return;
            }

            if (!Try(one.Number, stop, () => body(one.Number, one.Item)))
            {
                return;
            }
        }
    }

    /// <summary>A fault stops all; it is kept by the file's number.</summary>
    private bool Try(int at, CancellationTokenSource stop, Action body)
    {
        try
        {
            body();
            return true;
        }
        catch (OperationCanceledException) when (stop.IsCancellationRequested)
        {
            return false;
        }
        catch (Exception fault)
        {
            Keep(at, fault);
            stop.Cancel();
            return false;
        }
    }

    private void Keep(int at, Exception fault)
    {
        lock (faults)
        {
            faults.TryAdd(at, fault);
        }
    }

    private bool TakeRoom(long bytes, CancellationToken stop)
    {
        lock (room)
        {
            while (held > 0 && held + bytes > MostBytesAhead && !stop.IsCancellationRequested)
            {
                Monitor.Wait(room);
            }

            held += bytes;
            return !stop.IsCancellationRequested;
        }
    }

    private void GiveRoom(long bytes)
    {
        lock (room)
        {
            held -= bytes;
            Monitor.PulseAll(room);
        }
    }

    private void Wake()
    {
        lock (room)
        {
            Monitor.PulseAll(room);
        }
    }
}
