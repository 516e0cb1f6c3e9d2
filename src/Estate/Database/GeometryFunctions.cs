using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>The SQL functions that a GeoPackage's R-tree triggers call; every writer must bring them along.</summary>
/// <remarks>Source: OGC 12-128r17 (GeoPackage 1.3), annex F.3, "RTree Spatial Indexes".</remarks>
internal static class GeometryFunctions
{
    public static void Register(SqliteConnection connection)
    {
        connection.CreateFunction("ST_IsEmpty", (byte[]? blob) => IsEmpty(blob), isDeterministic: true);
        connection.CreateFunction("ST_MinX", (byte[]? blob) => Bounds(blob)?.MinX, isDeterministic: true);
        connection.CreateFunction("ST_MaxX", (byte[]? blob) => Bounds(blob)?.MaxX, isDeterministic: true);
        connection.CreateFunction("ST_MinY", (byte[]? blob) => Bounds(blob)?.MinY, isDeterministic: true);
        connection.CreateFunction("ST_MaxY", (byte[]? blob) => Bounds(blob)?.MaxY, isDeterministic: true);
    }

    private static long? IsEmpty(byte[]? blob) =>
        blob is null ? null
        : Bounds(blob) is null ? 1
        : 0;

    private static Envelope? Bounds(byte[]? blob)
    {
        Envelope? bounds = blob is null ? null : GeometryBlob.BoundsOf(blob);
        return bounds is null || bounds.IsNull ? null : bounds;
    }
}
