using System.Text.Json;
using System.Text.Json.Serialization;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>
/// Carries the plain records of the stages to disk and back, bit for bit: numbers in their shortest form that reads
/// back as the same number, angles in radians. For the program's own eyes; what people open is a raster or a GeoPackage.
/// </summary>
internal static class StageJson
{
    private static readonly JsonSerializerOptions Options = new()
    {
        NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals,
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        // What is reckoned from the other members (a vector's length) is not stored.
        IgnoreReadOnlyProperties = true,
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
        Converters =
        {
            new JsonStringEnumConverter(JsonNamingPolicy.CamelCase),
            new GridPolygonJson(),
            new LensJson(),
            new LocalFrameJson(),
        },
    };

    public static void Write<T>(string path, T value)
        where T : notnull
    {
        using FileStream file = new(path, FileMode.CreateNew);
        JsonSerializer.Serialize(file, value, Options);
    }

    /// <summary>The same text, for files that are written anew.</summary>
    public static string Text<T>(T value)
        where T : notnull => JsonSerializer.Serialize(value, Options);

    /// <exception cref="InputProblemException">The file is damaged, or another program wrote it.</exception>
    public static T Read<T>(string path)
    {
        try
        {
            using FileStream file = File.OpenRead(path);
            return JsonSerializer.Deserialize<T>(file, Options) ?? throw new JsonException("it is empty");
        }
        catch (Exception fault) when (fault is JsonException or IOException or ArgumentException)
        {
            throw new InputProblemException(
                path,
                $"is damaged ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
                "Delete the folder it lies in and run again: it is made anew.",
                fault
            );
        }
    }
}
