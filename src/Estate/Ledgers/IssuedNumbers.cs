using Hillrow.Earth;
using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>The table plants: every number ever issued, which is what the ledger remembers.</summary>
internal static class IssuedNumbers
{
    private const string Spelling = "not-plant";

    public static IReadOnlyList<IssuedNumber> Read(EstateFolder estate)
    {
        using SqliteConnection connection = estate.OpenDatabase();
        return GeoPackageConnection.Query(
            connection,
            """
            SELECT plant, block_id, issued_survey, issued_easting, issued_northing, row_number, place_in_row, geom,
              last_survey, first_survey FROM plants ORDER BY plant
            """,
            row =>
            {
                Coordinate at = GeometryBlob.Read(row.GetFieldValue<byte[]>(7)).Coordinate;
                GridPoint place = new(at.X, at.Y);
                // Before version 5 a number's sighting was not kept: its first survey, about where it was last seen.
                bool kept = !row.IsDBNull(3) && !row.IsDBNull(4);
                return new IssuedNumber(
                    row.GetInt64(0),
                    row.IsDBNull(1) ? 0 : row.GetInt64(1),
                    new IssuedAt(
                        kept ? row.GetString(2) : row.GetString(9),
                        kept ? new GridPoint(row.GetDouble(3), row.GetDouble(4)) : place
                    ),
                    row.IsDBNull(5) ? 0 : row.GetInt32(5),
                    row.IsDBNull(6) ? 0 : row.GetInt32(6),
                    place,
                    row.GetString(8)
                );
            }
        );
    }

    /// <summary>Inside a transaction.</summary>
    public static void Replace(SqliteConnection connection, Ledger ledger, int epsg)
    {
        GeoPackageConnection.Execute(connection, "DELETE FROM plants");
        HashSet<long> blocks =
        [
            .. GeoPackageConnection.Query(connection, "SELECT id FROM blocks", row => row.GetInt64(0)),
        ];
        using SqliteCommand insert = connection.CreateCommand();
        insert.CommandText = """
            INSERT INTO plants (id, geom, plant, block_id, row_number, place_in_row, first_survey, last_survey, state,
              issued_survey, issued_easting, issued_northing, merged_into)
            VALUES ($plant, $geom, $plant, $block, $row, $place, $first, $last, $state, $issued, $easting, $northing, $merged)
            """;
        SqliteParameter Parameter(string name) => insert.Parameters.Add(new SqliteParameter(name, DBNull.Value));
        SqliteParameter number = Parameter("$plant");
        SqliteParameter geometry = Parameter("$geom");
        SqliteParameter block = Parameter("$block");
        SqliteParameter row = Parameter("$row");
        SqliteParameter place = Parameter("$place");
        SqliteParameter first = Parameter("$first");
        SqliteParameter last = Parameter("$last");
        SqliteParameter state = Parameter("$state");
        SqliteParameter issued = Parameter("$issued");
        SqliteParameter easting = Parameter("$easting");
        SqliteParameter northing = Parameter("$northing");
        SqliteParameter merged = Parameter("$merged");
        foreach (LedgerPlant plant in ledger.Plants)
        {
            number.Value = plant.Number;
            geometry.Value = GeometryBlob.Write(
                new Point(plant.Last.Place.EastingMetres, plant.Last.Place.NorthingMetres),
                epsg
            );
            block.Value = blocks.Contains(plant.BlockId) ? plant.BlockId : DBNull.Value;
            row.Value = plant.Last.Row;
            place.Value = plant.PlaceInRow;
            first.Value = plant.FirstSurvey;
            last.Value = plant.LastSurvey;
            state.Value = WordOf(plant.State);
            issued.Value = plant.Issued.Survey;
            easting.Value = plant.Issued.Place.EastingMetres;
            northing.Value = plant.Issued.Place.NorthingMetres;
            merged.Value = plant.MergedInto == 0 ? DBNull.Value : plant.MergedInto;
            insert.ExecuteNonQuery();
        }
    }

    public static string WordOf(LedgerState state) =>
        state == LedgerState.NotPlant ? Spelling : state.ToString().ToLowerInvariant();
}
