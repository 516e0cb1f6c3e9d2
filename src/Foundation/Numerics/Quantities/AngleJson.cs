using System.Text.Json;
using System.Text.Json.Serialization;

namespace Hillrow.Numerics;

/// <summary>An angle in JSON is its number of radians, so that reading it back gives the same bits.</summary>
public sealed class AngleJson : JsonConverter<Angle>
{
    public override Angle Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
    {
        double radians = reader.GetDouble();
        return double.IsFinite(radians) ? Angle.FromRadians(radians) : throw new JsonException("An angle is finite.");
    }

    public override void Write(Utf8JsonWriter writer, Angle value, JsonSerializerOptions options)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.WriteNumberValue(value.Radians);
    }
}
