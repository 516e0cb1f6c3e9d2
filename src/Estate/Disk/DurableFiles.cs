using System.Runtime.InteropServices;
using System.Text;
using Hillrow.Numerics;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>
/// Brings files and folders safely onto the disk: after a call returns, a power cut cannot take back what it did.
/// </summary>
/// <remarks>
/// A file's bytes and its name are two things: the bytes are flushed through the file, the name through the folder
/// that holds it. .NET has no call for the second, so the C library is asked on Linux and macOS; Windows keeps
/// names in a journal of its own and needs none.
/// </remarks>
public static partial class DurableFiles
{
    /// <summary>Writes a whole file so that a reader sees the old content or the new, never a part.</summary>
    public static void WriteAllText(string path, string text) =>
        WriteAllBytes(path, new UTF8Encoding(encoderShouldEmitUTF8Identifier: false).GetBytes(text));

    /// <inheritdoc cref="WriteAllText"/>
    public static void WriteAllBytes(string path, byte[] bytes)
    {
        string folder = Path.GetDirectoryName(Path.GetFullPath(path))!;
        string partial = path + ".partial";
        File.WriteAllBytes(partial, bytes);
        FlushFile(partial);
        File.Move(partial, path, overwrite: true);
        FlushFolder(folder);
    }

    /// <summary>Flushes every file below a folder, then every folder from the leaves up, itself included.</summary>
    public static void FlushTree(string folder)
    {
        foreach (string file in Directory.EnumerateFiles(folder))
        {
            FlushFile(file);
        }

        foreach (string child in Directory.EnumerateDirectories(folder))
        {
            FlushTree(child);
        }

        FlushFolder(folder);
    }

    /// <summary>Makes a folder and whatever is missing above it, and flushes each folder that got a new name.</summary>
    public static void CreateFolder(string folder)
    {
        string full = Path.TrimEndingDirectorySeparator(Path.GetFullPath(folder));
        if (Directory.Exists(full))
        {
            return;
        }

        string? parent = Path.GetDirectoryName(full);
        if (parent is not null)
        {
            CreateFolder(parent);
        }

        Directory.CreateDirectory(full);
        if (parent is not null)
        {
            FlushFolder(parent);
        }
    }

    public static void FlushFile(string path)
    {
        // Windows flushes only through a handle that may write; elsewhere a read-only file must flush too.
        FileAccess access = OperatingSystem.IsWindows() ? FileAccess.ReadWrite : FileAccess.Read;
        using var handle = File.OpenHandle(path, FileMode.Open, access, FileShare.ReadWrite | FileShare.Delete);
        RandomAccess.FlushToDisk(handle);
    }

    public static void FlushFolder(string folder)
    {
        if (OperatingSystem.IsWindows())
        {
            return;
        }

        int descriptor = Open(folder, 0);
        if (descriptor < 0)
        {
            throw new IOException($"{folder}: cannot be opened to flush it (errno {Marshal.GetLastPInvokeError()}).");
        }

        try
        {
            // EINVAL: some network file systems cannot flush a folder; nothing more can be done there.
            const int InvalidArgument = 22;
            if (FileSync(descriptor) != 0 && Marshal.GetLastPInvokeError() != InvalidArgument)
            {
                throw new IOException($"{folder}: cannot be flushed (errno {Marshal.GetLastPInvokeError()}).");
            }
        }
        finally
        {
            _ = Close(descriptor);
        }
    }

    public static bool IsDiskFull(IOException fault)
    {
        const int LinuxNoSpace = 28;
        const int LinuxQuotaExceeded = 122;
        const int WindowsDiskFull = unchecked((int)0x80070070);
        return fault.HResult is LinuxNoSpace or LinuxQuotaExceeded or WindowsDiskFull;
    }

    /// <summary>Whether the disk takes no file of that size; .NET then speaks of a wrong argument.</summary>
    /// <remarks>Only to be asked of a fault that writing a file has thrown.</remarks>
    public static bool IsFileTooLarge(Exception fault) => fault is ArgumentOutOfRangeException { ParamName: "value" };

    /// <summary>Says in one line what to do when the disk takes no file of that size.</summary>
    public static InputProblemException FileTooLarge(string where, Exception fault) =>
        new(
            where,
            "the disk takes no file of that size.",
            "Keep the estate on a disk that takes large files (not one formatted as FAT32, nor under a quota), then do it again.",
            fault
        );

    /// <summary>Whether the file system or the person's rights forbid to write or read there.</summary>
    public static bool IsForbidden(Exception fault)
    {
        const int LinuxReadOnly = 30;
        const int WindowsWriteProtected = unchecked((int)0x80070013);
        const int DatabaseReadOnly = 8;
        return fault is UnauthorizedAccessException or SqliteException { SqliteErrorCode: DatabaseReadOnly }
            || (fault is IOException && fault.HResult is LinuxReadOnly or WindowsWriteProtected);
    }

    /// <summary>Says in one line what to do when the disk is full.</summary>
    public static InputProblemException DiskFull(string where, Exception fault) =>
        new(
            where,
            "the disk is full.",
            "Free some space and run again: the work goes on from the last finished step.",
            fault
        );

    [LibraryImport("libc", EntryPoint = "open", SetLastError = true, StringMarshalling = StringMarshalling.Utf8)]
    private static partial int Open(string path, int flags);

    [LibraryImport("libc", EntryPoint = "fsync", SetLastError = true)]
    private static partial int FileSync(int descriptor);

    [LibraryImport("libc", EntryPoint = "close", SetLastError = true)]
    private static partial int Close(int descriptor);
}
