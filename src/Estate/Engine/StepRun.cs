using Hillrow.Numerics;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>Does one step: inputs, work, files, the one transaction.</summary>
internal sealed class StepRun(
    EstateFolder estate,
    ProgramIdentity program,
    int threads,
    ContentHashes hashes,
    InputDigests digests,
    RunPlanner planner,
    SqliteConnection connection,
    IProgress<double> progress,
    CancellationToken cancellation
)
{
    /// <summary>What was thrown when the step failed; for the log only.</summary>
    public Exception? Fault { get; private set; }

    /// <returns>How it ended; null when its inputs changed meanwhile and it is to be done over.</returns>
    public (StepEnd End, IReadOnlyList<string> Reasons)? Do(RunStep step)
    {
        Fault = null;
        StepRecord? before = RunRecord.Find(connection, step.Key);
        List<ResolvedInput> inputs;
        try
        {
            inputs = digests.Resolve(step, connection, cancellation);
        }
        catch (MissingUpstreamException missing)
        {
            return RefuseForUpstream(step, before, missing);
        }
        catch (InputProblemException problem)
        {
            return (StepEnd.Blocked, [problem.Message]);
        }

        string fingerprint = Fingerprint.Of(step, program, inputs);
        if (planner.Stands(before, fingerprint, connection))
        {
            // A refusal that still stands is told again: nothing may look usable that is not.
            StepEnd end = before!.State switch
            {
                StepState.Refused => StepEnd.Refused,
                _ => StepEnd.UpToDate,
            };
            return (end, before.Reasons);
        }

        string place = $"{step.Place}/{fingerprint[..Fingerprint.FolderNameLength]}";
        string folder = Path.Combine(estate.Root, place);
        ClearPlace(step, before, place, folder);
        // A second time: it was looked at before, now it is worked on.
        progress.Report(0);
        StepResult result = Work(step, folder, inputs);
        return Commit(step, before, inputs, fingerprint, place, folder, result);
    }

    /// <summary>
    /// Makes the folder empty. When the record still names it (its files were damaged), the record goes first: what is
    /// about to be half-written must not be current.
    /// </summary>
    private void ClearPlace(RunStep step, StepRecord? before, string place, string folder)
    {
        if (before?.Place == place)
        {
            GeoPackageConnection.InTransaction(
                connection,
                () =>
                {
                    RunRecord.Remove(connection, step.Key);
                    return true;
                }
            );
        }

        RunSweep.Remove(folder);
        DurableFiles.CreateFolder(folder);
    }

    private StepResult Work(RunStep step, string folder, List<ResolvedInput> inputs)
    {
        StepContext context = new(
            estate,
            folder,
            inputs.ToDictionary(input => input.Declared.Name),
            threads,
            progress,
            cancellation
        );
        try
        {
            return Inherit(step.Work(context), inputs);
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested)
        {
            RunSweep.Remove(folder);
            throw;
        }
        catch (InputProblemException problem)
        {
            return new StepResult(StageOutcome.Refused(problem.Message));
        }
        catch (IOException fault) when (DurableFiles.IsDiskFull(fault))
        {
            RunSweep.Remove(folder);
            throw;
        }
#pragma warning disable CA1031 // The one place where any fault of a step must become a record, so that the rest goes on.
        catch (Exception fault)
#pragma warning restore CA1031
        {
            Fault = fault;
            return new StepResult(StageOutcome.Refused(fault.Message.ReplaceLineEndings(" ")));
        }
    }

    /// <summary>A degraded input makes the result degraded, for the same reasons.</summary>
    private static StepResult Inherit(StepResult result, List<ResolvedInput> inputs)
    {
        string[] inherited =
        [
            .. inputs
                .Where(input => input.Outcome.Verdict == StageVerdict.Degraded)
                .SelectMany(input => input.Outcome.Reasons)
                .Except(result.Outcome.Reasons)
                .Distinct(),
        ];
        bool touched = inputs.Exists(input => input.Outcome.Verdict == StageVerdict.Degraded);
        return touched && result.Outcome.Usable
            ? result with
            {
                Outcome = result.Outcome.With(StageOutcome.Degraded(inherited)),
            }
            : result;
    }

    private (StepEnd, IReadOnlyList<string>)? Commit(
        RunStep step,
        StepRecord? before,
        List<ResolvedInput> inputs,
        string fingerprint,
        string place,
        string folder,
        StepResult result
    )
    {
        bool usable = result.Outcome.Usable;
        List<OutputRecord> outputs = [];
        string content = "";
        if (usable)
        {
            (outputs, content) = StepOutputs.Seal(folder, hashes, cancellation);
        }
        else
        {
            RunSweep.Remove(folder);
        }

        StepRecord record = new(
            step.Key,
            fingerprint,
            StateOf(result.Outcome),
            result.Outcome.Reasons,
            usable ? place : "",
            content,
            step.Method,
            step.Source,
            step.Settings,
            program
        )
        {
            Inputs = [.. inputs.Select(input => new InputRecord(input.Declared.Name, input.What, input.Digest))],
            Outputs = outputs,
            Warnings = result.Warnings,
            Figures = result.Figures,
        };
        if (!FilesUnchanged(step, inputs))
        {
            RunSweep.Remove(folder);
            return null;
        }

        bool committed;
        try
        {
            committed = GeoPackageConnection.InTransaction(
                connection,
                () =>
                {
                    // Under the write lock nobody can change a table any more: what the step read is what there is.
                    if (!TablesUnchanged(inputs))
                    {
                        return false;
                    }

                    if (usable)
                    {
                        CommitRows(result);
                    }

                    RunRecord.Replace(connection, record);
                    return true;
                }
            );
        }
        catch (RowsFault fault)
        {
            // Rolled back: neither rows nor files of this attempt are current. Say so in a record without rows.
            Fault = fault.InnerException;
            StepResult failed = new(StageOutcome.Refused(fault.InnerException!.Message.ReplaceLineEndings(" ")));
            return Commit(step, before, inputs, fingerprint, place, folder, failed);
        }
        catch (SqliteException fault) when (fault.SqliteErrorCode == 13)
        {
            RunSweep.Remove(folder);
            throw DurableFiles.DiskFull(estate.Root, fault);
        }

        if (!committed)
        {
            RunSweep.Remove(folder);
            return null;
        }

        if (before is not null && before.Place.Length > 0 && before.Place != place)
        {
            RunSweep.Remove(Path.Combine(estate.Root, before.Place));
        }

        return (EndOf(record.State), record.Reasons);
    }

    private void CommitRows(StepResult result)
    {
        try
        {
            result.CommitRows?.Invoke(connection);
        }
        catch (Exception fault) when (fault is not SqliteException { SqliteErrorCode: 13 })
        {
            throw new RowsFault(fault);
        }
    }

    private bool FilesUnchanged(RunStep step, List<ResolvedInput> inputs)
    {
        try
        {
            List<ResolvedInput> now = digests.Resolve(step, connection, cancellation);
            return now.Zip(inputs)
                .All(pair => pair.First.Declared is TableInput || pair.First.Digest == pair.Second.Digest);
        }
        catch (InputProblemException)
        {
            return false;
        }
    }

    private bool TablesUnchanged(List<ResolvedInput> inputs) =>
        inputs.TrueForAll(input =>
            input.Declared is not TableInput table
            || InputDigests.DigestOfRows(connection, table.TableName, table.Where, table.Value) == input.Digest
        );

    private (StepEnd, IReadOnlyList<string>) RefuseForUpstream(
        RunStep step,
        StepRecord? before,
        MissingUpstreamException missing
    )
    {
        if (missing.State is not { } state)
        {
            return (StepEnd.Blocked, [$"waits for {missing.Upstream}."]);
        }

        string verb = state == StepState.Failed ? "failed" : "was refused";
        string[] reasons = [$"needs {missing.Upstream}, which {verb}: {missing.Reason}"];
        StepRecord record = new(
            step.Key,
            "",
            StepState.Refused,
            reasons,
            "",
            "",
            step.Method,
            step.Source,
            step.Settings,
            program
        );
        GeoPackageConnection.InTransaction(
            connection,
            () =>
            {
                RunRecord.Replace(connection, record);
                return true;
            }
        );
        if (before is not null && before.Place.Length > 0)
        {
            RunSweep.Remove(Path.Combine(estate.Root, before.Place));
        }

        return (StepEnd.Refused, reasons);
    }

    private StepState StateOf(StageOutcome outcome) =>
        Fault is not null
            ? StepState.Failed
            : outcome.Verdict switch
            {
                StageVerdict.Done => StepState.Done,
                StageVerdict.Degraded => StepState.Degraded,
                _ => StepState.Refused,
            };

    private static StepEnd EndOf(StepState state) =>
        state switch
        {
            StepState.Done => StepEnd.Done,
            StepState.Degraded => StepEnd.Degraded,
            StepState.Refused => StepEnd.Refused,
            _ => StepEnd.Failed,
        };
}

/// <summary>A step's own rows could not be written: the step's fault, told apart from the engine's.</summary>
internal sealed class RowsFault(Exception inner) : Exception(inner.Message, inner);
