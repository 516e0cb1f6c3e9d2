namespace Hillrow.Imaging;

/// <summary>
/// Keeps the strips decoded last, so that windows side by side do not decode the same wide strips again. Bounded;
/// threads may share it.
/// </summary>
internal sealed class StripCache
{
    /// <summary>Holds a whole terrain tile of 3601 × 3601 heights, and a survey's width of one band for a tile's rows.</summary>
    private const int MostBytes = 64 << 20;

    private readonly Lock gate = new();
    private readonly Dictionary<Key, LinkedListNode<Strip>> byKey = [];
    private readonly LinkedList<Strip> newestFirst = [];
    private long bytesKept;
    private int decoded;

    /// <summary>How often a strip was decoded.</summary>
    public int Decoded => Volatile.Read(ref decoded);

    /// <summary>True when keeping strips pays: compressed ones, of which the window takes a part only.</summary>
    public static bool Serves(RasterLevel level, RasterWindow window) =>
        !level.IsTiled
        && level.Compression != TiffCompression.None
        && (window.Columns < level.Columns || window.Rows % level.BlockRows != 0)
        && (long)level.BlockRows * level.BytesOfBlockRow <= MostBytes / 4;

    /// <summary>The whole strip, decoded now or before; empty when the file does not store it.</summary>
    /// <exception cref="Hillrow.Numerics.InputProblemException">The strip is cut short or damaged.</exception>
    public ReadOnlySpan<byte> Read(BlockReader reader, RasterLevel level, int plane, int blockRow)
    {
        Key key = new(level, level.IndexOf(plane, blockRow, 0));
        lock (gate)
        {
            if (byKey.TryGetValue(key, out LinkedListNode<Strip>? found))
            {
                newestFirst.Remove(found);
                newestFirst.AddFirst(found);
                return found.Value.Bytes;
            }
        }

        // Decoded outside the lock: two threads may do the same strip, which costs time and nothing else.
        byte[] bytes = reader.Read(level, plane, blockRow, 0, 0, level.RowsStored(blockRow)).ToArray();
        for (int at = 0; at < bytes.Length; at += level.BytesOfBlockRow)
        {
            Span<byte> row = bytes.AsSpan(at, level.BytesOfBlockRow);
            Span<byte> restored = reader.Restore(level, row);
            if (restored != row)
            {
                restored.CopyTo(row);
            }
        }

        Interlocked.Increment(ref decoded);
        lock (gate)
        {
            if (byKey.TryAdd(key, newestFirst.AddFirst(new Strip(key, bytes))))
            {
                bytesKept += bytes.Length;
            }
            else
            {
                newestFirst.RemoveFirst();
            }

            while (bytesKept > MostBytes && newestFirst.Last is { } oldest)
            {
                newestFirst.RemoveLast();
                byKey.Remove(oldest.Value.Key);
                bytesKept -= oldest.Value.Bytes.Length;
            }
        }

        return bytes;
    }

    private readonly record struct Key(RasterLevel Level, int Block);

    private readonly record struct Strip(Key Key, byte[] Bytes);
}
