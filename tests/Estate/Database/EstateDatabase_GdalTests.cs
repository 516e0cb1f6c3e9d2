using Hillrow.Earth;
using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class EstateDatabase_GdalTests : IDisposable
{
    private readonly ScratchEstate scratch = new();

    public void Dispose() => scratch.Dispose();

    [Fact]
    public void NewEstate_ValidatorAndOgrinfo_HaveNoComplaint()
    {
        Assert.SkipUnless(GeoPackageValidator.Present, "no GDAL here");
        Assert.Empty(GeoPackageValidator.Complaints(scratch.Estate.DatabaseFile));
        Assert.DoesNotContain(
            "Warning",
            GeoPackageValidator.Listing(scratch.Estate.DatabaseFile),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void FilledEstate_ValidatorAndOgrinfo_SeeWhatWasStored()
    {
        Assert.SkipUnless(GeoPackageValidator.Present, "no GDAL here");
        BlockBook book = new(scratch.Estate);
        book.Store([Square("North", 0), Square("South", 500)], replace: false);
        book.Add(new BlockLogEntry("North", new DateOnly(2026, 1, 5), LogKind.Rain, 12, "mm", "", ""));
        Assert.Empty(GeoPackageValidator.Complaints(scratch.Estate.DatabaseFile));
        string listing = GeoPackageValidator.Listing(scratch.Estate.DatabaseFile);
        Assert.Contains("name (String) = North", listing, StringComparison.Ordinal);
        Assert.Contains("WGS 84 / UTM zone 18S", listing, StringComparison.Ordinal);
        Assert.Contains(
            "Extent: (466000.000000, 9197000.000000) - (466600.000000, 9197100.000000)",
            listing,
            StringComparison.Ordinal
        );
        Assert.DoesNotContain("Warning", listing, StringComparison.Ordinal);
    }

    [Fact]
    public void Observations_ValidatorAndOgrinfo_SeeWhatWasWritten()
    {
        Assert.SkipUnless(GeoPackageValidator.Present, "no GDAL here");
        string path = Path.Combine(scratch.Folder, ObservationsFile.FileName);
        WriteObservations(path);
        Assert.Empty(GeoPackageValidator.Complaints(path));
        Assert.Contains(
            "crown_area_square_metres (Real) = 2.5",
            GeoPackageValidator.Listing(path),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Observations_SameData_SameBytesWhateverTheirOrder()
    {
        string first = Path.Combine(scratch.Folder, "a.gpkg");
        string second = Path.Combine(scratch.Folder, "b.gpkg");
        WriteObservations(first);
        WriteObservations(second, reversed: true);
        Assert.Equal(File.ReadAllBytes(first), File.ReadAllBytes(second));
        Assert.Equal(["a.gpkg", "b.gpkg"], Directory.GetFiles(scratch.Folder).Select(Path.GetFileName).Order());
    }

    [Fact]
    public void Observations_ReadBack_AreWhatWasWritten()
    {
        string path = Path.Combine(scratch.Folder, ObservationsFile.FileName);
        WriteObservations(path);
        var (columns, rows) = ObservationsFile.Read(path);
        Assert.Equal("m2", columns[0].Unit);
        Assert.Equal([7, 9], rows.Select(row => row.Plant));
        Assert.Equal(new GridPoint(466_000.25, 9_197_000.5), rows[0].Place);
        Assert.Equal(2.5, rows[0].Values[0]);
        Assert.True(double.IsNaN(rows[1].Values[1]));
    }

    [Fact]
    public void ClosedDatabase_LeavesNoSideFiles()
    {
        new BlockBook(scratch.Estate).Store([Square("North", 0)], replace: false);
        Assert.Empty(Directory.GetFiles(scratch.Estate.Root, "estate.gpkg-*"));
    }

    [Fact]
    public void SpatialIndex_FollowsInsertUpdateAndDelete()
    {
        new BlockBook(scratch.Estate).Store([Square("North", 0)], replace: false);
        new BlockBook(scratch.Estate).Store([Square("North", 2000)], replace: true);
        using SqliteConnection connection = scratch.Estate.OpenDatabase();
        Assert.Equal(
            468_000.0,
            (double)GeoPackageConnection.Scalar(connection, "SELECT minx FROM rtree_blocks_geom")!,
            1.0
        );
        GeoPackageConnection.Execute(connection, "UPDATE blocks SET geom = NULL");
        Assert.Equal(0L, GeoPackageConnection.Scalar(connection, "SELECT count(*) FROM rtree_blocks_geom"));
        GeoPackageConnection.Execute(connection, "DELETE FROM blocks");
        Assert.Equal(0L, GeoPackageConnection.Scalar(connection, "SELECT count(*) FROM blocks"));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Open_OlderTables_AreBroughtUpAndRowsKept(int version)
    {
        string path = scratch.Estate.DatabaseFile;
        File.Delete(path);
        using (SqliteConnection old = GeoPackageConnection.Open(path, SqliteOpenMode.ReadWriteCreate))
        {
            GeoPackageSchema.Create(old, scratch.Estate.ReferenceSystem);
            GeoPackageSchema.AddTable(old, "estate_schema", "version INTEGER NOT NULL", "", DateTimeOffset.UnixEpoch);
            GeoPackageConnection.Execute(old, "INSERT INTO estate_schema (version) VALUES (0)");
            EstateDatabase.Migrate(old, scratch.Estate.ReferenceSystem, version);
            GeoPackageConnection.Execute(old, "INSERT INTO blocks (name) VALUES ('Old')");
        }

        EstateFolder opened = EstateFolder.Open(scratch.Estate.Root);
        using SqliteConnection connection = opened.OpenDatabase();
        Assert.Equal(
            (long)SchemaVersions.All.Count,
            GeoPackageConnection.Scalar(connection, "SELECT version FROM estate_schema")
        );
        Assert.Equal("Old", GeoPackageConnection.Scalar(connection, "SELECT name FROM blocks"));
        Assert.Equal(0L, GeoPackageConnection.Scalar(connection, "SELECT count(*) FROM run_steps"));
    }

    [Fact]
    public void Open_NewerTables_RefusedInOneLine()
    {
        using (SqliteConnection connection = scratch.Estate.OpenDatabase())
        {
            GeoPackageConnection.Execute(connection, "UPDATE estate_schema SET version = 99");
        }

        var problem = Assert.Throws<Numerics.InputProblemException>(() => EstateFolder.Open(scratch.Estate.Root));
        Assert.Contains("newer hillrow", problem.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("no database at all")]
    [InlineData("")]
    public void Open_DamagedDatabase_RefusedInOneLine(string content)
    {
        File.WriteAllText(scratch.Estate.DatabaseFile, content);
        var problem = Assert.Throws<Numerics.InputProblemException>(() => EstateFolder.Open(scratch.Estate.Root));
        Assert.Contains("estate.gpkg", problem.Message, StringComparison.Ordinal);
        Assert.Contains("Restore it from a copy", problem.Message, StringComparison.Ordinal);
    }

    private static Block Square(string name, double eastward)
    {
        double west = 466_000 + eastward;
        Polygon square = new(
            new LinearRing([
                new(west, 9_197_000),
                new(west + 100, 9_197_000),
                new(west + 100, 9_197_100),
                new(west, 9_197_100),
                new(west, 9_197_000),
            ])
        );
        return new Block(0, name, new MultiPolygon([square]), new BlockFacts("coffee"), "test");
    }

    private static void WriteObservations(string path, bool reversed = false)
    {
        PlantObservation[] plants =
        [
            new(7, new GridPoint(466_000.25, 9_197_000.5), [2.5, 1.8]),
            new(9, new GridPoint(466_002.25, 9_197_000.5), [3.5, double.NaN]),
        ];
        ObservationsFile.Write(
            path,
            ReferenceSystem.Utm(18, north: false),
            new DateOnly(2026, 3, 14),
            [
                new ObservationColumn("crown_area_square_metres", "m2", "area of the crown seen from above"),
                new ObservationColumn("height_metres", "m", "height of the crown above ground"),
            ],
            reversed ? plants.Reverse() : plants
        );
    }
}
