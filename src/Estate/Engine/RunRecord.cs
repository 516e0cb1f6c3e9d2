using System.Text.Json;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>What is on record of a step.</summary>
public enum StepState
{
    /// <summary>Its outputs are current and may be used.</summary>
    Done,

    /// <summary>Its outputs are current and may be used with the reasons in mind.</summary>
    Degraded,

    /// <summary>Its inputs do not allow a usable result; nothing is put out. Done again when an input changes.</summary>
    Refused,

    /// <summary>It ended by a fault of the program or the machine; done again at the next run.</summary>
    Failed,
}

/// <summary>The record of a step's last work: the only truth about what is current.</summary>
/// <param name="Place">Folder of the outputs, relative to the estate, with forward slashes; empty when there are none.</param>
/// <param name="Content">Digest of names and contents of all outputs.</param>
public sealed record StepRecord(
    StepKey Key,
    string Fingerprint,
    StepState State,
    IReadOnlyList<string> Reasons,
    string Place,
    string Content,
    string Method,
    string Source,
    string Settings,
    ProgramIdentity Program
)
{
    public IReadOnlyList<InputRecord> Inputs { get; init; } = [];

    public IReadOnlyList<OutputRecord> Outputs { get; init; } = [];

    public IReadOnlyList<StepWarning> Warnings { get; init; } = [];

    public IReadOnlyList<StepFigure> Figures { get; init; } = [];
}

/// <param name="Name">What the step calls it.</param>
/// <param name="What">Path, step or table.</param>
/// <param name="Digest">SHA-256 of the content.</param>
public sealed record InputRecord(string Name, string What, string Digest);

/// <param name="File">Path relative to the step's place, with forward slashes.</param>
/// <param name="Bytes">Size.</param>
/// <param name="Digest">SHA-256 of the content.</param>
public sealed record OutputRecord(string File, long Bytes, string Digest);

/// <summary>Reads and writes the tables run_steps, run_inputs, run_outputs, run_warnings and run_figures.</summary>
/// <remarks>
/// No moment in time is stored: an undisturbed run and one that was killed and resumed leave the same rows. When things
/// happened stands in the log beside.
/// </remarks>
internal static class RunRecord
{
    private static readonly string[] ChildTables = ["run_inputs", "run_outputs", "run_warnings", "run_figures"];

    public static StepRecord? Find(SqliteConnection connection, StepKey key) =>
        GeoPackageConnection
            .Query(
                connection,
                $"{SelectSteps} WHERE step = $step AND subject = $subject",
                ReadStep,
                ("$step", key.Step),
                ("$subject", key.Subject)
            )
            .SingleOrDefault();

    public static List<StepRecord> All(SqliteConnection connection) =>
        GeoPackageConnection.Query(connection, $"{SelectSteps} ORDER BY id", ReadStep);

    public static StepRecord WithDetails(SqliteConnection connection, StepRecord record)
    {
        (string, object?)[] key = [("$step", record.Key.Step), ("$subject", record.Key.Subject)];
        string Where(string table) => $"FROM {table} WHERE step = $step AND subject = $subject ORDER BY id";
        return record with
        {
            Inputs = GeoPackageConnection.Query(
                connection,
                $"SELECT name, what, digest {Where("run_inputs")}",
                row => new InputRecord(row.GetString(0), row.GetString(1), row.GetString(2)),
                key
            ),
            Outputs = GeoPackageConnection.Query(
                connection,
                $"SELECT file, bytes, digest {Where("run_outputs")}",
                row => new OutputRecord(row.GetString(0), row.GetInt64(1), row.GetString(2)),
                key
            ),
            Warnings = GeoPackageConnection.Query(
                connection,
                $"SELECT code, about, message, remedy {Where("run_warnings")}",
                row => new StepWarning(row.GetString(0), row.GetString(1), row.GetString(2), row.GetString(3)),
                key
            ),
            Figures = GeoPackageConnection.Query(
                connection,
                $"SELECT name, value {Where("run_figures")}",
                row => new StepFigure(row.GetString(0), row.IsDBNull(1) ? double.NaN : row.GetDouble(1)),
                key
            ),
        };
    }

