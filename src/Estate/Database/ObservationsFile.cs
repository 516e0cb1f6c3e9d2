using System.Globalization;
using Hillrow.Earth;
using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>A measured quantity of every plant.</summary>
/// <param name="Name">Lower-case words with the unit at the end: "crown_area_square_metres".</param>
/// <param name="Unit">Unit symbol, "1" for a ratio.</param>
/// <param name="Description">One line for the reader of the file.</param>
public sealed record ObservationColumn(string Name, string Unit, string Description);

/// <summary>What one survey says of one plant.</summary>
/// <param name="Plant">The plant's number in the ledger.</param>
/// <param name="Place">Its place, in the estate's UTM zone.</param>
/// <param name="Values">One for each column; NaN where it could not be measured.</param>
public sealed record PlantObservation(long Plant, GridPoint Place, IReadOnlyList<double> Values);

/// <summary>A planted line of a block.</summary>
public sealed record RowLine(string Block, int Row, IReadOnlyList<GridPoint> Line, double LengthMetres);

/// <summary>A position of a row where no plant was seen.</summary>
/// <param name="Hidden">True: it could not be seen, a plant may stand there. False: a gap.</param>
/// <param name="Reason">Why it is hidden; empty for a gap.</param>
public sealed record EmptyPlace(string Block, int Row, int PlaceInRow, GridPoint Place, bool Hidden, string Reason);

/// <summary>
/// Writes and reads a survey's observations.gpkg: one file per survey, keyed by plant number, never changed afterwards.
/// Equal observations give equal bytes.
/// </summary>
public static class ObservationsFile
{
    public const string FileName = "observations.gpkg";

    /// <param name="path">The file to make; its folder exists.</param>
    /// <param name="referenceSystem">WGS 84 / UTM zone of the places.</param>
    /// <param name="day">Day of the survey; stands for the file's date, so that the same data give the same file.</param>
    /// <param name="columns">What was measured.</param>
    /// <param name="observations">One for each plant, in any order.</param>
    /// <param name="rows">Planted lines.</param>
    /// <param name="empty">Gaps and hidden positions.</param>
    /// <exception cref="ArgumentException">A column's name is no plain word, or a row does not fit the columns.</exception>
    public static void Write(
        string path,
        ReferenceSystem referenceSystem,
        DateOnly day,
        IReadOnlyList<ObservationColumn> columns,
        IEnumerable<PlantObservation> observations,
        IReadOnlyList<RowLine>? rows = null,
        IReadOnlyList<EmptyPlace>? empty = null
    )
    {
        foreach (ObservationColumn column in columns)
        {
            if (
                column.Name.Length == 0
                || !column.Name.All(c => char.IsAsciiLetterLower(c) || char.IsAsciiDigit(c) || c == '_')
            )
            {
                throw new ArgumentException($"\"{column.Name}\" is no column name.", nameof(columns));
            }
        }

        DateTimeOffset moment = new(day.ToDateTime(TimeOnly.MinValue), TimeSpan.Zero);
        using SqliteConnection connection = GeoPackageConnection.Open(path, SqliteOpenMode.ReadWriteCreate);
        GeoPackageConnection.InTransaction(
            connection,
            () =>
            {
                GeoPackageSchema.Create(connection, referenceSystem);
                GeoPackageSchema.AddLayer(
                    connection,
                    "observations",
                    string.Join(", ", ["plant INTEGER NOT NULL UNIQUE", .. columns.Select(c => $"{c.Name} DOUBLE")]),
                    "POINT",
                    referenceSystem.EpsgCode,
                    string.Create(CultureInfo.InvariantCulture, $"every plant as measured on {day:yyyy-MM-dd}"),
                    moment
                );
                GeoPackageSchema.AddTable(
                    connection,
                    "quantities",
                    "name TEXT NOT NULL UNIQUE, unit TEXT NOT NULL, description TEXT NOT NULL",
                    "unit and meaning of each column of observations",
                    moment
                );
                foreach (ObservationColumn column in columns)
                {
                    GeoPackageConnection.Execute(
                        connection,
                        "INSERT INTO quantities (name, unit, description) VALUES ($name, $unit, $description)",
                        ("$name", column.Name),
                        ("$unit", column.Unit),
                        ("$description", column.Description)
                    );
                }

                Insert(connection, referenceSystem.EpsgCode, columns, observations.OrderBy(one => one.Plant));
                GeoPackageSchema.Touch(connection, "observations", moment);
                AddRows(connection, referenceSystem.EpsgCode, rows ?? [], moment);
                AddEmpty(connection, referenceSystem.EpsgCode, empty ?? [], moment);
                return true;
            }
        );
    }

