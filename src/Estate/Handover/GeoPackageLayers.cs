using Hillrow.Earth;
using Hillrow.Handover;
using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>Writes layers into one new OGC GeoPackage.</summary>
internal static class GeoPackageLayers
{
    /// <param name="path">The file to make; its folder exists, an older one is replaced.</param>
    /// <param name="layers">All of one reference system.</param>
    /// <param name="day">Stands for the date of change, so that equal layers give equal bytes.</param>
    public static void Write(string path, IReadOnlyList<Layer> layers, DateOnly day)
    {
        File.Delete(path);
        DateTimeOffset moment = new(day.ToDateTime(TimeOnly.MinValue), TimeSpan.Zero);
        using SqliteConnection connection = GeoPackageConnection.Open(path, SqliteOpenMode.ReadWriteCreate);
        GeoPackageConnection.InTransaction(
            connection,
            () =>
            {
                GeoPackageSchema.Create(connection, layers[0].System);
                foreach (Layer layer in layers)
                {
                    Add(connection, layer.Checked(), moment);
                }

                return true;
            }
        );
    }

    private static void Add(SqliteConnection connection, Layer layer, DateTimeOffset moment)
    {
        GeoPackageSchema.AddLayer(
            connection,
            layer.Name,
            string.Join(", ", layer.Columns.Select(column => $"{column.Name} {TypeOf(column.Value)}")),
            layer.Kind switch
            {
                LayerKind.Places => "POINT",
                LayerKind.Ways => "LINESTRING",
                _ => "MULTIPOLYGON",
            },
            layer.System.EpsgCode,
            layer.Description,
            moment
        );
        string names = string.Concat(layer.Columns.Select(column => $", {column.Name}"));
        string places = string.Concat(layer.Columns.Select((_, at) => FormattableString.Invariant($", $v{at}")));
        foreach (LayerFeature feature in layer.Features)
        {
            GeoPackageConnection.Execute(
                connection,
                $"INSERT INTO {layer.Name} (geom{names}) VALUES ($geom{places})",
                [
                    ("$geom", GeometryBlob.Write(Geometry(feature.Shape), layer.System.EpsgCode)),
                    .. feature.Values.Select((value, at) => (FormattableString.Invariant($"$v{at}"), Stored(value))),
                ]
            );
        }

        GeoPackageSchema.Touch(connection, layer.Name, moment);
    }

    private static object? Stored(object? value) => value is double real && !double.IsFinite(real) ? null : value;

    private static string TypeOf(LayerValue value) =>
        value switch
        {
            LayerValue.Text => "TEXT",
            LayerValue.Whole => "INTEGER",
            _ => "DOUBLE",
        };

    private static Geometry Geometry(LayerShape shape) =>
        shape switch
        {
            PlaceShape place => new Point(place.Place.EastingMetres, place.Place.NorthingMetres),
            WayShape way => new LineString([.. way.Points.Select(Of)]),
            AreaShape area => new MultiPolygon([
                .. area.Polygons.Select(polygon => new Polygon(Ring(polygon.Outer), [.. polygon.Holes.Select(Ring)])),
            ]),
            _ => throw new InvalidOperationException($"A GeoPackage cannot hold a {shape.GetType().Name}."),
        };

    private static LinearRing Ring(IReadOnlyList<GridPoint> points) => new([.. points.Append(points[0]).Select(Of)]);

    private static Coordinate Of(GridPoint point) => new(point.EastingMetres, point.NorthingMetres);
}
