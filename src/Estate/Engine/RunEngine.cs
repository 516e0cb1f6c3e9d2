using Hillrow.Numerics;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>
/// Brings an estate up to date: does the steps that are missing or stale, one after the other, and makes each one's
/// outputs current in one database transaction. Killed at any moment, the next run goes on from the last such
/// transaction and ends with the same files and rows as if nothing had happened.
/// </summary>
/// <remarks>
/// The order of writes: files into a folder named by the fingerprint, files flushed, folders flushed, then the
/// transaction (itself flushed). A folder that no record names is nobody's and is swept. See
/// docs/decisions/0020-one-commit-point.md.
/// </remarks>
/// <param name="estate">The estate.</param>
/// <param name="program">What of program and machine goes into every fingerprint.</param>
/// <param name="threads">Degree of parallelism handed to the steps; results do not depend on it.</param>
/// <param name="progress">Told how it goes.</param>
/// <param name="time">Clock for the progress and the log.</param>
public sealed class RunEngine(
    EstateFolder estate,
    ProgramIdentity program,
    int threads,
    IRunProgress progress,
    TimeProvider? time = null
)
{
    /// <summary>How often a step is done over because its inputs were changed under it.</summary>
    private const int MostAttempts = 3;

    /// <summary>Steps that worked less leave little behind.</summary>
    private static readonly TimeSpan LongWork = TimeSpan.FromSeconds(5);

    private readonly TimeProvider time = time ?? TimeProvider.System;

    /// <summary>What each step of an order would need now; changes nothing.</summary>
    public IReadOnlyList<StepPlan> Plan(IReadOnlyList<RunStep> order, CancellationToken cancellation = default)
    {
        ContentHashes hashes = new(estate.HashMemoryFile);
        using SqliteConnection connection = estate.OpenDatabase();
        return new RunPlanner(estate, program, new InputDigests(estate, hashes)).Plan(order, connection, cancellation);
    }

    /// <summary>Does what is missing or stale.</summary>
    /// <exception cref="InputProblemException">Another run is at work in the estate, or the disk is full.</exception>
    public RunSummary Run(IReadOnlyList<RunStep> order, CancellationToken cancellation = default)
    {
        RunPlanner.Check(order);
        using EstateLock held = estate.LockForRun();
        ContentHashes hashes = new(estate.HashMemoryFile);
        InputDigests digests = new(estate, hashes);
        RunPlanner planner = new(estate, program, digests);
        using SqliteConnection connection = estate.OpenDatabase();
        RunSweep.Sweep(estate, order, connection);
        RunClock clock = new([.. order.Select(step => step.Weight)], time);
        List<StepReport> reports = [];
        HashSet<StepKey> blocked = [];
        try
        {
            for (int index = 0; index < order.Count; index++)
            {
                cancellation.ThrowIfCancellationRequested();
                RunStep step = order[index];
                TimeSpan start = clock.Elapsed;
                TimeSpan worked = Environment.CpuUsage.TotalTime;
                StepProgress told = new(progress, clock, step, index + 1, order.Count);
                told.Report(0);
                StepRun one = new(estate, program, threads, hashes, digests, planner, connection, told, cancellation);
                StepKey? waitsFor = step
                    .Inputs.OfType<OutputInput>()
                    .Where(input => blocked.Contains(input.From))
                    .Select(input => (StepKey?)input.From)
                    .FirstOrDefault();
                (StepEnd end, IReadOnlyList<string> reasons) = waitsFor is { } other
                    ? (StepEnd.Blocked, [$"waits for {other}."])
                    : Attempt(one, step);
                if (end == StepEnd.Blocked)
                {
                    blocked.Add(step.Key);
                }

                clock.Settle(worked: end is not (StepEnd.UpToDate or StepEnd.Blocked));
                StepReport report = new(step.Key, step.Doing, end, reasons, clock.Elapsed - start)
                {
                    Worked = Environment.CpuUsage.TotalTime - worked,
                    PeakBytes = ProcessMemory.PeakBytes(),
                };
                if (report.Worked > LongWork)
                {
                    ProcessMemory.GiveBack();
                }

                reports.Add(report);
                RunLog.Append(estate, report, one.Fault, time.GetLocalNow());
                progress.Ended(report);
            }

            RunSweep.Sweep(estate, order, connection);
            StableNames.Refresh(estate, connection);
            return new RunSummary(reports, Cancelled: false);
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested)
        {
            return new RunSummary(reports, Cancelled: true);
        }
        catch (IOException fault) when (DurableFiles.IsDiskFull(fault))
        {
            throw DurableFiles.DiskFull(estate.Root, fault);
        }
        finally
        {
            SaveMemory(hashes);
        }
    }

    /// <summary>How an output came about; null when no record names it.</summary>
    /// <param name="output">A step ("surface", "2026-03-14/surface"), or a path of an output file or folder.</param>
    public IReadOnlyList<StepRecord> Why(string output)
    {
        using SqliteConnection connection = estate.OpenDatabase();
        return
        [
            .. Provenance
                .Matching(estate, RunRecord.All(connection), output)
                .Select(record => RunRecord.WithDetails(connection, record)),
        ];
    }

    /// <summary>Everything on record, with details, in the order it was first done.</summary>
    public IReadOnlyList<StepRecord> Records()
    {
        using SqliteConnection connection = estate.OpenDatabase();
        return [.. RunRecord.All(connection).Select(record => RunRecord.WithDetails(connection, record))];
    }

    private static (StepEnd End, IReadOnlyList<string> Reasons) Attempt(StepRun one, RunStep step)
    {
        for (int attempt = 0; attempt < MostAttempts; attempt++)
        {
            if (one.Do(step) is { } ended)
            {
                return ended;
            }
        }

        return (StepEnd.Blocked, [$"{step.Key}: its inputs keep changing. Run again when nobody edits them."]);
    }

    private static void SaveMemory(ContentHashes hashes)
    {
        try
        {
            hashes.Save();
        }
        catch (IOException)
        {
            // Only a memory that saves reading: the next run reads again.
        }
    }
}

/// <summary>Turns a step's own share into the whole run's moment.</summary>
internal sealed class StepProgress(IRunProgress progress, RunClock clock, RunStep step, int number, int count)
    : IProgress<double>
{
    public void Report(double value)
    {
        (double shareOfRun, TimeSpan? left) = clock.At(value);
        progress.Advanced(new RunMoment(step.Doing, step.Key, number, count, value, shareOfRun, left));
    }
}
