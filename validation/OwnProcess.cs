using Hillrow.Checks;

namespace Hillrow.Validation;

/// <summary>This program once more, as a process of its own: memory and processor time are then its alone.</summary>
internal static class OwnProcess
{
    /// <summary>What it printed.</summary>
    /// <param name="arguments">A verb that the program knows, and what goes with it.</param>
    /// <exception cref="InvalidOperationException">It ended with another code than 0 (with what it said).</exception>
    public static string Run(params IReadOnlyList<string> arguments)
    {
        string host = Environment.ProcessPath ?? throw new InvalidOperationException("This process has no path.");
        // `./validate` calls the library by `dotnet`; a debugger calls the program itself.
        return Path.GetFileNameWithoutExtension(host) == "dotnet"
            ? GdalJudge.Run(host, [typeof(OwnProcess).Assembly.Location, .. arguments])
            : GdalJudge.Run(host, [.. arguments]);
    }
}
