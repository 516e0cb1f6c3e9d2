using Hillrow.Numerics;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>Decides what a step needs, by its declaration and what is on record.</summary>
internal sealed class RunPlanner(EstateFolder estate, ProgramIdentity program, InputDigests digests)
{
    /// <summary>Throws when an order cannot be run; a fault of the program, not of the user.</summary>
    public static void Check(IReadOnlyList<RunStep> order)
    {
        HashSet<StepKey> earlier = [];
        foreach (RunStep step in order)
        {
            foreach (OutputInput input in step.Inputs.OfType<OutputInput>())
            {
                if (!earlier.Contains(input.From))
                {
                    throw new ArgumentException(
                        $"{step.Key} reads {input.From}, which is no earlier step.",
                        nameof(order)
                    );
                }
            }

            if (step.Inputs.Select(input => input.Name).Distinct().Count() != step.Inputs.Count)
            {
                throw new ArgumentException($"{step.Key} has two inputs of one name.", nameof(order));
            }

            if (!earlier.Add(step.Key))
            {
                throw new ArgumentException($"{step.Key} stands twice in the order.", nameof(order));
            }
        }
    }

    public List<StepPlan> Plan(
        IReadOnlyList<RunStep> order,
        SqliteConnection connection,
        CancellationToken cancellation
    )
    {
        Check(order);
        List<StepPlan> plans = [];
        HashSet<StepKey> settled = [];
        foreach (RunStep step in order)
        {
            StepPlan plan = PlanOne(step, settled, connection, cancellation);
            if (plan.Need == StepNeed.Nothing)
            {
                settled.Add(step.Key);
            }

            plans.Add(plan);
        }

        return plans;
    }

    /// <summary>Whether a step's record still stands: same fingerprint, not failed, files in place.</summary>
    public bool Stands(StepRecord? record, string fingerprint, SqliteConnection connection) =>
        record is not null
        && record.Fingerprint == fingerprint
        && record.State != StepState.Failed
        && FilesInPlace(RunRecord.WithDetails(connection, record));

    private StepPlan PlanOne(
        RunStep step,
        HashSet<StepKey> settled,
        SqliteConnection connection,
        CancellationToken cancellation
    )
    {
        StepRecord? record = RunRecord.Find(connection, step.Key);
        StepInput? waiting = step.Inputs.FirstOrDefault(input => input is OutputInput o && !settled.Contains(o.From));
        if (waiting is OutputInput first)
        {
            return new StepPlan(step, StepNeed.Waits, $"waits for {first.From}", record);
        }

        try
        {
            List<ResolvedInput> inputs = digests.Resolve(step, connection, cancellation);
            string fingerprint = Fingerprint.Of(step, program, inputs);
            return Stands(record, fingerprint, connection)
                ? new StepPlan(step, StepNeed.Nothing, "", record)
                : Explain(step, record, inputs, connection);
        }
        catch (MissingUpstreamException missing)
        {
            // Refused because an earlier step was refused: that is where the remedy lies, nothing is to be done here.
            bool settledSo = record?.State == StepState.Refused;
            return new StepPlan(
                step,
                settledSo ? StepNeed.Nothing : StepNeed.Waits,
                settledSo ? "" : $"waits for {missing.Upstream}",
                record
            );
        }
        catch (InputProblemException problem)
        {
            return new StepPlan(step, StepNeed.Blocked, problem.Message, record);
        }
    }

    private StepPlan Explain(RunStep step, StepRecord? found, List<ResolvedInput> inputs, SqliteConnection connection)
    {
        if (found is null)
        {
            return new StepPlan(step, StepNeed.Missing, "not done yet", null);
        }

        StepRecord record = RunRecord.WithDetails(connection, found);
        Dictionary<string, string> before = record.Inputs.ToDictionary(input => input.Name, input => input.Digest);
        ResolvedInput? changed = inputs.Find(input => before.GetValueOrDefault(input.Declared.Name) != input.Digest);
        string because =
            record.State == StepState.Failed ? $"failed last time: {string.Join("; ", record.Reasons)}"
            : changed is not null ? $"{changed.Declared.Name} changed ({changed.What})"
            : record.Settings != step.Settings ? "its settings changed"
            : record.Program.Program != program.Program ? "the program changed"
            : !record.Program.Libraries.SequenceEqual(program.Libraries) || record.Program.Runtime != program.Runtime
                ? "the runtime or a library changed"
            : record.Program.Processor != program.Processor ? "it was done on another kind of processor"
            : !FilesInPlace(record) ? "its files are gone or cut short"
            : "its inputs changed";
        StepNeed need = FilesInPlace(record) ? StepNeed.Stale : StepNeed.Missing;
        return new StepPlan(step, need, because, record);
    }

    private bool FilesInPlace(StepRecord record) =>
        record.Outputs.All(output =>
        {
            FileInfo file = new(Path.Combine(estate.Root, record.Place, output.File));
            return file.Exists && file.Length == output.Bytes;
        });
}
