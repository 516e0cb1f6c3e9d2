using Hillrow.Earth;
using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>What the findings say of one plant.</summary>
/// <param name="Plant">Number in the ledger.</param>
/// <param name="Severity">Word of the severity; empty when not said.</param>
/// <param name="Value">Departure from its peers; NaN when not judged.</param>
public sealed record PlantVerdictRow(long Plant, string Severity, double Value);

/// <summary>Reads what is current of a survey, for whoever judges or shows it: nothing but public products.</summary>
public static class SurveyProductsReader
{
    /// <summary>Absolute path of a current output of any step of the survey, by its file name; null when there is none.</summary>
    public static string? FileOf(EstateFolder estate, string surveyId, string fileName)
    {
        using SqliteConnection connection = estate.OpenDatabase();
        List<string> found = GeoPackageConnection.Query(
            connection,
            """
            SELECT run_steps.place FROM run_steps JOIN run_outputs
            ON run_outputs.step = run_steps.step AND run_outputs.subject = run_steps.subject
            WHERE run_steps.subject = $survey AND run_outputs.file = $file AND run_steps.place <> ''
            ORDER BY run_steps.id
            """,
            row => row.GetString(0),
            ("$survey", surveyId),
            ("$file", fileName)
        );
        return found.Count == 0 ? null : Path.Combine(estate.Root, found[^1], fileName);
    }

    /// <summary>Gaps told by an observations file, hidden positions left out; null when it tells none at all.</summary>
    public static IReadOnlyList<GridPoint>? GapsOf(string observationsFile)
    {
        using SqliteConnection connection = GeoPackageConnection.OpenUnchangeable(observationsFile);
        if (!HasTable(connection, "gaps"))
        {
            return null;
        }

        return GeoPackageConnection.Query(
            connection,
            "SELECT geom FROM gaps WHERE hidden = 0 ORDER BY id",
            row =>
            {
                Coordinate at = GeometryBlob.Read(row.GetFieldValue<byte[]>(0)).Coordinate;
                return new GridPoint(at.X, at.Y);
            }
        );
    }

    /// <summary>Findings about single plants of a survey under a question, by plant.</summary>
    public static IReadOnlyList<PlantVerdictRow> VerdictsOf(EstateFolder estate, string surveyId, string question)
    {
        using SqliteConnection connection = estate.OpenDatabase();
        return GeoPackageConnection.Query(
            connection,
            """
            SELECT plant, severity, value FROM findings
            WHERE survey = $survey AND question = $question AND plant IS NOT NULL ORDER BY plant
            """,
            row => new PlantVerdictRow(
                row.GetInt64(0),
                row.GetString(1),
                row.IsDBNull(2) ? double.NaN : row.GetDouble(2)
            ),
            ("$survey", surveyId),
            ("$question", question)
        );
    }

    private static bool HasTable(SqliteConnection connection, string table) =>
        GeoPackageConnection
            .Query(
                connection,
                "SELECT name FROM sqlite_master WHERE type = 'table' AND name = $table",
                row => row.GetString(0),
                ("$table", table)
            )
            .Count > 0;
}
