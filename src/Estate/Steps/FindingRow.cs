using Hillrow.Earth;
using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>A row of the table findings.</summary>
/// <param name="Survey">Id.</param>
/// <param name="Question">"decline", "change", "patches", "blocks", "estate", "quality".</param>
internal sealed record FindingRow(string Survey, string Question)
{
    /// <summary>Names a single number for whoever cites it: "survey|question|subject|quantity"; empty for rows about plants.</summary>
    public string Key { get; init; } = "";

    public long? BlockId { get; init; }

    public long? Plant { get; init; }

    public string Severity { get; init; } = "";

    public double Value { get; init; } = double.NaN;

    /// <summary>Ends of the 95 % interval, where there is one.</summary>
    public double? Low { get; init; }

    public double? High { get; init; }

    public string Unit { get; init; } = "";

    public string Message { get; init; } = "";

    public string Remedy { get; init; } = "";

    public string Evidence { get; init; } = "";

    public GridPoint? Place { get; init; }

    public GridPolygon? Outline { get; init; }

    /// <summary>Replaces all findings.</summary>
    public static void Replace(SqliteConnection connection, IEnumerable<FindingRow> rows, int epsg)
    {
        GeoPackageConnection.Execute(connection, "DELETE FROM findings");
        long id = 0;
        foreach (FindingRow row in rows)
        {
            GeoPackageConnection.Execute(
                connection,
                """
                INSERT INTO findings (id, geom, survey, question, block_id, plant, severity, value, low, high, unit,
                  message, remedy, evidence, key)
                VALUES ($id, $geom, $survey, $question, $block, $plant, $severity, $value, $low, $high, $unit, $message,
                  $remedy, $evidence, $key)
                """,
                ("$id", ++id),
                ("$geom", row.Geometry() is { } shape ? GeometryBlob.Write(shape, epsg) : null),
                ("$survey", row.Survey),
                ("$question", row.Question),
                ("$block", row.BlockId),
                ("$plant", row.Plant),
                ("$severity", row.Severity),
                ("$value", Finite(row.Value)),
                ("$low", Finite(row.Low)),
                ("$high", Finite(row.High)),
                ("$unit", row.Unit),
                ("$message", row.Message),
                ("$remedy", row.Remedy),
                ("$evidence", row.Evidence),
                ("$key", row.Key)
            );
        }

        GeoPackageSchema.Touch(connection, "findings", null);
    }

    private static double? Finite(double? value) => value is { } number && double.IsFinite(number) ? number : null;

    private Geometry? Geometry() =>
        Place is { } place ? new Point(place.EastingMetres, place.NorthingMetres)
        : Outline is { } outline ? new Polygon(Ring(outline.Outer), [.. outline.Holes.Select(Ring)])
        : null;

    private static LinearRing Ring(IReadOnlyList<GridPoint> points) =>
        new([.. points.Append(points[0]).Select(point => new Coordinate(point.EastingMetres, point.NorthingMetres))]);
}
