using System.Buffers.Binary;
using System.Runtime.InteropServices;

namespace Hillrow.Estate;

/// <summary>
/// What the file system says of a file without reading it. Two equal identities mean the same content, unless the
/// file was written within the clock's grain: see <see cref="ContentHashes"/>.
/// </summary>
/// <param name="Bytes">Size.</param>
/// <param name="ModifiedNanoseconds">Last change of the content, since 1970, UTC.</param>
/// <param name="ChangedNanoseconds">Last change of content or attributes: unlike the first, programs cannot set it back.</param>
/// <param name="Node">Number of the file on its device (inode), 0 where the system has none.</param>
/// <param name="Device">Number of the device, 0 where the system has none.</param>
public readonly partial record struct FileIdentity(
    long Bytes,
    long ModifiedNanoseconds,
    long ChangedNanoseconds,
    ulong Node,
    ulong Device
)
{
    // Layout of struct statx: linux/stat.h, the same on every processor.
    private const int StatxBytes = 256;
    private const int InodeAt = 32;
    private const int SizeAt = 40;
    private const int ChangedAt = 96;
    private const int ModifiedAt = 112;
    private const int DeviceMajorAt = 136;
    private const int CurrentFolder = -100;
    private const uint BasicFields = 0x7ff;

    /// <exception cref="FileNotFoundException">There is no such file.</exception>
    public static FileIdentity Of(string path)
    {
        if (OperatingSystem.IsLinux())
        {
            Span<byte> buffer = stackalloc byte[StatxBytes];
            if (Statx(CurrentFolder, path, 0, BasicFields, buffer) == 0)
            {
                return new FileIdentity(
                    BinaryPrimitives.ReadInt64LittleEndian(buffer[SizeAt..]),
                    Nanoseconds(buffer[ModifiedAt..]),
                    Nanoseconds(buffer[ChangedAt..]),
                    BinaryPrimitives.ReadUInt64LittleEndian(buffer[InodeAt..]),
                    BinaryPrimitives.ReadUInt64LittleEndian(buffer[DeviceMajorAt..])
                );
            }
        }

        FileInfo file = new(path);
        if (!file.Exists)
        {
            throw new FileNotFoundException($"{path} does not exist.", path);
        }

        long modified = (file.LastWriteTimeUtc - DateTime.UnixEpoch).Ticks * 100;
        return new FileIdentity(file.Length, modified, modified, 0, 0);
    }

    private static long Nanoseconds(ReadOnlySpan<byte> stamp) =>
        (BinaryPrimitives.ReadInt64LittleEndian(stamp) * 1_000_000_000L)
        + BinaryPrimitives.ReadUInt32LittleEndian(stamp[8..]);

    [LibraryImport("libc", EntryPoint = "statx", SetLastError = true, StringMarshalling = StringMarshalling.Utf8)]
    private static partial int Statx(int folder, string path, int flags, uint mask, Span<byte> buffer);
}
