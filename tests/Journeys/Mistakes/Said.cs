using System.Diagnostics;
using Hillrow.App;
using Xunit;

namespace Hillrow.Journeys;

/// <summary>How a command ended and what a person saw of it.</summary>
public sealed record Said(int Code, string Output, string Error)
{
    public static Said By(params string[] args)
    {
        using StringWriter output = new();
        using StringWriter error = new();
        int code = CommandLine.Run(args, output, error, TestContext.Current.CancellationToken);
        return new Said(code, output.ToString(), error.ToString());
    }

    /// <summary>In a process of its own, started by a shell that sets the scene first (limits, another person's rights).</summary>
    /// <param name="scene">Shell words that end in a command which starts what follows.</param>
    /// <param name="args">As given to hillrow.</param>
    public static Said InScene(string scene, params string[] args)
    {
        string program = Path.Combine(AppContext.BaseDirectory, "hillrow-app.dll");
        string words = string.Join(' ', ((string[])["dotnet", program, .. args]).Select(word => $"'{word}'"));
        ProcessStartInfo start = new("bash", ["-c", $"{scene} {words}"])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            UseShellExecute = false,
        };

        // The runtime else keeps its code in a file of its own, which a limit on file sizes would forbid.
        start.Environment["DOTNET_EnableWriteXorExecute"] = "0";
        using Process process = Process.Start(start)!;
        Task<string> error = process.StandardError.ReadToEndAsync();
        string output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return new Said(process.ExitCode, output, error.Result);
    }

    public void HasEndedWell() => Assert.True(Code == ExitCodes.Done, $"ended with {Code}: {Error}");

    /// <summary>Refused by one line that says all of these words; no trace of the program's inside.</summary>
    public void IsRefusedInOneLine(params string[] words)
    {
        Assert.True(Code == ExitCodes.BadInput, $"ended with {Code}: {Error}");
        Assert.DoesNotContain("Exception", Error, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", Error, StringComparison.Ordinal);
        Assert.Contains(
            Lines(),
            line => Array.TrueForAll(words, word => line.Contains(word, StringComparison.Ordinal))
        );
    }

    /// <summary>Done, and one warning says all of these words.</summary>
    public void IsDoneWithAWarning(params string[] words)
    {
        Assert.True(Code == ExitCodes.Done, $"ended with {Code}: {Error}");
        Assert.Contains(
            Lines(),
            line =>
                line.StartsWith("warning: ", StringComparison.Ordinal)
                && Array.TrueForAll(words, word => line.Contains(word, StringComparison.Ordinal))
        );
    }

    private string[] Lines() => Error.Split('\n', StringSplitOptions.RemoveEmptyEntries);
}
