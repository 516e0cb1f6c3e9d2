using System.Text.Json;
using Xunit;

namespace Hillrow.App.Tests;

/// <summary>What a command said and how it ended.</summary>
internal sealed record CommandAnswer(int Code, string Output, string Error)
{
    /// <summary>The JSON object on the last line of standard output.</summary>
    public JsonElement Result => JsonDocument.Parse(Output.TrimEnd().Split('\n')[^1]).RootElement;

    /// <summary>Does a command as the program would, within this process.</summary>
    public static CommandAnswer Run(params string[] args)
    {
        using StringWriter output = new();
        using StringWriter error = new();
        int code = CommandLine.Run(args, output, error, TestContext.Current.CancellationToken);
        return new CommandAnswer(code, output.ToString(), error.ToString());
    }
}