    /// <summary>Puts a record in the place of the step's earlier one. Belongs inside the one transaction.</summary>
    public static void Replace(SqliteConnection connection, StepRecord record)
    {
        RemoveChildren(connection, record.Key);
        GeoPackageConnection.Execute(
            connection,
            """
            INSERT INTO run_steps (step, subject, fingerprint, state, reasons, place, content, method, source, settings,
              program, runtime, processor, libraries)
            VALUES ($step, $subject, $fingerprint, $state, $reasons, $place, $content, $method, $source, $settings,
              $program, $runtime, $processor, $libraries)
            ON CONFLICT (step, subject) DO UPDATE SET fingerprint = excluded.fingerprint, state = excluded.state,
              reasons = excluded.reasons, place = excluded.place, content = excluded.content, method = excluded.method,
              source = excluded.source, settings = excluded.settings, program = excluded.program,
              runtime = excluded.runtime, processor = excluded.processor, libraries = excluded.libraries
            """,
            ("$step", record.Key.Step),
            ("$subject", record.Key.Subject),
            ("$fingerprint", record.Fingerprint),
            ("$state", record.State.ToString().ToLowerInvariant()),
            ("$reasons", JsonSerializer.Serialize(record.Reasons)),
            ("$place", record.Place),
            ("$content", record.Content),
            ("$method", record.Method),
            ("$source", record.Source),
            ("$settings", record.Settings),
            ("$program", record.Program.Program),
            ("$runtime", record.Program.Runtime),
            ("$processor", record.Program.Processor),
            ("$libraries", string.Join(", ", record.Program.Libraries))
        );
        foreach (InputRecord input in record.Inputs)
        {
            Insert(
                connection,
                "run_inputs",
                record.Key,
                ("name", input.Name),
                ("what", input.What),
                ("digest", input.Digest)
            );
        }

        foreach (OutputRecord output in record.Outputs)
        {
            Insert(
                connection,
                "run_outputs",
                record.Key,
                ("file", output.File),
                ("bytes", output.Bytes),
                ("digest", output.Digest)
            );
        }

        foreach (StepWarning warning in record.Warnings)
        {
            Insert(
                connection,
                "run_warnings",
                record.Key,
                ("code", warning.Code),
                ("about", warning.About),
                ("message", warning.Message),
                ("remedy", warning.Remedy)
            );
        }

        foreach (StepFigure figure in record.Figures)
        {
            Insert(
                connection,
                "run_figures",
                record.Key,
                ("name", figure.Name),
                ("value", double.IsFinite(figure.Value) ? figure.Value : null)
            );
        }
    }

    /// <summary>Takes a step off the record: nothing of it is current any more.</summary>
    public static void Remove(SqliteConnection connection, StepKey key)
    {
        RemoveChildren(connection, key);
        GeoPackageConnection.Execute(
            connection,
            "DELETE FROM run_steps WHERE step = $step AND subject = $subject",
            ("$step", key.Step),
            ("$subject", key.Subject)
        );
    }

    private const string SelectSteps = """
        SELECT step, subject, fingerprint, state, reasons, place, content, method, source, settings, program, runtime,
          processor, libraries FROM run_steps
        """;

    private static StepRecord ReadStep(SqliteDataReader row) =>
        new(
            new StepKey(row.GetString(0), row.GetString(1)),
            row.GetString(2),
            Enum.Parse<StepState>(row.GetString(3), ignoreCase: true),
            JsonSerializer.Deserialize<string[]>(row.GetString(4)) ?? [],
            row.GetString(5),
            row.GetString(6),
            row.GetString(7),
            row.GetString(8),
            row.GetString(9),
            new ProgramIdentity(row.GetString(10), row.GetString(11), row.GetString(12), row.GetString(13).Split(", "))
        );

    private static void RemoveChildren(SqliteConnection connection, StepKey key)
    {
        foreach (string table in ChildTables)
        {
            GeoPackageConnection.Execute(
                connection,
                $"DELETE FROM {table} WHERE step = $step AND subject = $subject",
                ("$step", key.Step),
                ("$subject", key.Subject)
            );
        }
    }

    private static void Insert(
        SqliteConnection connection,
        string table,
        StepKey key,
        params (string Column, object? Value)[] values
    ) =>
        GeoPackageConnection.Execute(
            connection,
            $"INSERT INTO {table} (step, subject, {string.Join(", ", values.Select(value => value.Column))}) "
                + $"VALUES ($step, $subject, {string.Join(", ", values.Select(value => "$" + value.Column))})",
            [
                ("$step", key.Step),
                ("$subject", key.Subject),
                .. values.Select(value => ("$" + value.Column, value.Value)),
            ]
        );
}
