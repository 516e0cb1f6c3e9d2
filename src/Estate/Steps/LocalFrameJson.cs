using System.Text.Json;
using System.Text.Json.Serialization;
using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>A local frame as its origin on the WGS 84 ellipsoid; its axes follow from that, bit for bit.</summary>
internal sealed class LocalFrameJson : JsonConverter<LocalFrame>
{
    public override LocalFrame Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
    {
        Origin origin =
            JsonSerializer.Deserialize<Origin>(ref reader, options) ?? throw new JsonException("a frame is missing");
        return new LocalFrame(
            new GeodeticPosition(
                Angle.FromRadians(origin.LatitudeRadians),
                Angle.FromRadians(origin.LongitudeRadians),
                origin.HeightAboveEllipsoidMetres
            )
        );
    }

    public override void Write(Utf8JsonWriter writer, LocalFrame value, JsonSerializerOptions options)
    {
        if (!value.Ellipsoid.Equals(Ellipsoid.Wgs84))
        {
            throw new NotSupportedException("Only local frames on the WGS 84 ellipsoid are stored.");
        }

        GeodeticPosition origin = value.Origin;
        JsonSerializer.Serialize(
            writer,
            new Origin(origin.Latitude.Radians, origin.Longitude.Radians, origin.HeightAboveEllipsoidMetres),
            options
        );
    }

    private sealed record Origin(double LatitudeRadians, double LongitudeRadians, double HeightAboveEllipsoidMetres);
}
