using System.Globalization;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>
/// Held while a run works on an estate: a second run is told so at once. The operating system lets go of it when the
/// process ends, however it ends, so no stale lock is ever left to clean up.
/// </summary>
public sealed class EstateLock : IDisposable
{
    private readonly FileStream stream;

    private EstateLock(FileStream stream) => this.stream = stream;

    /// <param name="path">The lock file; made if missing, and left in place afterwards (deleting it would race).</param>
    /// <param name="estate">The estate folder, for the message.</param>
    /// <exception cref="InputProblemException">Another process holds the lock.</exception>
    public static EstateLock Take(string path, string estate)
    {
        FileStream locked;
        try
        {
            // FileShare.None is an exclusive flock on Unix and a sharing mode on Windows: both end with the process.
            locked = new FileStream(path, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        }
        catch (IOException fault) when (fault is not FileNotFoundException and not DirectoryNotFoundException)
        {
            throw new InputProblemException(
                estate,
                $"another hillrow is at work in this estate{HolderOf(path + ".holder")}.",
                "Wait until it has ended, or stop it with Ctrl-C where it runs; nothing was changed here.",
                fault
            );
        }

        // Beside the lock, because the locked file itself cannot be read by the one who is turned away.
        File.WriteAllText(
            path + ".holder",
            string.Create(
                CultureInfo.InvariantCulture,
                $"process {Environment.ProcessId}, since {DateTime.Now:yyyy-MM-dd HH:mm}"
            )
        );
        return new EstateLock(locked);
    }

    public void Dispose() => stream.Dispose();

    private static string HolderOf(string path)
    {
        try
        {
            string holder = File.ReadAllText(path).Trim();
            return holder.Length is > 0 and < 100 ? $" ({holder})" : "";
        }
        catch (IOException)
        {
            return "";
        }
    }
}
