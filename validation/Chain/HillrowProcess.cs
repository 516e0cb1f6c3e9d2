using System.Diagnostics;
using System.Text.Json;

namespace Hillrow.Validation.Chain;

/// <summary>The program as people start it, in a process of its own.</summary>
internal static class HillrowProcess
{
    /// <summary>How a command ended.</summary>
    /// <param name="Code">Exit code.</param>
    /// <param name="Result">The JSON object of the last line; undefined when there is none.</param>
    /// <param name="Said">Standard error.</param>
    /// <param name="Took">Wall-clock time.</param>
    public sealed record Ended(int Code, JsonElement Result, string Said, TimeSpan Took);

    public static Ended Run(params string[] arguments) => Run(null, arguments);

    /// <param name="killAfter">Killed (SIGKILL) after this time, unless it has ended; null: never.</param>
    /// <param name="arguments">As given to hillrow.</param>
    public static Ended Run(TimeSpan? killAfter, params string[] arguments)
    {
        string program = Path.Combine(AppContext.BaseDirectory, "hillrow-app.dll");
        ProcessStartInfo start = new("dotnet", [program, .. arguments])
        {
            UseShellExecute = false,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        Stopwatch watch = Stopwatch.StartNew();
        using Process process = Process.Start(start) ?? throw new InvalidOperationException("dotnet does not start.");
        Task<string> error = process.StandardError.ReadToEndAsync();
        Task<string> output = process.StandardOutput.ReadToEndAsync();
        if (killAfter is { } time && !process.WaitForExit(time))
        {
            process.Kill();
        }

        process.WaitForExit();
        string last = output.Result.TrimEnd().Split('\n')[^1];
        JsonElement result = last.StartsWith('{') ? JsonDocument.Parse(last).RootElement.Clone() : default;
        return new Ended(process.ExitCode, result, error.Result, watch.Elapsed);
    }

    /// <summary>Runs a command that must end well.</summary>
    /// <exception cref="InvalidOperationException">It did not; says what it said.</exception>
    public static Ended Must(params string[] arguments)
    {
        Ended ended = Run(arguments);
        return ended.Code == 0
            ? ended
            : throw new InvalidOperationException(
                $"hillrow {string.Join(' ', arguments)} ended with {ended.Code}: {ended.Said.Trim()}"
            );
    }
}
