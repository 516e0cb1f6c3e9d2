using System.Collections.Concurrent;
using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;

namespace Hillrow.Imaging;

/// <summary>
/// Keeps halved tiles until their three neighbours are there too: a fixed number in memory, the others in a file,
/// so that memory does not grow with the raster whatever order its tiles come in.
/// </summary>
internal sealed class QuarterStore<T>(int cellsOfQuarter, Func<SafeFileHandle> openFile) : IDisposable
    where T : unmanaged
{
    // 16 MiB: little beside the encoders' own buffers, enough for tiles that come nearly in order of need.
    private const int BytesInMemory = 16 << 20;

    private readonly ConcurrentDictionary<long, Kept> kept = new();
    private readonly ConcurrentBag<T[]> spare = [];
    private readonly ConcurrentBag<long> spareSlots = [];
    private readonly Lazy<SafeFileHandle> file = new(openFile);
    private readonly int mostInMemory = Math.Max(4, BytesInMemory / (cellsOfQuarter * Marshal.SizeOf<T>()));
    private int inMemory;
    private long slots;

    /// <summary>A buffer of <c>cellsOfQuarter</c> numbers of any content.</summary>
    public T[] Rent() => spare.TryTake(out T[]? buffer) ? buffer : GC.AllocateUninitializedArray<T>(cellsOfQuarter);

    public void Return(T[] buffer) => spare.Add(buffer);

    /// <summary>Takes over a rented buffer under a key that is free.</summary>
    public void Put(long key, T[] buffer)
    {
        if (Interlocked.Increment(ref inMemory) <= mostInMemory)
        {
            kept[key] = new Kept(buffer, 0);
            return;
        }

        Interlocked.Decrement(ref inMemory);
        ReadOnlySpan<byte> bytes = MemoryMarshal.AsBytes(buffer.AsSpan());
        long slot = spareSlots.TryTake(out long free) ? free : Interlocked.Increment(ref slots) - 1;
        RandomAccess.Write(file.Value, bytes, slot * bytes.Length);
        kept[key] = new Kept(null, slot);
        Return(buffer);
    }

    /// <summary>Gives back what was put under the key, in a rented buffer.</summary>
    public T[] Take(long key)
    {
        if (!kept.TryRemove(key, out Kept found))
        {
            throw new InvalidOperationException($"No quarter {key} is kept.");
        }

        if (found.Buffer is not null)
        {
            Interlocked.Decrement(ref inMemory);
            return found.Buffer;
        }

        T[] buffer = Rent();
        Span<byte> bytes = MemoryMarshal.AsBytes(buffer.AsSpan());
        ScratchFile.ReadExactly(file.Value, bytes, found.Slot * bytes.Length);
        spareSlots.Add(found.Slot);
        return buffer;
    }

    public void Dispose()
    {
        if (file.IsValueCreated)
        {
            file.Value.Dispose();
        }
    }

    private readonly record struct Kept(T[]? Buffer, long Slot);
}
