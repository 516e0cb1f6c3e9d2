using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace Hillrow.App;

/// <summary>
/// Where a command speaks. With --json, standard output carries one JSON object as its last line, and the lines for
/// people go to standard error.
/// </summary>
public sealed class CommandOutput(TextWriter output, TextWriter error, bool json)
{
    private static readonly JsonSerializerOptions Options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase) },
    };

    public bool Json { get; } = json;

    public TextWriter Error { get; } = error;

    /// <summary>Whether a person watches: progress may draw over its own line.</summary>
    public bool OnTerminal => !Json && ReferenceEquals(Error, Console.Error) && !Console.IsErrorRedirected;

    /// <summary>A line for a person.</summary>
    public void Line(string text) => (Json ? Error : output).WriteLine(text);

    /// <summary>Something a person should not overlook.</summary>
    public void Warning(string text) => Error.WriteLine($"warning: {text}");

    /// <summary>The command's result as an object; printed only with --json.</summary>
    public void Result(object result)
    {
        if (Json)
        {
            output.WriteLine(JsonSerializer.Serialize(result, Options));
        }
    }
}
