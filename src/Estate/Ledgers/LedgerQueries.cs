using Hillrow.Earth;
using Hillrow.Numerics;
using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>A plant of the ledger as people ask for it.</summary>
/// <param name="Number">For life.</param>
/// <param name="Block">Name of its block; empty when that is gone.</param>
/// <param name="Row">Row when last seen.</param>
/// <param name="PlaceInRow">Position in the row, gaps counted.</param>
/// <param name="Place">When last seen, in the estate's UTM zone.</param>
/// <param name="FirstSurvey">That saw it.</param>
/// <param name="LastSurvey">That saw it.</param>
/// <param name="State">"standing", "stumped", "unseen", "gone", "not-plant", "merged" or "withdrawn".</param>
/// <param name="MergedInto">The older number of the same plant; null for most.</param>
public sealed record PlantEntry(
    long Number,
    string Block,
    int Row,
    int PlaceInRow,
    GridPoint Place,
    string FirstSurvey,
    string LastSurvey,
    string State,
    long? MergedInto
);

/// <summary>What one survey says of a plant.</summary>
/// <param name="Survey">Its id.</param>
/// <param name="Place">As that survey found it.</param>
/// <param name="Values">By column of observations.gpkg; NaN where it could not be measured.</param>
public sealed record PlantSighting(string Survey, GridPoint Place, IReadOnlyDictionary<string, double> Values);

/// <summary>How many plants of a block are in which state.</summary>
public sealed record BlockCount(string Block, string State, long Plants);

/// <summary>A part of the map.</summary>
/// <param name="Plants">Those in it; none when there are more than were asked for.</param>
/// <param name="TooMany">True: more plants than the limit; come nearer.</param>
public sealed record LedgerView(IReadOnlyList<PlantEntry> Plants, bool TooMany);

/// <summary>Questions to the ledger, each answered through an index: by number, by block, by place.</summary>
public sealed class LedgerQueries(EstateFolder estate)
{
    private const string Columns = """
        SELECT p.plant, b.name, p.row_number, p.place_in_row, p.geom, p.first_survey, p.last_survey, p.state, p.merged_into
        FROM plants p LEFT JOIN blocks b ON b.id = p.block_id
        """;

    /// <exception cref="InputProblemException">The number was never issued.</exception>
    public PlantEntry Plant(long number)
    {
        using SqliteConnection connection = estate.OpenDatabase();
        List<PlantEntry> found = GeoPackageConnection.Query(
            connection,
            $"{Columns} WHERE p.plant = $plant",
            Read,
            ("$plant", number)
        );
        return found.Count == 1 ? found[0] : throw Unknown(connection, number);
    }

    /// <summary>All that the surveys say of a plant, in the order of their days.</summary>
    public IReadOnlyList<PlantSighting> History(long number)
    {
        using SqliteConnection connection = estate.OpenDatabase();
        List<PlantSighting> history = [];
        foreach ((string survey, string file) in ObservationFiles(connection))
        {
            using SqliteConnection observations = GeoPackageConnection.OpenUnchangeable(file);
            history.AddRange(
                GeoPackageConnection.Query(
                    observations,
                    "SELECT * FROM observations WHERE plant = $plant",
                    row => SightingOf(survey, row),
                    ("$plant", number)
                )
            );
        }

        return history;
    }

    /// <summary>Plants of a block by row and position.</summary>
    public IReadOnlyList<PlantEntry> OfBlock(long blockId)
    {
        using SqliteConnection connection = estate.OpenDatabase();
        return GeoPackageConnection.Query(
            connection,
            $"{Columns} WHERE p.block_id = $block ORDER BY p.row_number, p.place_in_row, p.plant",
            Read,
            ("$block", blockId)
        );
    }

