using System.Globalization;
using Hillrow.Earth;
using Hillrow.Findings;
using Hillrow.Numerics;
using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>Keeps scouts' answers in estate.gpkg, table scout_answers.</summary>
public sealed class ScoutBook(EstateFolder estate)
{
    public const string Table = "scout_answers";

    /// <summary>Stores answers; one that is there already (same plant, person and time) is not stored twice.</summary>
    /// <returns>How many were new.</returns>
    /// <exception cref="InputProblemException">A survey or a plant is not the estate's; nothing is stored then.</exception>
    public int Add(IReadOnlyList<ScoutAnswer> answers)
    {
        ArgumentNullException.ThrowIfNull(answers);
        HashSet<string> surveys = [.. estate.Surveys().Select(survey => survey.Id)];
        using SqliteConnection connection = estate.OpenDatabase();
        HashSet<long> plants =
        [
            .. GeoPackageConnection.Query(connection, "SELECT plant FROM plants", row => row.GetInt64(0)),
        ];
        foreach (ScoutAnswer answer in answers)
        {
            if (!surveys.Contains(answer.Survey) || !plants.Contains(answer.Plant))
            {
                throw new InputProblemException(
                    estate.Root,
                    surveys.Contains(answer.Survey)
                        ? $"has no plant {answer.Plant}."
                        : $"has no survey {answer.Survey}.",
                    "Are these answers of another estate? Nothing was stored."
                );
            }
        }

        return GeoPackageConnection.InTransaction(
            connection,
            () =>
            {
                long before = Count(connection);
                foreach (ScoutAnswer answer in answers)
                {
                    Insert(connection, answer);
                }

                GeoPackageSchema.Touch(connection, Table, DateTimeOffset.UtcNow);
                return (int)(Count(connection) - before);
            }
        );
    }

    /// <summary>All answers in the order they were stored.</summary>
    public IReadOnlyList<ScoutAnswer> Answers()
    {
        using SqliteConnection connection = estate.OpenDatabase();
        return GeoPackageConnection.Query(
            connection,
            $"SELECT survey, plant, state, cause, sample, who, answered, latitude, longitude, note FROM {Table} ORDER BY id",
            row => new ScoutAnswer(
                row.GetString(0),
                row.GetInt64(1),
                Enum.TryParse(row.GetString(2), ignoreCase: true, out SeenState state) ? state : null,
                row.GetString(3),
                row.GetString(4),
                row.GetString(5),
                DateTimeOffset.Parse(row.GetString(6), CultureInfo.InvariantCulture),
                row.IsDBNull(7)
                    ? null
                    : new GeographicPoint(Angle.FromDegrees(row.GetDouble(7)), Angle.FromDegrees(row.GetDouble(8))),
                row.GetString(9)
            )
        );
    }

    private static long Count(SqliteConnection connection) =>
        (long)(GeoPackageConnection.Scalar(connection, $"SELECT count(*) FROM {Table}") ?? 0L);

    private void Insert(SqliteConnection connection, ScoutAnswer answer)
    {
        GridPoint? place = answer.Place is { } known ? estate.ReferenceSystem.ToGrid(known) : null;
        GeoPackageConnection.Execute(
            connection,
            $"""
            INSERT OR IGNORE INTO {Table} (geom, survey, plant, state, cause, sample, who, answered, latitude, longitude, note)
            VALUES ($geom, $survey, $plant, $state, $cause, $sample, $who, $answered, $latitude, $longitude, $note)
            """,
            (
                "$geom",
                place is { } at
                    ? GeometryBlob.Write(
                        new Point(at.EastingMetres, at.NorthingMetres),
                        estate.ReferenceSystem.EpsgCode
                    )
                    : null
            ),
            ("$survey", answer.Survey),
            ("$plant", answer.Plant),
            ("$state", answer.State?.ToString().ToLowerInvariant() ?? ScoutAnswerWords.Gone),
            ("$cause", answer.Cause),
            ("$sample", answer.Sample),
            ("$who", answer.Who),
            (
                "$answered",
                answer.Answered.UtcDateTime.ToString("yyyy-MM-dd'T'HH:mm:ss'Z'", CultureInfo.InvariantCulture)
            ),
            ("$latitude", answer.Place?.Latitude.Degrees),
            ("$longitude", answer.Place?.Longitude.Degrees),
            ("$note", answer.Note)
        );
    }
}
