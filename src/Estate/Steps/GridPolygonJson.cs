using System.Text.Json;
using System.Text.Json.Serialization;
using Hillrow.Earth;

namespace Hillrow.Estate;

/// <summary>A polygon as rings of eastings and northings in turn, the outer ring first.</summary>
internal sealed class GridPolygonJson : JsonConverter<GridPolygon>
{
    public override GridPolygon Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
    {
        double[][] rings = JsonSerializer.Deserialize<double[][]>(ref reader, options) ?? [];
        if (rings.Length == 0 || Array.Exists(rings, ring => ring.Length % 2 != 0))
        {
            throw new JsonException("a polygon has no rings, or half a point");
        }

        IReadOnlyList<GridPoint>[] points = [.. rings.Select(ring => (IReadOnlyList<GridPoint>)PointsOf(ring))];
        return new GridPolygon(points[0], points[1..]);
    }

    public override void Write(Utf8JsonWriter writer, GridPolygon value, JsonSerializerOptions options) =>
        JsonSerializer.Serialize(
            writer,
            value
                .Holes.Prepend(value.Outer)
                .Select(ring => ring.SelectMany(point => new[] { point.EastingMetres, point.NorthingMetres })),
            options
        );

    private static GridPoint[] PointsOf(double[] ring) =>
        [.. ring.Chunk(2).Select(pair => new GridPoint(pair[0], pair[1]))];
}