    /// <summary>Plants within a rectangle of the map, by number; stops as soon as there are more than a limit.</summary>
    public LedgerView InView(double westMetres, double southMetres, double eastMetres, double northMetres, int limit)
    {
        using SqliteConnection connection = estate.OpenDatabase();
        // The join's order is forced: the R-tree first, whatever the planner thinks it knows.
        List<PlantEntry> found = GeoPackageConnection.Query(
            connection,
            """
            SELECT p.plant, b.name, p.row_number, p.place_in_row, p.geom, p.first_survey, p.last_survey, p.state, p.merged_into
            FROM rtree_plants_geom r CROSS JOIN plants p ON p.id = r.id LEFT JOIN blocks b ON b.id = p.block_id
            WHERE r.minx <= $east AND r.maxx >= $west AND r.miny <= $north AND r.maxy >= $south LIMIT $limit
            """,
            Read,
            ("$west", westMetres),
            ("$east", eastMetres),
            ("$south", southMetres),
            ("$north", northMetres),
            ("$limit", limit + 1L)
        );
        return found.Count > limit
            ? new LedgerView([], TooMany: true)
            : new LedgerView([.. found.OrderBy(plant => plant.Number)], TooMany: false);
    }

    /// <summary>Counts by block and state.</summary>
    public IReadOnlyList<BlockCount> Counts()
    {
        using SqliteConnection connection = estate.OpenDatabase();
        return GeoPackageConnection.Query(
            connection,
            """
            SELECT coalesce(b.name, ''), p.state, count(*) FROM plants p LEFT JOIN blocks b ON b.id = p.block_id
            GROUP BY 1, 2 ORDER BY 1, 2
            """,
            row => new BlockCount(row.GetString(0), row.GetString(1), row.GetInt64(2))
        );
    }

    /// <summary>Where the number was issued: what a correction ties to.</summary>
    internal IssuedAt IssuedOf(long number)
    {
        using SqliteConnection connection = estate.OpenDatabase();
        List<IssuedAt> found = GeoPackageConnection.Query(
            connection,
            "SELECT issued_survey, issued_easting, issued_northing FROM plants WHERE plant = $plant AND issued_easting IS NOT NULL",
            row => new IssuedAt(row.GetString(0), new GridPoint(row.GetDouble(1), row.GetDouble(2))),
            ("$plant", number)
        );
        return found.Count == 1 ? found[0] : throw Unknown(connection, number);
    }

    private List<(string Survey, string File)> ObservationFiles(SqliteConnection connection) =>
        GeoPackageConnection.Query(
            connection,
            "SELECT subject, place FROM run_steps WHERE step = $step AND place <> '' ORDER BY subject",
            row => (row.GetString(0), Path.Combine(estate.Root, row.GetString(1), ObservationsFile.FileName)),
            ("$step", ObservationsStep.Name)
        );

    private static PlantSighting SightingOf(string survey, SqliteDataReader row)
    {
        Dictionary<string, double> values = [];
        GridPoint place = default;
        for (int column = 0; column < row.FieldCount; column++)
        {
            switch (row.GetName(column))
            {
                case "id" or "plant":
                    break;
                case "geom":
                    Coordinate at = GeometryBlob.Read(row.GetFieldValue<byte[]>(column)).Coordinate;
                    place = new GridPoint(at.X, at.Y);
                    break;
                case string name:
                    values[name] = row.IsDBNull(column) ? double.NaN : row.GetDouble(column);
                    break;
            }
        }

        return new PlantSighting(survey, place, values);
    }

    private static PlantEntry Read(SqliteDataReader row)
    {
        Coordinate at = GeometryBlob.Read(row.GetFieldValue<byte[]>(4)).Coordinate;
        return new PlantEntry(
            row.GetInt64(0),
            row.IsDBNull(1) ? "" : row.GetString(1),
            row.IsDBNull(2) ? 0 : row.GetInt32(2),
            row.IsDBNull(3) ? 0 : row.GetInt32(3),
            new GridPoint(at.X, at.Y),
            row.GetString(5),
            row.GetString(6),
            row.GetString(7),
            row.IsDBNull(8) ? null : row.GetInt64(8)
        );
    }

    private InputProblemException Unknown(SqliteConnection connection, long number)
    {
        long most = GeoPackageConnection.Scalar(connection, "SELECT max(plant) FROM plants") as long? ?? 0;
        return new InputProblemException(
            $"plant {number}",
            most == 0 ? "does not exist: no plant has a number yet." : $"does not exist: numbers go from 1 to {most}.",
            most == 0 ? $"Make maps and findings with `hillrow run {estate.Root}`." : "Look it up in a block's list."
        );
    }
}
