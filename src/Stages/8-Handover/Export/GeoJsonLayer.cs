using System.Text.Json;
using Hillrow.Earth;

namespace Hillrow.Handover;

/// <summary>
/// A layer as GeoJSON (RFC 7946): WGS 84 longitude and latitude to 1e-7°, outer rings anticlockwise, holes clockwise,
/// rings closed.
/// </summary>
public static class GeoJsonLayer
{
    private const int Decimals = 7;

    public static void Write(Layer layer, Stream destination)
    {
        ArgumentNullException.ThrowIfNull(layer);
        using Utf8JsonWriter json = new(destination, new JsonWriterOptions { Indented = false });
        json.WriteStartObject();
        json.WriteString("type", "FeatureCollection");
        json.WriteString("name", layer.Name);
        json.WriteStartArray("features");
        foreach (LayerFeature feature in layer.Checked().Features)
        {
            json.WriteStartObject();
            json.WriteString("type", "Feature");
            json.WriteStartObject("geometry");
            Shape(json, layer.System, feature.Shape);
            json.WriteEndObject();
            json.WriteStartObject("properties");
            for (int at = 0; at < layer.Columns.Count; at++)
            {
                json.WritePropertyName(layer.Columns[at].Name);
                Value(json, feature.Values[at]);
            }

            json.WriteEndObject();
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteEndObject();
    }

    private static void Value(Utf8JsonWriter json, object? value)
    {
        switch (value)
        {
            case string text:
                json.WriteStringValue(text);
                break;
            case long whole:
                json.WriteNumberValue(whole);
                break;
            case double real when double.IsFinite(real):
                json.WriteNumberValue(real);
                break;
            default:
                json.WriteNullValue();
                break;
        }
    }

    private static void Shape(Utf8JsonWriter json, ReferenceSystem system, LayerShape shape)
    {
        switch (shape)
        {
            case PlaceShape place:
                json.WriteString("type", "Point");
                json.WritePropertyName("coordinates");
                Position(json, system, place.Place);
                break;
            case WayShape way:
                json.WriteString("type", "LineString");
                json.WriteStartArray("coordinates");
                foreach (GridPoint point in way.Points)
                {
                    Position(json, system, point);
                }

                json.WriteEndArray();
                break;
            case AreaShape area:
                json.WriteString("type", "MultiPolygon");
                json.WriteStartArray("coordinates");
                foreach (GridPolygon polygon in area.Polygons)
                {
                    json.WriteStartArray();
                    Ring(json, system, RingTurn.Anticlockwise(polygon.Outer));
                    foreach (IReadOnlyList<GridPoint> hole in polygon.Holes)
                    {
                        Ring(json, system, RingTurn.Clockwise(hole));
                    }

                    json.WriteEndArray();
                }

                json.WriteEndArray();
                break;
            default:
                throw new InvalidOperationException($"GeoJSON cannot hold a {shape.GetType().Name}.");
        }
    }

    private static void Ring(Utf8JsonWriter json, ReferenceSystem system, IReadOnlyList<GridPoint> ring)
    {
        json.WriteStartArray();
        foreach (GridPoint point in ring.Append(ring[0]))
        {
            Position(json, system, point);
        }

        json.WriteEndArray();
    }

    private static void Position(Utf8JsonWriter json, ReferenceSystem system, GridPoint point)
    {
        GeographicPoint place = system.ToWgs84(point);
        json.WriteStartArray();
        json.WriteNumberValue(Math.Round(place.Longitude.Degrees, Decimals));
        json.WriteNumberValue(Math.Round(place.Latitude.Degrees, Decimals));
        json.WriteEndArray();
    }
}
