using Microsoft.Win32.SafeHandles;

namespace Hillrow.Imaging;

/// <summary>A nameless file beside the destination: the system frees it when it is closed, even by a crash.</summary>
internal static class ScratchFile
{
    public static SafeFileHandle OpenBeside(string path)
    {
        string name = Path.Combine(
            Path.GetDirectoryName(Path.GetFullPath(path))!,
            $".{Path.GetFileName(path)}.{Guid.NewGuid():N}.scratch"
        );
        SafeFileHandle handle = File.OpenHandle(
            name,
            FileMode.CreateNew,
            FileAccess.ReadWrite,
            FileShare.ReadWrite | FileShare.Delete,
            FileOptions.DeleteOnClose
        );
        if (!OperatingSystem.IsWindows())
        {
            // Unlinked at once, so that a killed process leaves nothing behind.
            File.Delete(name);
        }

        return handle;
    }

    public static void ReadExactly(SafeFileHandle handle, Span<byte> bytes, long offset)
    {
        while (bytes.Length > 0)
        {
            int got = RandomAccess.Read(handle, bytes, offset);
            if (got == 0)
            {
                throw new EndOfStreamException($"A scratch file ends at byte {offset}.");
            }

            bytes = bytes[got..];
            offset += got;
        }
    }
}
