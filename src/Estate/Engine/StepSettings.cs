using System.Text.Json;
using System.Text.Json.Serialization;

namespace Hillrow.Estate;

/// <summary>The settings of a step as canonical text: equal settings give equal text, and a person can read it.</summary>
public static class StepSettings
{
    /// <summary>For a step without settings.</summary>
    public const string None = "{}";

    private static readonly JsonSerializerOptions Options = new()
    {
        NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals,
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase) },
    };

    /// <summary>
    /// JSON of an immutable settings record, members in the order they are declared, numbers in their shortest exact
    /// form. How many threads work is not a setting of a step: results do not depend on it.
    /// </summary>
    public static string TextOf<T>(T settings)
        where T : notnull => JsonSerializer.Serialize(settings, Options);
}
