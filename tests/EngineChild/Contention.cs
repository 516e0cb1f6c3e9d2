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
            // Turned away, it tries again until its turn comes, so that the two keep taking turns to the end.
            while (Try(estate, program) is null)
            {
                turnedAway++;
                Thread.Yield();
            }
        }

        Console.WriteLine(FormattableString.Invariant($"{name}: {rounds} runs, turned away {turnedAway} times"));
        return 0;
    }

    /// <summary>Sets the row that the run's last steps read.</summary>
    public static void SetCounter(EstateFolder estate, int value)
    {
        using SqliteConnection connection = estate.OpenDatabase();
        GeoPackageConnection.Execute(
            connection,
            "INSERT INTO treatments (name, role, started, amount) VALUES ('counter', 'treated', '2026-01-01', $value)",
            ("$value", (double)value)
        );
    }

    /// <returns>Null when another run was at work.</returns>
    private static int? Try(EstateFolder estate, ProgramIdentity program)
    {
        try
        {
            RunSummary summary = new RunEngine(estate, program, threads: 1, new SilentProgress()).Run(
                SyntheticRun.Order(millisecondsPerStep: 0)
            );
            return summary.Count(StepEnd.Failed) == 0
                ? 0
                : throw new InvalidOperationException(
                    string.Join("; ", summary.Steps.SelectMany(step => step.Reasons))
                );
        }
        catch (InputProblemException problem)
            when (problem.Message.Contains("another hillrow", StringComparison.Ordinal))
        {
            return null;
        }
    }

    private static void Write(EstateFolder estate, string name, int round)
    {
        using SqliteConnection connection = estate.OpenDatabase();
        GeoPackageConnection.InTransaction(
            connection,
            () =>
            {
                // Read, then write what was read plus one: a lost update would show in the sum.
                double counter = (double)GeoPackageConnection.Scalar(connection, "SELECT amount FROM treatments")!;
                GeoPackageConnection.Execute(
                    connection,
                    "UPDATE treatments SET amount = $value",
                    ("$value", counter + 1)
                );
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
