using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Hillrow.Estate;
using Microsoft.Data.Sqlite;

namespace Hillrow.EngineChild;

/// <summary>Every file and every row of an estate, to compare two estates to the byte.</summary>
/// <remarks>Left out: the program's own folder (lock, memory of hashes) and the logs, which tell the time.</remarks>
public static class EstateSnapshot
{
    /// <summary>"file PATH" or "table NAME" to a digest or the rows' text.</summary>
    public static SortedDictionary<string, string> Of(string estate)
    {
        SortedDictionary<string, string> found = new(StringComparer.Ordinal);
        foreach (string file in Directory.EnumerateFiles(estate, "*", SearchOption.AllDirectories))
        {
            string relative = Path.GetRelativePath(estate, file);
            if (
                !relative.StartsWith(".hillrow", StringComparison.Ordinal)
                && Path.GetFileName(file) is not ("log" or "estate.gpkg")
            )
            {
                found[$"file {relative}"] = Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(file)));
            }
        }

        AddTables(Path.Combine(estate, "estate.gpkg"), found);
        return found;
    }

    /// <summary>What differs between two snapshots, one line each; empty when nothing does.</summary>
    public static IReadOnlyList<string> Differences(
        SortedDictionary<string, string> wanted,
        SortedDictionary<string, string> got
    )
    {
        List<string> lines = [];
        foreach (string key in wanted.Keys.Union(got.Keys))
        {
            string? left = wanted.GetValueOrDefault(key);
            string? right = got.GetValueOrDefault(key);
            if (left != right)
            {
                lines.Add($"{key}: {(left is null ? "not wanted" : right is null ? "missing" : "differs")}");
            }
        }

        return lines;
    }

    private static void AddTables(string database, SortedDictionary<string, string> found)
    {
        using SqliteConnection connection = GeoPackageConnection.Open(database, SqliteOpenMode.ReadWrite);
        found["check integrity"] = (string)GeoPackageConnection.Scalar(connection, "PRAGMA integrity_check")!;
        found["check foreign keys"] = GeoPackageConnection
            .Query(connection, "PRAGMA foreign_key_check", row => row.GetString(0))
            .Count.ToString(CultureInfo.InvariantCulture);
        List<string> tables = GeoPackageConnection.Query(
            connection,
            "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'rtree%' ORDER BY name",
            row => row.GetString(0)
        );
        foreach (string table in tables)
        {
            StringBuilder text = new();
            foreach (
                string row in GeoPackageConnection.Query(
                    connection,
                    $"SELECT * FROM {table} ORDER BY 1",
                    row =>
                        string.Join('|', Enumerable.Range(0, row.FieldCount).Select(at => ValueText(row.GetValue(at))))
                )
            )
            {
                text.Append(row).Append('\n');
            }

            found[$"table {table}"] = text.ToString();
        }
    }

    private static string ValueText(object value) =>
        value switch
        {
            byte[] bytes => Convert.ToHexStringLower(bytes),
            double number => number.ToString("R", CultureInfo.InvariantCulture),
            DBNull => "null",
            _ => Convert.ToString(value, CultureInfo.InvariantCulture)!,
        };
}
