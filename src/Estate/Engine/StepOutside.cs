using Hillrow.Numerics;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>
/// A step's inputs as they stand, for whoever makes another document of them outside a run. Nothing is recorded: what is
/// made from it is a copy for a person, never an input.
/// </summary>
internal static class StepOutside
{
    /// <exception cref="InputProblemException">What it reads has not been made yet, or was refused.</exception>
    public static StepContext ContextOf(EstateFolder estate, RunStep step, CancellationToken cancellation)
    {
        ContentHashes hashes = new(estate.HashMemoryFile);
        using SqliteConnection connection = estate.OpenDatabase();
        try
        {
            List<ResolvedInput> inputs = new InputDigests(estate, hashes).Resolve(step, connection, cancellation);
            return new StepContext(
                estate,
                estate.HandoverFolder,
                inputs.ToDictionary(input => input.Declared.Name),
                threads: 1,
                new Unheard(),
                cancellation
            );
        }
        catch (MissingUpstreamException missing)
        {
            string why = missing.Reason.Length == 0 ? "" : $": {missing.Reason.TrimEnd('.')}";
            throw new InputProblemException(
                estate.Root,
                $"has no {missing.Upstream.Step} yet{why}.",
                $"Bring it up to date with `hillrow run {estate.Root}`."
            );
        }
    }

    private sealed class Unheard : IProgress<double>
    {
        public void Report(double value)
        {
            // Nobody waits for a bar here.
        }
    }
}
