using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>Opens SQLite files the one way that is safe here: no pool, no side files left, full durability.</summary>
/// <remarks>
/// The rollback journal is kept (not the write-ahead log): its file exists only during a transaction, so a closed
/// estate is one file that can be copied. EXTRA also flushes the folder after the journal is gone, so that a commit
/// that returned cannot be undone by a power cut.
/// </remarks>
public static class GeoPackageConnection
{
    /// <summary>How long one process waits for another's transaction before it gives up.</summary>
    private const int BusySeconds = 60;

    /// <param name="path">The file.</param>
    /// <param name="mode">ReadOnly is for other people's files: they are never changed, nor their schema trusted.</param>
    public static SqliteConnection Open(string path, SqliteOpenMode mode)
    {
        SqliteConnectionStringBuilder text = new()
        {
            DataSource = path,
            Mode = mode,
            Pooling = false,
            DefaultTimeout = BusySeconds,
            ForeignKeys = true,
        };
        SqliteConnection connection = new(text.ConnectionString);
        try
        {
            connection.Open();
            if (mode == SqliteOpenMode.ReadOnly)
            {
                Execute(connection, "PRAGMA trusted_schema = OFF");
            }
            else
            {
                Execute(connection, "PRAGMA journal_mode = DELETE");
                Execute(connection, "PRAGMA synchronous = EXTRA");
                GeometryFunctions.Register(connection);
            }

            return connection;
        }
        catch
        {
            connection.Dispose();
            throw;
        }
    }

    /// <summary>
    /// Opens somebody else's file as something that cannot change: no locks, no side files, nothing in its schema
    /// trusted to run.
    /// </summary>
    public static SqliteConnection OpenUnchangeable(string path)
    {
        string escaped = Uri.EscapeDataString(Path.GetFullPath(path).Replace('\\', '/'))
            .Replace("%2F", "/", StringComparison.Ordinal);
        SqliteConnectionStringBuilder text = new()
        {
            DataSource = $"file:{escaped}?immutable=1",
            Mode = SqliteOpenMode.ReadOnly,
            Pooling = false,
        };
        SqliteConnection connection = new(text.ConnectionString);
        try
        {
            connection.Open();
            Execute(connection, "PRAGMA trusted_schema = OFF");
            Execute(connection, "PRAGMA cell_size_check = ON");
            return connection;
        }
        catch
        {
            connection.Dispose();
            throw;
        }
    }

    public static int Execute(SqliteConnection connection, string sql, params (string Name, object? Value)[] values)
    {
        using SqliteCommand command = Command(connection, sql, values);
        return command.ExecuteNonQuery();
    }

    public static object? Scalar(SqliteConnection connection, string sql, params (string Name, object? Value)[] values)
    {
        using SqliteCommand command = Command(connection, sql, values);
        object? value = command.ExecuteScalar();
        return value is DBNull ? null : value;
    }

    public static List<T> Query<T>(
        SqliteConnection connection,
        string sql,
        Func<SqliteDataReader, T> read,
        params (string Name, object? Value)[] values
    )
    {
        using SqliteCommand command = Command(connection, sql, values);
        using SqliteDataReader reader = command.ExecuteReader();
        List<T> rows = [];
        while (reader.Read())
        {
            rows.Add(read(reader));
        }

        return rows;
    }

    public static SqliteCommand Command(
        SqliteConnection connection,
        string sql,
        params (string Name, object? Value)[] values
    )
    {
        SqliteCommand command = connection.CreateCommand();
        command.CommandText = sql;
        foreach ((string name, object? value) in values)
        {
            command.Parameters.AddWithValue(name, value ?? DBNull.Value);
        }

        return command;
    }

    /// <summary>Runs some changes as one transaction that holds the write lock from its start.</summary>
    public static T InTransaction<T>(SqliteConnection connection, Func<T> work)
    {
        using SqliteTransaction transaction = connection.BeginTransaction(deferred: false);
        T result = work();
        transaction.Commit();
        return result;
    }
}
