using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;

namespace Hillrow.Imaging;

/// <summary>A file that appears under its name only when it is complete (and, if wished, safe on the disk).</summary>
internal sealed partial class AtomicFile : IDisposable
{
    private readonly string path;
    private readonly string partialPath;
    private bool placed;

    private AtomicFile(string path, string partialPath, SafeFileHandle handle)
    {
        this.path = path;
        this.partialPath = partialPath;
        Handle = handle;
    }

    public SafeFileHandle Handle { get; }

    /// <summary>Opens the partial file in the destination's folder.</summary>
    /// <param name="length">Bytes that the file will have; the disk is asked for them at once.</param>
    public static AtomicFile Create(string path, long length)
    {
        string full = Path.GetFullPath(path);
        string partial = Path.Combine(
            Path.GetDirectoryName(full)!,
            $".{Path.GetFileName(full)}.{Guid.NewGuid():N}.partial"
        );
        return new AtomicFile(
            full,
            partial,
            File.OpenHandle(partial, FileMode.CreateNew, FileAccess.Write, FileShare.None, FileOptions.None, length)
        );
    }

    /// <summary>Gives the file its name, replacing what had it.</summary>
    public void Place(bool durable)
    {
        if (durable)
        {
            RandomAccess.FlushToDisk(Handle);
        }

        Handle.Dispose();
        File.Move(partialPath, path, overwrite: true);
        placed = true;
        if (durable && !OperatingSystem.IsWindows())
        {
            FlushFolder(Path.GetDirectoryName(path)!);
        }
    }

    public void Dispose()
    {
        Handle.Dispose();
        if (!placed)
        {
            File.Delete(partialPath);
        }
    }

    // A rename survives a power cut only when the folder itself is flushed; .NET opens no folder, the C library does.
    private static void FlushFolder(string folder)
    {
        int descriptor = Open(folder, 0);
        if (descriptor >= 0)
        {
            _ = Fsync(descriptor);
            _ = Close(descriptor);
        }
    }

    [LibraryImport("libc", EntryPoint = "open", StringMarshalling = StringMarshalling.Utf8)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static partial int Open(string path, int flags);

    [LibraryImport("libc", EntryPoint = "fsync")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static partial int Fsync(int descriptor);

    [LibraryImport("libc", EntryPoint = "close")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static partial int Close(int descriptor);
}