    /// <summary>What was measured, and every plant's values, by plant number.</summary>
    public static (IReadOnlyList<ObservationColumn> Columns, IReadOnlyList<PlantObservation> Observations) Read(
        string path
    )
    {
        using SqliteConnection connection = GeoPackageConnection.OpenUnchangeable(path);
        List<ObservationColumn> columns = GeoPackageConnection.Query(
            connection,
            "SELECT name, unit, description FROM quantities ORDER BY id",
            row => new ObservationColumn(row.GetString(0), row.GetString(1), row.GetString(2))
        );
        string names = string.Concat(columns.Select(column => ", " + column.Name));
        List<PlantObservation> rows = GeoPackageConnection.Query(
            connection,
            $"SELECT plant, geom{names} FROM observations ORDER BY plant",
            row =>
            {
                Coordinate at = GeometryBlob.Read(row.GetFieldValue<byte[]>(1)).Coordinate;
                double[] values =
                [
                    .. columns.Select((_, i) => row.IsDBNull(i + 2) ? double.NaN : row.GetDouble(i + 2)),
                ];
                return new PlantObservation(row.GetInt64(0), new GridPoint(at.X, at.Y), values);
            }
        );
        return (columns, rows);
    }

    private static void AddRows(
        SqliteConnection connection,
        int srsId,
        IReadOnlyList<RowLine> rows,
        DateTimeOffset moment
    )
    {
        GeoPackageSchema.AddLayer(
            connection,
            "rows",
            "block TEXT NOT NULL, row_number INTEGER NOT NULL, length_metres DOUBLE",
            "LINESTRING",
            srsId,
            "planted lines",
            moment
        );
        foreach (RowLine row in rows.Where(row => row.Line.Count >= 2))
        {
            GeoPackageConnection.Execute(
                connection,
                "INSERT INTO rows (geom, block, row_number, length_metres) VALUES ($geom, $block, $row, $length)",
                (
                    "$geom",
                    GeometryBlob.Write(
                        new LineString([
                            .. row.Line.Select(point => new Coordinate(point.EastingMetres, point.NorthingMetres)),
                        ]),
                        srsId
                    )
                ),
                ("$block", row.Block),
                ("$row", row.Row),
                ("$length", row.LengthMetres)
            );
        }

        GeoPackageSchema.Touch(connection, "rows", moment);
    }

    private static void AddEmpty(
        SqliteConnection connection,
        int srsId,
        IReadOnlyList<EmptyPlace> empty,
        DateTimeOffset moment
    )
    {
        GeoPackageSchema.AddLayer(
            connection,
            "gaps",
            """
            block TEXT NOT NULL, row_number INTEGER NOT NULL, place_in_row INTEGER NOT NULL, hidden BOOLEAN NOT NULL,
            reason TEXT NOT NULL
            """,
            "POINT",
            srsId,
            "positions of a row where no plant was seen: gaps, or hidden from view",
            moment
        );
        foreach (EmptyPlace place in empty)
        {
            GeoPackageConnection.Execute(
                connection,
                """
                INSERT INTO gaps (geom, block, row_number, place_in_row, hidden, reason)
                VALUES ($geom, $block, $row, $place, $hidden, $reason)
                """,
                ("$geom", GeometryBlob.Write(new Point(place.Place.EastingMetres, place.Place.NorthingMetres), srsId)),
                ("$block", place.Block),
                ("$row", place.Row),
                ("$place", place.PlaceInRow),
                ("$hidden", place.Hidden ? 1 : 0),
                ("$reason", place.Reason)
            );
        }

        GeoPackageSchema.Touch(connection, "gaps", moment);
    }

    private static void Insert(
        SqliteConnection connection,
        int srsId,
        IReadOnlyList<ObservationColumn> columns,
        IEnumerable<PlantObservation> observations,
        IReadOnlyList<RowLine>? rows = null,
        IReadOnlyList<EmptyPlace>? empty = null
    )
    {
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText =
            $"INSERT INTO observations (plant, geom{string.Concat(columns.Select(c => ", " + c.Name))}) "
            + $"VALUES ($plant, $geom{string.Concat(columns.Select((_, i) => FormattableString.Invariant($", $v{i}")))})";
        SqliteParameter plant = command.Parameters.Add("$plant", SqliteType.Integer);
        SqliteParameter geometry = command.Parameters.Add("$geom", SqliteType.Blob);
        SqliteParameter[] values =
        [
            .. columns.Select((_, i) => command.Parameters.Add(FormattableString.Invariant($"$v{i}"), SqliteType.Real)),
        ];
        foreach (PlantObservation one in observations)
        {
            if (one.Values.Count != columns.Count)
            {
                throw new ArgumentException(
                    $"Plant {one.Plant} has {one.Values.Count} values for {columns.Count} columns.",
                    nameof(observations)
                );
            }

            plant.Value = one.Plant;
            geometry.Value = GeometryBlob.Write(new Point(one.Place.EastingMetres, one.Place.NorthingMetres), srsId);
            for (int i = 0; i < values.Length; i++)
            {
                values[i].Value = double.IsFinite(one.Values[i]) ? one.Values[i] : DBNull.Value;
            }

            command.ExecuteNonQuery();
        }
    }
}
