using System.Buffers.Binary;
using System.Globalization;
using Hillrow.Earth;
using Hillrow.Numerics;
using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>Reads the polygons of a layer of somebody's GeoPackage, without ever changing the file.</summary>
public static class GeoPackageBoundaries
{
    /// <param name="path">The file.</param>
    /// <param name="layer">The layer; null takes the only one that can hold polygons.</param>
    /// <exception cref="InputProblemException">Damaged, no GeoPackage, open elsewhere, or in a system we do not know.</exception>
    public static BoundarySet Read(string path, string? layer)
    {
        CheckWhole(path);
        string write = path + "-wal";
        if (File.Exists(write) && new FileInfo(write).Length > 0)
        {
            throw new InputProblemException(
                path,
                "is open in another program, and its newest changes are not in the file yet.",
                "Close it there, then try again."
            );
        }

        try
        {
            using SqliteConnection connection = GeoPackageConnection.OpenUnchangeable(path);
            return ReadLayer(connection, path, layer);
        }
        catch (Exception fault)
            when (fault
                    is SqliteException
                        or InvalidDataException
                        or InvalidCastException
                        or InvalidOperationException
                        or FormatException
                        or OverflowException
                        or ArgumentException
            )
        {
            string what = fault is SqliteException or InvalidDataException
                ? fault.Message
                : "a table holds values of a wrong kind";
            throw BoundaryFile.Damaged(path, what, fault);
        }
    }

    /// <summary>SQLite itself notices a missing end only when it needs the pages.</summary>
    private static void CheckWhole(string path)
    {
        Span<byte> header = stackalloc byte[100];
        using FileStream stream = File.OpenRead(path);
        if (
            stream.ReadAtLeast(header, 100, throwOnEndOfStream: false) < 100
            || !header.StartsWith("SQLite format 3\0"u8)
        )
        {
            throw BoundaryFile.Damaged(path, "it does not start as a GeoPackage does");
        }

        int pageBytes = BinaryPrimitives.ReadUInt16BigEndian(header[16..]);
        long wanted = (pageBytes == 1 ? 65_536L : pageBytes) * BinaryPrimitives.ReadUInt32BigEndian(header[28..]);
        if (stream.Length < wanted)
        {
            throw BoundaryFile.Damaged(path, $"it should be {wanted} bytes long, but is {stream.Length}");
        }
    }

    private static BoundarySet ReadLayer(SqliteConnection connection, string path, string? layer)
    {
        List<(string Table, string Column, long Srs)> layers =
        [
            .. GeoPackageConnection
                .Query(
                    connection,
                    "SELECT table_name, column_name, geometry_type_name, srs_id FROM gpkg_geometry_columns LIMIT 1000",
                    row => (row.GetString(0), row.GetString(1), row.GetString(2).ToUpperInvariant(), row.GetInt64(3))
                )
                .Where(row =>
                    row.Item3
                        is "POLYGON"
                            or "MULTIPOLYGON"
                            or "GEOMETRY"
                            or "GEOMETRYCOLLECTION"
                            or "MULTISURFACE"
                            or "SURFACE"
                )
                .Select(row => (row.Item1, row.Item2, row.Item4)),
        ];
        if (layer is not null)
        {
            layers = [.. layers.Where(one => one.Table.Equals(layer, StringComparison.OrdinalIgnoreCase))];
        }

        if (layers.Count != 1)
        {
            throw new InputProblemException(
                path,
                layers.Count == 0
                    ? $"has no polygon layer{(layer is null ? "" : $" \"{layer}\"")}."
                    : $"has {layers.Count} polygon layers: {Shortened(string.Join(", ", layers.Select(one => one.Table)))}.",
                layers.Count == 0 ? "Name another file or layer." : "Choose one with --layer."
            );
        }

        (string table, string column, long srs) = layers[0];
        List<string> notes = [];
        List<Boundary> boundaries = ReadRows(connection, table, column, notes);
        return new BoundarySet(path, SystemOf(connection, srs, path), boundaries, notes);
    }

    private static List<Boundary> ReadRows(SqliteConnection connection, string table, string column, List<string> notes)
    {
        List<Boundary> boundaries = [];
        int points = 0;
        int number = 0;
        using SqliteCommand command = GeoPackageConnection.Command(
            connection,
            $"SELECT * FROM {Quoted(table)} LIMIT {BoundaryLimits.Features}"
        );
        using SqliteDataReader reader = command.ExecuteReader();
        int geometryAt = reader.GetOrdinal(column);
        while (reader.Read())
        {
            string where = FormattableString.Invariant($"row {++number} of {Shortened(table)}");
            Dictionary<string, string> attributes = new(StringComparer.OrdinalIgnoreCase);
            for (int at = 0; at < reader.FieldCount; at++)
            {
                if (
                    at != geometryAt
                    && TextOf(reader.GetValue(at)) is { Length: > 0 and <= BoundaryLimits.TextLength } text
                )
                {
                    attributes[reader.GetName(at)] = text;
                }
            }

            if (reader.GetValue(geometryAt) is not byte[] blob)
            {
                notes.Add($"{where}: has no geometry and was left out");
                continue;
            }

            Geometry geometry = GeometryBlob.Read(blob);
            points += geometry.NumPoints;
            if (points > BoundaryLimits.Points)
            {
                throw new InvalidDataException($"it has more than {BoundaryLimits.Points} points");
            }

            List<Polygon> polygons = [.. Polygons(geometry)];
            if (polygons.Count > 0)
            {
                boundaries.Add(new Boundary(where, attributes, polygons));
            }
            else
            {
                notes.Add($"{where}: is a {geometry.GeometryType}, no polygon, and was left out");
            }
        }

        return boundaries;
    }

    private static IEnumerable<Polygon> Polygons(Geometry geometry) =>
        geometry switch
        {
            Polygon polygon => polygon.IsEmpty ? [] : [polygon],
            GeometryCollection parts => parts.Geometries.SelectMany(Polygons),
            _ => [],
        };

    private static ReferenceSystem SystemOf(SqliteConnection connection, long srs, string path)
    {
        List<(string Organization, long Code, string Definition)> found = GeoPackageConnection.Query(
            connection,
            "SELECT organization, organization_coordsys_id, definition FROM gpkg_spatial_ref_sys WHERE srs_id = $srs",
            row => (row.GetString(0), row.GetInt64(1), row.GetString(2)),
            ("$srs", srs)
        );
        if (found.Count == 0)
        {
            throw new InvalidDataException($"it does not describe its coordinate system {srs}");
        }

        (string organization, long code, string definition) = found[0];
        bool isCode = organization.Equals("EPSG", StringComparison.OrdinalIgnoreCase);
        return isCode && code is > 0 and <= int.MaxValue && ReferenceSystem.Find((int)code) is { } known ? known
            : isCode && definition.Equals("undefined", StringComparison.OrdinalIgnoreCase)
                ? ReferenceSystemText.FromCode(code.ToString(CultureInfo.InvariantCulture), path)
            : ReferenceSystemText.FromWellKnownText(definition, path);
    }

    private static string TextOf(object value) =>
        value switch
        {
            string text => text.Trim(),
            long number => number.ToString(CultureInfo.InvariantCulture),
            double number => number.ToString("R", CultureInfo.InvariantCulture),
            _ => "",
        };

    private static string Quoted(string name) => "\"" + name.Replace("\"", "\"\"", StringComparison.Ordinal) + "\"";

    private static string Shortened(string text)
    {
        string plain = new([.. text.Select(c => char.IsControl(c) ? ' ' : c)]);
        return plain.Length > 100 ? plain[..100] + " …" : plain;
    }
}
