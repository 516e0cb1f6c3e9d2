using Hillrow.Earth;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>The tables that make a SQLite file a GeoPackage 1.3, and the adding of layers and plain tables to it.</summary>
/// <remarks>Source: OGC 12-128r17 (GeoPackage 1.3), clauses 1.1 and 2.1, annexes C and F.3.</remarks>
public static class GeoPackageSchema
{
    private const int ApplicationId = 0x47504B47;
    private const int Version = 10300;

    /// <summary>Makes the compulsory tables in an empty file.</summary>
    public static void Create(SqliteConnection connection, ReferenceSystem referenceSystem)
    {
        GeoPackageConnection.Execute(connection, $"PRAGMA application_id = {ApplicationId}");
        GeoPackageConnection.Execute(connection, $"PRAGMA user_version = {Version}");
        GeoPackageConnection.Execute(connection, CompulsoryTables);
        AddReferenceSystem(connection, referenceSystem);
    }

    public static void AddReferenceSystem(SqliteConnection connection, ReferenceSystem referenceSystem)
    {
        if (referenceSystem.EpsgCode == 4326)
        {
            return;
        }

        GeoPackageConnection.Execute(
            connection,
            """
            INSERT INTO gpkg_spatial_ref_sys (srs_name, srs_id, organization, organization_coordsys_id, definition)
            VALUES ($name, $id, 'EPSG', $id, $definition)
            """,
            ("$name", UtmDefinition.NameOf(referenceSystem)),
            ("$id", referenceSystem.EpsgCode),
            ("$definition", UtmDefinition.TextOf(referenceSystem))
        );
    }

    /// <summary>Adds a layer with a geometry column <c>geom</c>, its R-tree and the triggers that keep it true.</summary>
    /// <param name="connection">An open file.</param>
    /// <param name="table">Name of the layer: letters and underscores.</param>
    /// <param name="columns">SQL of the columns besides <c>id</c> and <c>geom</c>.</param>
    /// <param name="geometryType">POINT, MULTIPOLYGON, GEOMETRY …</param>
    /// <param name="srsId">EPSG code of the layer's reference system.</param>
    /// <param name="description">One line for the reader of the file.</param>
    /// <param name="lastChange">Moment written as the layer's last change.</param>
    public static void AddLayer(
        SqliteConnection connection,
        string table,
        string columns,
        string geometryType,
        int srsId,
        string description,
        DateTimeOffset lastChange
    )
    {
        GeoPackageConnection.Execute(
            connection,
            $"CREATE TABLE {table} (id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, geom {geometryType}, {columns})"
        );
        AddContents(connection, table, "features", description, srsId, lastChange);
        GeoPackageConnection.Execute(
            connection,
            $"""
            INSERT INTO gpkg_geometry_columns VALUES ('{table}', 'geom', '{geometryType}', {srsId}, 0, 0);
            INSERT INTO gpkg_extensions VALUES ('{table}', 'geom', 'gpkg_rtree_index',
              'http://www.geopackage.org/spec120/#extension_rtree', 'write-only');
            """
        );
        GeoPackageConnection.Execute(connection, SpatialIndex(table));
    }

    /// <summary>Adds a table without geometry, listed so that any GIS shows it.</summary>
    public static void AddTable(
        SqliteConnection connection,
        string table,
        string columns,
        string description,
        DateTimeOffset lastChange
    )
    {
        GeoPackageConnection.Execute(
            connection,
            $"CREATE TABLE {table} (id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, {columns})"
        );
        AddContents(connection, table, "attributes", description, 0, lastChange);
    }

    /// <summary>Brings a layer's stated bounds and last change up to date.</summary>
    public static void Touch(SqliteConnection connection, string table, DateTimeOffset? lastChange)
    {
        bool layer =
            (string?)
                GeoPackageConnection.Scalar(
                    connection,
                    "SELECT data_type FROM gpkg_contents WHERE table_name = $table",
                    ("$table", table)
                ) == "features";
        if (layer)
        {
            GeoPackageConnection.Execute(
                connection,
                $"""
                UPDATE gpkg_contents SET
                  min_x = (SELECT min(minx) FROM rtree_{table}_geom), min_y = (SELECT min(miny) FROM rtree_{table}_geom),
                  max_x = (SELECT max(maxx) FROM rtree_{table}_geom), max_y = (SELECT max(maxy) FROM rtree_{table}_geom)
                WHERE table_name = '{table}'
                """
            );
        }

        if (lastChange is { } moment)
        {
            GeoPackageConnection.Execute(
                connection,
                "UPDATE gpkg_contents SET last_change = $moment WHERE table_name = $table",
                ("$moment", Stamp(moment)),
                ("$table", table)
            );
        }
    }

