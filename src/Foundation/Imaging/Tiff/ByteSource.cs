using Hillrow.Numerics;
using Microsoft.Win32.SafeHandles;

namespace Hillrow.Imaging;

/// <summary>Bytes by position, from a file, a stream or memory. Reads from several threads are safe.</summary>
public abstract class ByteSource : IDisposable
{
    private protected ByteSource(string name, long length)
    {
        Name = name;
        Length = length;
    }

    /// <summary>What messages call it, normally the file's path.</summary>
    public string Name { get; }

    public long Length { get; }

    /// <exception cref="InputProblemException">No such file, or no right to read it.</exception>
    public static ByteSource FromFile(string path)
    {
        ArgumentException.ThrowIfNullOrEmpty(path);
        try
        {
            SafeFileHandle handle = File.OpenHandle(path, FileMode.Open, FileAccess.Read, FileShare.Read);
            try
            {
                return new FileSource(path, handle, RandomAccess.GetLength(handle));
            }
            catch
            {
                handle.Dispose();
                throw;
            }
        }
        catch (Exception fault) when (fault is FileNotFoundException or DirectoryNotFoundException)
        {
            throw new InputProblemException(path, "there is no such file.", "Check the path and the card.", fault);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or NotSupportedException)
        {
            throw new InputProblemException(
                path,
                "the file cannot be opened.",
                "Check that it is a plain file, readable, and not in use by another program.",
                fault
            );
        }
    }

    /// <param name="stream">Seekable; stays the caller's and must outlive the source.</param>
    /// <param name="name">What messages call it.</param>
    public static ByteSource FromStream(Stream stream, string name)
    {
        ArgumentNullException.ThrowIfNull(stream);
        return stream.CanSeek
            ? new StreamSource(name, stream)
            : throw new ArgumentException("The stream must be able to seek.", nameof(stream));
    }

    public static ByteSource FromMemory(ReadOnlyMemory<byte> bytes, string name) => new MemorySource(name, bytes);

    /// <summary>Reads as many bytes as there are from there on; fewer than asked only at the end.</summary>
    /// <exception cref="InputProblemException">The medium refuses (card pulled out, disk error).</exception>
    public int ReadAt(long offset, Span<byte> buffer)
    {
        if (offset < 0 || offset >= Length)
        {
            return 0;
        }

        try
        {
            int total = 0;
            while (total < buffer.Length)
            {
                int got = ReadSome(offset + total, buffer[total..]);
                if (got == 0)
                {
                    break;
                }

                total += got;
            }

            return total;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                Name,
                "the file cannot be read.",
                "Check the card or disk, and copy the file again.",
                fault
            );
        }
    }

    /// <summary>Fills the whole buffer.</summary>
    /// <exception cref="InputProblemException">The source ends before; the message says where and how much.</exception>
    public void ReadExactly(long offset, Span<byte> buffer, string what)
    {
        int got = ReadAt(offset, buffer);
        if (got < buffer.Length)
        {
            throw new InputProblemException(
                Name,
                FormattableString.Invariant(
                    $"{what} should lie at byte {offset} with {buffer.Length} bytes, but the file has only {Length} bytes: it is cut short or damaged."
                ),
                "Copy it from the card again; if the card's own file is the same, leave it out."
            );
        }
    }

    public void Dispose()
    {
        Dispose(true);
        GC.SuppressFinalize(this);
    }

    protected abstract int ReadSome(long offset, Span<byte> buffer);

    protected virtual void Dispose(bool disposing) { }

    private sealed class FileSource(string name, SafeFileHandle handle, long length) : ByteSource(name, length)
    {
        protected override int ReadSome(long offset, Span<byte> buffer) => RandomAccess.Read(handle, buffer, offset);

        protected override void Dispose(bool disposing) => handle.Dispose();
    }

    private sealed class StreamSource(string name, Stream stream) : ByteSource(name, stream.Length)
    {
        private readonly Lock gate = new();

        protected override int ReadSome(long offset, Span<byte> buffer)
        {
            lock (gate)
            {
                stream.Position = offset;
                return stream.Read(buffer);
            }
        }
    }

    private sealed class MemorySource(string name, ReadOnlyMemory<byte> bytes) : ByteSource(name, bytes.Length)
    {
        protected override int ReadSome(long offset, Span<byte> buffer)
        {
            ReadOnlySpan<byte> rest = bytes.Span[(int)offset..];
            int count = Math.Min(rest.Length, buffer.Length);
            rest[..count].CopyTo(buffer);
            return count;
        }
    }
}
