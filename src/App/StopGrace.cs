using System.Text.Json;

namespace Hillrow.App;

/// <summary>
/// Ends the process when its work does not come to a safe moment soon after a stop was asked for: a library's call
/// cannot be interrupted, and a loop may have been forgotten.
/// </summary>
/// <remarks>As safe as a kill, which every step withstands: nothing is current before its one transaction.</remarks>
internal static class StopGrace
{
    /// <summary>Work asks for a stop about every tenth of a second; looking for spots in one large picture takes some seconds.</summary>
    private static readonly TimeSpan Longest = TimeSpan.FromSeconds(5);

    /// <param name="stop">Ctrl-C or a polite kill.</param>
    /// <param name="json">Whether a result is awaited as the last line of standard output.</param>
    public static void Watch(CancellationToken stop, bool json) =>
        stop.Register(() =>
        {
            Thread waiter = new(() => EndAfter(Longest, json)) { IsBackground = true };
            waiter.Start();
        });

    private static void EndAfter(TimeSpan wait, bool json)
    {
        Thread.Sleep(wait);
        Console.Error.WriteLine(Messages.Stopped);
        if (json)
        {
            Console.Out.WriteLine(JsonSerializer.Serialize(new { ok = false, stopped = true }));
            Console.Out.Flush();
        }

        Environment.Exit(ExitCodes.Stopped);
    }
}