    private static void AddContents(
        SqliteConnection connection,
        string table,
        string kind,
        string description,
        int srsId,
        DateTimeOffset lastChange
    ) =>
        GeoPackageConnection.Execute(
            connection,
            """
            INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change, srs_id)
            VALUES ($table, $kind, $table, $description, $moment, $srs)
            """,
            ("$table", table),
            ("$kind", kind),
            ("$description", description),
            ("$moment", Stamp(lastChange)),
            ("$srs", kind == "features" ? srsId : null)
        );

    private static string Stamp(DateTimeOffset moment) =>
        moment.UtcDateTime.ToString("yyyy-MM-dd'T'HH:mm:ss.fff'Z'", System.Globalization.CultureInfo.InvariantCulture);

    private static string SpatialIndex(string table)
    {
        string index = $"rtree_{table}_geom";
        string newBox = "NEW.id, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom)";
        string shown = "(NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom))";
        string hidden = "(NEW.geom ISNULL OR ST_IsEmpty(NEW.geom))";
        return $"""
            CREATE VIRTUAL TABLE {index} USING rtree(id, minx, maxx, miny, maxy);
            CREATE TRIGGER {index}_insert AFTER INSERT ON {table} WHEN {shown}
              BEGIN INSERT OR REPLACE INTO {index} VALUES ({newBox}); END;
            CREATE TRIGGER {index}_update1 AFTER UPDATE OF geom ON {table} WHEN OLD.id = NEW.id AND {shown}
              BEGIN INSERT OR REPLACE INTO {index} VALUES ({newBox}); END;
            CREATE TRIGGER {index}_update2 AFTER UPDATE OF geom ON {table} WHEN OLD.id = NEW.id AND {hidden}
              BEGIN DELETE FROM {index} WHERE id = OLD.id; END;
            CREATE TRIGGER {index}_update3 AFTER UPDATE ON {table} WHEN OLD.id != NEW.id AND {shown}
              BEGIN DELETE FROM {index} WHERE id = OLD.id; INSERT OR REPLACE INTO {index} VALUES ({newBox}); END;
            CREATE TRIGGER {index}_update4 AFTER UPDATE ON {table} WHEN OLD.id != NEW.id AND {hidden}
              BEGIN DELETE FROM {index} WHERE id IN (OLD.id, NEW.id); END;
            CREATE TRIGGER {index}_delete AFTER DELETE ON {table} WHEN OLD.geom NOT NULL
              BEGIN DELETE FROM {index} WHERE id = OLD.id; END;
            """;
    }

    private const string CompulsoryTables = """
        CREATE TABLE gpkg_spatial_ref_sys (
          srs_name TEXT NOT NULL, srs_id INTEGER NOT NULL PRIMARY KEY, organization TEXT NOT NULL,
          organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT);
        INSERT INTO gpkg_spatial_ref_sys VALUES
          ('Undefined cartesian SRS', -1, 'NONE', -1, 'undefined', 'undefined cartesian coordinate reference system'),
          ('Undefined geographic SRS', 0, 'NONE', 0, 'undefined', 'undefined geographic coordinate reference system'),
          ('WGS 84 geodetic', 4326, 'EPSG', 4326,
           'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]]',
           'longitude/latitude coordinates in decimal degrees on the WGS 84 spheroid');
        CREATE TABLE gpkg_contents (
          table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, identifier TEXT UNIQUE,
          description TEXT DEFAULT '', last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
          min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE, srs_id INTEGER,
          CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
        CREATE TABLE gpkg_geometry_columns (
          table_name TEXT NOT NULL, column_name TEXT NOT NULL, geometry_type_name TEXT NOT NULL,
          srs_id INTEGER NOT NULL, z TINYINT NOT NULL, m TINYINT NOT NULL,
          CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
          CONSTRAINT uk_gc_table_name UNIQUE (table_name),
          CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
          CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id));
        CREATE TABLE gpkg_extensions (
          table_name TEXT, column_name TEXT, extension_name TEXT NOT NULL, definition TEXT NOT NULL,
          scope TEXT NOT NULL, CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name));
        """;
}
