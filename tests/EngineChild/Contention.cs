using Hillrow.Estate;
using Hillrow.Numerics;
using Microsoft.Data.Sqlite;

namespace Hillrow.EngineChild;

/// <summary>One of two processes that write to an estate and run it at the same time.</summary>
public static class Contention
{
    /// <summary>Writes one finding a round under its own name and tries a whole run in between.</summary>
    /// <returns>0 when every write went through and each run either worked or was turned away in one clear line.</returns>
    public static int Run(EstateFolder estate, ProgramIdentity program, string name, int rounds)
    {
        int turnedAway = 0;
        for (int round = 0; round < rounds; round++)
        {
            Write(estate, name, round);
            try
            {
                RunSummary summary = new RunEngine(estate, program, threads: 1, new SilentProgress()).Run(
                    SyntheticRun.Order(millisecondsPerStep: 0)
                );
                if (summary.Count(StepEnd.Failed) > 0)
                {
                    Console.Error.WriteLine(string.Join('\n', summary.Steps.SelectMany(step => step.Reasons)));
                    return 1;
                }
            }
            catch (InputProblemException problem)
                when (problem.Message.Contains("another hillrow", StringComparison.Ordinal))
            {
                turnedAway++;
            }
        }

        Console.WriteLine(FormattableString.Invariant($"{name}: turned away {turnedAway} of {rounds} times"));
        return 0;
    }

    private static void Write(EstateFolder estate, string name, int round)
    {
        using SqliteConnection connection = estate.OpenDatabase();
        GeoPackageConnection.InTransaction(
            connection,
            () =>
            {
                // Read, then write what was read plus one: a lost update would show in the sum.
                long count = (long)GeoPackageConnection.Scalar(connection, "SELECT count(*) FROM samples")!;
                return GeoPackageConnection.Execute(
                    connection,
                    "INSERT INTO samples (day, kind, quantity, value, note) VALUES ('2026-03-01', 'soil', 'pH', $count, $note)",
                    ("$count", count),
                    ("$note", FormattableString.Invariant($"{name} {round}"))
                );
            }
        );
    }
}
