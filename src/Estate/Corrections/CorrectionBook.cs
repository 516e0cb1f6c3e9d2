using System.Globalization;
using Hillrow.Earth;
using Hillrow.Numerics;
using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>The corrections of an estate: rows of the table corrections, whose point is the sighting or its new place.</summary>
public sealed class CorrectionBook(EstateFolder estate)
{
    internal const string Table = "corrections";
    private const string DayForm = "yyyy-MM-dd";

    private static readonly Dictionary<CorrectionKind, string> Words = new()
    {
        [CorrectionKind.Same] = "same",
        [CorrectionKind.Moved] = "moved",
        [CorrectionKind.NotPlant] = "not-plant",
        [CorrectionKind.Missing] = "missing",
        [CorrectionKind.Label] = "label",
    };

    /// <summary>In the order they were made; rows of a kind that is not known here are left out.</summary>
    public IReadOnlyList<PlantCorrection> All()
    {
        using SqliteConnection connection = estate.OpenDatabase();
        return
        [
            .. GeoPackageConnection
                .Query(
                    connection,
                    $"SELECT what, survey, plant, geom, day, value, who, note FROM {Table} ORDER BY id",
                    Read
                )
                .OfType<PlantCorrection>(),
        ];
    }

    public void Add(PlantCorrection correction)
    {
        ArgumentNullException.ThrowIfNull(correction);
        GridPoint point = correction.MovedTo ?? correction.Sighted;
        string value = correction switch
        {
            { SameAs: { } other } => $"{Invariant(other.Plant)} {other.Survey} {Text(other.Place)}",
            { MovedTo: not null } => Text(correction.Sighted),
            { Kind: CorrectionKind.Label } => correction.Word,
            _ => "",
        };
        using SqliteConnection connection = estate.OpenDatabase();
        GeoPackageConnection.InTransaction(
            connection,
            () =>
            {
                GeoPackageConnection.Execute(
                    connection,
                    $"""
                    INSERT INTO {Table} (geom, day, survey, plant, what, value, who, note)
                    VALUES ($geom, $day, $survey, $plant, $what, $value, $who, $note)
                    """,
                    (
                        "$geom",
                        GeometryBlob.Write(
                            new Point(point.EastingMetres, point.NorthingMetres),
                            estate.ReferenceSystem.EpsgCode
                        )
                    ),
                    ("$day", correction.Day.ToString(DayForm, CultureInfo.InvariantCulture)),
                    ("$survey", correction.Survey),
                    ("$plant", correction.Plant),
                    ("$what", Words[correction.Kind]),
                    ("$value", value),
                    ("$who", correction.Who),
                    ("$note", correction.Note)
                );
                GeoPackageSchema.Touch(connection, Table, DateTimeOffset.UtcNow);
                return true;
            }
        );
    }

    private PlantCorrection? Read(SqliteDataReader row)
    {
        string what = row.GetString(0);
        string value = row.GetString(5);
        CorrectionKind? kind = Words
            .Where(word => word.Value == what)
            .Select(word => (CorrectionKind?)word.Key)
            .FirstOrDefault();
        if (kind is null || row.IsDBNull(3))
        {
            return null;
        }

        Coordinate at = GeometryBlob.Read(row.GetFieldValue<byte[]>(3)).Coordinate;
        GridPoint point = new(at.X, at.Y);
        string[] parts = value.Split(' ');
        PlantCorrection correction = new(
            kind.Value,
            row.GetString(1),
            row.IsDBNull(2) ? null : row.GetInt64(2),
            kind == CorrectionKind.Moved ? PlaceOf(parts, 0) : point,
            DateOnly.TryParseExact(row.GetString(4), DayForm, out DateOnly day) ? day : default
        )
        {
            MovedTo = kind == CorrectionKind.Moved ? point : null,
            Word = kind == CorrectionKind.Label ? value : "",
            Who = row.GetString(6),
            Note = row.GetString(7),
        };
        return kind == CorrectionKind.Same
            ? correction with
            {
                SameAs = (
                    long.TryParse(parts[0], CultureInfo.InvariantCulture, out long plant) ? plant : throw Wrong(value),
                    parts.Length == 4 ? parts[1] : throw Wrong(value),
                    PlaceOf(parts, 2)
                ),
            }
            : correction;
    }

    private GridPoint PlaceOf(string[] parts, int first) =>
        parts.Length >= first + 2
        && double.TryParse(parts[first], CultureInfo.InvariantCulture, out double east)
        && double.TryParse(parts[first + 1], CultureInfo.InvariantCulture, out double north)
            ? new GridPoint(east, north)
            : throw Wrong(string.Join(' ', parts));

    private InputProblemException Wrong(string value) =>
        new(
            estate.DatabaseFile,
            $"a row of the table {Table} holds \"{value}\", which is no place or number.",
            "Take the row out, and put it right with `hillrow correct`."
        );

    private static string Text(GridPoint place) =>
        string.Create(CultureInfo.InvariantCulture, $"{place.EastingMetres:R} {place.NorthingMetres:R}");

    private static string Invariant(long number) => number.ToString(CultureInfo.InvariantCulture);
}
