using Hillrow.Earth;
using Hillrow.Numerics;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>Makes, opens and brings up to date estate.gpkg.</summary>
/// <remarks>
/// GeoPackage reserves SQLite's user_version for itself, so the version of our own tables stands in the table
/// <c>estate_schema</c>. Each version is one entry of <see cref="SchemaVersions"/>, applied in one transaction.
/// </remarks>
internal static class EstateDatabase
{
    public static void Create(string path, ReferenceSystem referenceSystem)
    {
        using SqliteConnection connection = GeoPackageConnection.Open(path, SqliteOpenMode.ReadWriteCreate);
        GeoPackageConnection.InTransaction(
            connection,
            () =>
            {
                GeoPackageSchema.Create(connection, referenceSystem);
                GeoPackageSchema.AddTable(
                    connection,
                    "estate_schema",
                    "version INTEGER NOT NULL",
                    "version of this file's own tables",
                    DateTimeOffset.UtcNow
                );
                GeoPackageConnection.Execute(connection, "INSERT INTO estate_schema (version) VALUES (0)");
                Migrate(connection, referenceSystem, SchemaVersions.All.Count);
                return true;
            }
        );
    }

    /// <exception cref="InputProblemException">The file is missing, damaged, no database, or made by a newer program.</exception>
    public static SqliteConnection Open(string path)
    {
        SqliteConnection? connection = null;
        try
        {
            connection = GeoPackageConnection.Open(path, SqliteOpenMode.ReadWrite);
            VersionOf(connection, path);
            return connection;
        }
        catch (SqliteException fault)
        {
            connection?.Dispose();
            throw Unreadable(path, fault);
        }
        catch
        {
            connection?.Dispose();
            throw;
        }
    }

    public static void BringUpToDate(string path, ReferenceSystem referenceSystem)
    {
        using SqliteConnection connection = Open(path);
        if (VersionOf(connection, path) < SchemaVersions.All.Count)
        {
            GeoPackageConnection.InTransaction(
                connection,
                () =>
                {
                    Migrate(connection, referenceSystem, SchemaVersions.All.Count);
                    return true;
                }
            );
        }
    }

    /// <summary>Applies the versions that are missing, up to one; inside a transaction.</summary>
    internal static void Migrate(SqliteConnection connection, ReferenceSystem referenceSystem, int upTo)
    {
        // Read again under the write lock: another process may have been quicker.
        long version = (long)GeoPackageConnection.Scalar(connection, "SELECT version FROM estate_schema")!;
        for (int next = (int)version; next < upTo; next++)
        {
            SchemaVersions.All[next](connection, referenceSystem);
            GeoPackageConnection.Execute(
                connection,
                "UPDATE estate_schema SET version = $version",
                ("$version", next + 1)
            );
        }
    }

    private static long VersionOf(SqliteConnection connection, string path)
    {
        long version =
            GeoPackageConnection.Scalar(connection, "SELECT version FROM estate_schema") as long?
            ?? throw Unreadable(path, null);
        return version <= SchemaVersions.All.Count
            ? version
            : throw new InputProblemException(
                path,
                $"was written by a newer hillrow (tables of version {version}, known here up to {SchemaVersions.All.Count}).",
                "Update hillrow on this machine."
            );
    }

    private static InputProblemException Unreadable(string path, SqliteException? fault) =>
        fault?.SqliteErrorCode switch
        {
            5 or 6 => new InputProblemException(
                path,
                "is held by another program.",
                "Close the GIS or other program that edits it, then try again.",
                fault
            ),
            8 or 14 when File.Exists(path) => new InputProblemException(
                path,
                "may not be written here.",
                "Check the permissions of the file and its folder.",
                fault
            ),
            13 => new InputProblemException(path, "the disk is full.", "Free some space and try again.", fault),
            _ => new InputProblemException(
                path,
                File.Exists(path) ? "is damaged or is no estate's database." : "does not exist.",
                "Restore it from a copy.",
                fault
            ),
        };
}
