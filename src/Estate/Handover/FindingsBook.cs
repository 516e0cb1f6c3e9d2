using Hillrow.Earth;
using Hillrow.Handover;
using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>A row of the table findings as it is told.</summary>
/// <param name="Survey">Id.</param>
/// <param name="Question">"estate", "blocks", "patches", "decline", "change", …</param>
/// <param name="Key">"survey|question|subject|quantity", empty for a row about a plant.</param>
/// <param name="Block">Name, empty for the whole estate.</param>
/// <param name="Plant">Ledger number, null for other rows.</param>
/// <param name="Word">Severity, change or task.</param>
/// <param name="Value">Null when it could not be told.</param>
/// <param name="Low">Of the 95 % interval.</param>
/// <param name="High">Of the 95 % interval.</param>
/// <param name="Unit">Of the value.</param>
/// <param name="Message">What it means.</param>
/// <param name="Remedy">What to do.</param>
/// <param name="Evidence">What stands behind it.</param>
/// <param name="Place">Of a plant; the middle of an outline.</param>
public sealed record Finding(
    string Survey,
    string Question,
    string Key,
    string Block,
    long? Plant,
    string Word,
    double? Value,
    double? Low,
    double? High,
    string Unit,
    string Message,
    string Remedy,
    string Evidence,
    GridPoint? Place
)
{
    /// <summary>What the number is about: a block, a patch, "all"; empty for a row about a plant.</summary>
    public string Subject => Key.Length == 0 ? "" : Key.Split('|')[2];

    public string Quantity => Key.Length == 0 ? "" : Key.Split('|')[3];
}

/// <summary>Reads the table findings for people.</summary>
public sealed class FindingsBook(EstateFolder estate)
{
    /// <summary>Surveys with findings, in the order of their days.</summary>
    public IReadOnlyList<string> Surveys()
    {
        using SqliteConnection connection = estate.OpenDatabase();
        return GeoPackageConnection.Query(
            connection,
            "SELECT DISTINCT survey FROM findings ORDER BY survey",
            row => row.GetString(0)
        );
    }

    /// <summary>The survey asked for, or the last one.</summary>
    /// <exception cref="Numerics.InputProblemException">It has no findings.</exception>
    public string SurveyOf(string? asked)
    {
        IReadOnlyList<string> surveys = Surveys();
        return asked is null && surveys.Count > 0 ? surveys[^1]
            : asked is not null && surveys.Contains(asked) ? asked
            : throw new Numerics.InputProblemException(
                asked is null ? estate.Root : $"survey \"{asked}\"",
                "has no findings.",
                surveys.Count == 0
                    ? $"Bring the estate up to date with `hillrow run {estate.Root}`."
                    : $"There are: {string.Join(", ", surveys)}."
            );
    }

    /// <summary>All rows of a survey under a question, in the order of the table.</summary>
    public IReadOnlyList<Finding> Of(string survey, string question) =>
        Query("findings.survey = $a AND findings.question = $b", survey, question);

    /// <summary>Rows of a survey about one plant.</summary>
    public IReadOnlyList<Finding> OfPlant(string survey, long plant) =>
        Query(
            "findings.survey = $a AND findings.plant = CAST($b AS INTEGER)",
            survey,
            plant.ToString(System.Globalization.CultureInfo.InvariantCulture)
        );

    /// <summary>Rows whose key has all the words in their order: "blocks", "Ladera", "share".</summary>
    public IReadOnlyList<Finding> Keyed(string survey, IReadOnlyList<string> words)
    {
        ArgumentNullException.ThrowIfNull(words);
        return
        [
            .. Query("findings.survey = $a AND findings.key <> $b", survey, "")
                .Where(finding => Has(finding.Key.Split('|')[1..], words)),
        ];
    }

    private static bool Has(string[] parts, IReadOnlyList<string> words)
    {
        int at = 0;
        foreach (string part in parts)
        {
            if (at < words.Count && string.Equals(part, words[at], StringComparison.OrdinalIgnoreCase))
            {
                at++;
            }
        }

        return at == words.Count;
    }

    private List<Finding> Query(string where, string a, string b)
    {
        using SqliteConnection connection = estate.OpenDatabase();
        return GeoPackageConnection.Query(
            connection,
            $"""
            SELECT findings.survey, question, key, blocks.name, plant, severity, value, low, high, unit, message, remedy,
              evidence, findings.geom
            FROM findings LEFT JOIN blocks ON blocks.id = findings.block_id WHERE {where} ORDER BY findings.id
            """,
            row =>
            {
                string Text(int at) => row.IsDBNull(at) ? "" : row.GetString(at);
                double? Number(int at) => row.IsDBNull(at) ? null : row.GetDouble(at);
                return new Finding(
                    row.GetString(0),
                    row.GetString(1),
                    Text(2),
                    Text(3),
                    row.IsDBNull(4) ? null : row.GetInt64(4),
                    Text(5),
                    Number(6),
                    Number(7),
                    Number(8),
                    Text(9),
                    Text(10),
                    Text(11),
                    Text(12),
                    row.IsDBNull(13) ? null : MiddleOf(row.GetFieldValue<byte[]>(13))
                );
            },
            ("$a", a),
            ("$b", b)
        );
    }

    private static GridPoint MiddleOf(byte[] blob)
    {
        Point middle = GeometryBlob.Read(blob).Centroid;
        return new GridPoint(middle.X, middle.Y);
    }
}

/// <summary>Writes the layers that answer one question: the plants as CSV and GeoJSON, the patches as GeoJSON.</summary>
public static class AnswerFiles
{
    /// <returns>Absolute paths, below handover/.</returns>
    public static IReadOnlyList<string> Write(EstateFolder estate, string question, string survey)
    {
        ArgumentNullException.ThrowIfNull(estate);
        (_, StoredFindings findings, int at) = CurrentFindings.Of(estate, survey, CancellationToken.None);
        SurveyLayers layers = new(estate, findings.Surveys[at]);
        Layer plants = layers.Plants();
        return
        [
            HandoverFiles.Write(estate, $"{question}-{survey}.csv", file => CsvLayer.Write(plants, file)),
            HandoverFiles.Write(estate, $"{question}-{survey}.geojson", file => GeoJsonLayer.Write(plants, file)),
            HandoverFiles.Write(
                estate,
                $"{question}-{survey}-patches.geojson",
                file => GeoJsonLayer.Write(layers.Patches(), file)
            ),
        ];
    }
}
