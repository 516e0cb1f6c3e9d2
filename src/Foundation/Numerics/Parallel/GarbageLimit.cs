namespace Hillrow.Numerics;

/// <summary>
/// Keeps what is thrown away from piling up. The runtime collects late where there is room, and long work over many pictures
/// then takes twice the memory it needs: 4.9 GB in the search for features of 800 captures, whose features are 0.3.
/// </summary>
/// <param name="bytes">So much may be allocated between two collections.</param>
/// <remarks>Thread-safe. Changes no result.</remarks>
public sealed class GarbageLimit(long bytes = GarbageLimit.UsualBytes)
{
    /// <summary>A collection takes a few hundredths of a second, allocating so much a few tenths at least.</summary>
    private const long UsualBytes = 384L << 20;

    private long collectedAt = GC.GetTotalAllocatedBytes();

    /// <summary>To be called after each piece of work; collects when it is time.</summary>
    public void Hold()
    {
        long last = Volatile.Read(ref collectedAt);
        long now = GC.GetTotalAllocatedBytes();
        if (now - last >= bytes && Interlocked.CompareExchange(ref collectedAt, now, last) == last)
        {
            GC.Collect(GC.MaxGeneration, GCCollectionMode.Forced, blocking: true, compacting: false);
        }
    }

    /// <summary>Hands everything that is no longer used back to the system.</summary>
    public static void GiveBack() =>
        GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);
}
