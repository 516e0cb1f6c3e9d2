using System.Globalization;
using System.Net;
using System.Text.RegularExpressions;
using Hillrow.Estate;
using Microsoft.Data.Sqlite;

namespace Hillrow.Checks;

/// <summary>Looks up every number of a report in the estate's findings.</summary>
public static partial class ReportNumbers
{
    /// <returns>Numbers on the page, and what of them is not in the table or differs there, one line each.</returns>
    public static (int Count, IReadOnlyList<string> Missing) Check(string reportFile, string databaseFile)
    {
        Dictionary<string, (double? Value, double? Low, double? High)> findings = [];
        using (SqliteConnection connection = GeoPackageConnection.Open(databaseFile, SqliteOpenMode.ReadOnly))
        {
            foreach (
                (string key, double? value, double? low, double? high) in GeoPackageConnection.Query(
                    connection,
                    "SELECT key, value, low, high FROM findings WHERE key <> ''",
                    row => (row.GetString(0), Number(row, 1), Number(row, 2), Number(row, 3))
                )
            )
            {
                findings.Add(key, (value, low, high));
            }
        }

        int count = 0;
        List<string> missing = [];
        foreach (Match match in Data().Matches(File.ReadAllText(reportFile)))
        {
            count++;
            string key = WebUtility.HtmlDecode(match.Groups["key"].Value);
            double shown = double.Parse(match.Groups["value"].Value, CultureInfo.InvariantCulture);
            double? kept =
                findings.TryGetValue(key, out (double? Value, double? Low, double? High) row) ? row.Value
                : End(key, "|low", findings) is { } lower ? lower.Low
                : End(key, "|high", findings) is { } upper ? upper.High
                : null;
            if (kept is not { } number || !number.Equals(shown))
            {
                missing.Add(
                    string.Create(CultureInfo.InvariantCulture, $"{key}: the page says {shown:R}, the table {kept:R}")
                );
            }
        }

        return (count, missing);
    }

    private static (double? Value, double? Low, double? High)? End(
        string key,
        string suffix,
        Dictionary<string, (double? Value, double? Low, double? High)> findings
    ) =>
        key.EndsWith(suffix, StringComparison.Ordinal) && findings.TryGetValue(key[..^suffix.Length], out var row)
            ? row
            : null;

    private static double? Number(SqliteDataReader row, int column) =>
        row.IsDBNull(column) ? null : row.GetDouble(column);

    [GeneratedRegex("<data value=\"(?<value>[^\"]*)\" data-finding=\"(?<key>[^\"]*)\">", RegexOptions.ExplicitCapture)]
    private static partial Regex Data();
}
