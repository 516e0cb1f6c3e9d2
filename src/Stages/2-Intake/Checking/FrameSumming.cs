using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Sums over a frame and over its tiles; counts without the bits that <see cref="FrameSumming"/> drops.</summary>
/// <param name="Down">Tiles down.</param>
/// <param name="Across">Tiles across.</param>
/// <param name="TileRows">Rows of a tile.</param>
/// <param name="TileColumns">Columns of a tile.</param>
internal sealed record FrameSums(int Down, int Across, int TileRows, int TileColumns)
{
    public long Sum { get; set; }

    /// <summary>Pixels at the largest count.</summary>
    public long Saturated { get; set; }

    /// <summary>Squared differences over one pixel, on every second row.</summary>
    public long FineAcross { get; set; }

    public long FineDown { get; set; }

    /// <summary>Over six pixels.</summary>
    public long CoarseAcross { get; set; }

    public long CoarseDown { get; set; }

    /// <summary>Down × Across.</summary>
    public long[] TileSums { get; } = new long[Down * Across];

    public long[] TileSquares { get; } = new long[Down * Across];

    public long[] TileSaturated { get; } = new long[Down * Across];
}

/// <summary>Sums up a frame in one pass, sixteen pixels at a time where the processor can (AVX2), one by one elsewhere.</summary>
/// <remarks>
/// Whole numbers only: both ways give the same sums. Counts are taken to at most 14 bits, so that differences fit 16
/// and their products 32 bits.
/// </remarks>
internal static class FrameSumming
{
    public const int Coarse = 6;

    private const int MostBits = 14;

    /// <summary>Low bits that are not looked at: none up to 14 bits.</summary>
    public static int DroppedBits(BandSensor sensor) => Math.Max(0, sensor.BitDepth - MostBits);

    /// <param name="samples">Rows × columns as stored.</param>
    /// <param name="rows">Rows.</param>
    /// <param name="columns">Columns.</param>
    /// <param name="shift">Bits that counts stand higher in the samples.</param>
    /// <param name="sensor">Largest count and depth.</param>
    /// <param name="into">Is added to.</param>
    /// <param name="plain">One pixel at a time, whatever the processor can.</param>
    public static void Add(
        ReadOnlySpan<ushort> samples,
        int rows,
        int columns,
        int shift,
        BandSensor sensor,
        FrameSums into,
        bool plain = false
    )
    {
        int drop = shift + DroppedBits(sensor);
        ushort clipped = (ushort)(sensor.LargestCount << shift);
        // A file may hold larger numbers than its camera has: they count as the largest.
        ushort largest = (ushort)(sensor.LargestCount >> DroppedBits(sensor));
        bool fast = Avx2.IsSupported && !plain;
        // A row's sums of products of 14-bit numbers fit 32 bits for so many vectors; then they are widened.
        int most = 1 << Math.Min(MostBits, sensor.BitDepth);
        int chunk = (int)Math.Min(4096, int.MaxValue / (2L * most * most)) - 1;
        for (int row = 0; row < rows; row++)
        {
            ReadOnlySpan<ushort> line = samples.Slice(row * columns, columns);
            int tileRow = row / into.TileRows;
            int tiles = tileRow < into.Down ? into.Across : 0;
            int column = 0;
            for (int tile = 0; tile < tiles; tile++, column += into.TileColumns)
            {
                ReadOnlySpan<ushort> part = line.Slice(column, into.TileColumns);
                RowSums sums = fast
                    ? SumsFast(part, drop, clipped, largest, chunk)
                    : Sums(part, drop, clipped, largest);
                int at = (tileRow * into.Across) + tile;
                into.TileSums[at] += sums.Sum;
                into.TileSquares[at] += sums.Squares;
                into.TileSaturated[at] += sums.Saturated;
                into.Sum += sums.Sum;
                into.Saturated += sums.Saturated;
            }

            if (column < columns)
            {
                RowSums rest = fast
                    ? SumsFast(line[column..], drop, clipped, largest, chunk)
                    : Sums(line[column..], drop, clipped, largest);
                into.Sum += rest.Sum;
                into.Saturated += rest.Saturated;
            }

            // Every second row tells sharpness as well as all.
            if ((row & 1) == 0 && row + Coarse < rows && columns > Coarse)
            {
                ReadOnlySpan<ushort> next = samples.Slice((row + 1) * columns, columns);
                ReadOnlySpan<ushort> far = samples.Slice((row + Coarse) * columns, columns);
                if (fast)
                {
                    ContrastFast(line, next, far, drop, largest, chunk, into);
                }
                else
                {
                    Contrast(line, next, far, 0, drop, largest, into);
                }
            }
        }
    }

    private readonly record struct RowSums(long Sum, long Squares, long Saturated);

    private static RowSums Sums(ReadOnlySpan<ushort> part, int drop, ushort clipped, ushort largest)
    {
        long sum = 0;
        long squares = 0;
        long saturated = 0;
        // 14-bit numbers squared, over less than 2^31 pixels, fit 64 bits.
        unchecked
        {
            foreach (ushort sample in part)
            {
                int count = Math.Min(sample >> drop, largest);
                sum += count;
                squares += count * count;
                saturated += sample >= clipped ? 1 : 0;
            }
        }

        return new RowSums(sum, squares, saturated);
    }

    // A card is over before the runtime would have compiled these well by itself.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static RowSums SumsFast(ReadOnlySpan<ushort> part, int drop, ushort clipped, ushort largest, int chunk)
    {
        int vectors = part.Length / Vector256<ushort>.Count;
        Vector256<ushort> limit = Vector256.Create(clipped);
        Vector256<ushort> top = Vector256.Create(largest);
        Vector256<short> ones = Vector256.Create((short)1);
        long sum = 0;
        long squares = 0;
        long saturated = 0;
        unchecked
        {
            int vector = 0;
            while (vector < vectors)
            {
                int end = Math.Min(vectors, vector + chunk);
                Vector256<int> sums = Vector256<int>.Zero;
                Vector256<int> products = Vector256<int>.Zero;
                for (; vector < end; vector++)
                {
                    Vector256<ushort> raw = Vector256.Create(part[(vector * Vector256<ushort>.Count)..]);
                    Vector256<short> counts = Vector256.Min(raw >>> drop, top).AsInt16();
                    sums += Avx2.MultiplyAddAdjacent(counts, ones);
                    products += Avx2.MultiplyAddAdjacent(counts, counts);
                    Vector256<ushort> above = Vector256.GreaterThanOrEqual(raw, limit);
                    if (above != Vector256<ushort>.Zero)
                    {
                        saturated += BitOperations.PopCount(above.ExtractMostSignificantBits());
                    }
                }

                sum += Wide(sums);
                squares += Wide(products);
            }
        }

        RowSums rest = Sums(part[(vectors * Vector256<ushort>.Count)..], drop, clipped, largest);
        return new RowSums(sum + rest.Sum, squares + rest.Squares, saturated + rest.Saturated);
    }

    private static void Contrast(
        ReadOnlySpan<ushort> line,
        ReadOnlySpan<ushort> next,
        ReadOnlySpan<ushort> far,
        int from,
        int drop,
        ushort largest,
        FrameSums into
    )
    {
        long fineAcross = 0;
        long coarseAcross = 0;
        long fineDown = 0;
        long coarseDown = 0;
        unchecked
        {
            for (int column = from; column < line.Length - Coarse; column++)
            {
                int here = Math.Min(line[column] >> drop, largest);
                long a = Math.Min(line[column + 1] >> drop, largest) - here;
                long b = Math.Min(line[column + Coarse] >> drop, largest) - here;
                long c = Math.Min(next[column] >> drop, largest) - here;
                long d = Math.Min(far[column] >> drop, largest) - here;
                fineAcross += a * a;
                coarseAcross += b * b;
                fineDown += c * c;
                coarseDown += d * d;
            }
        }

        into.FineAcross += fineAcross;
        into.CoarseAcross += coarseAcross;
        into.FineDown += fineDown;
        into.CoarseDown += coarseDown;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void ContrastFast(
        ReadOnlySpan<ushort> line,
        ReadOnlySpan<ushort> next,
        ReadOnlySpan<ushort> far,
        int drop,
        ushort largest,
        int chunk,
        FrameSums into
    )
    {
        int vectors = (line.Length - Coarse) / Vector256<ushort>.Count;
        Vector256<ushort> top = Vector256.Create(largest);
        int vector = 0;
        unchecked
        {
            while (vector < vectors)
            {
                int end = Math.Min(vectors, vector + chunk);
                Vector256<int> fineAcross = Vector256<int>.Zero;
                Vector256<int> coarseAcross = Vector256<int>.Zero;
                Vector256<int> fineDown = Vector256<int>.Zero;
                Vector256<int> coarseDown = Vector256<int>.Zero;
                for (; vector < end; vector++)
                {
                    int column = vector * Vector256<ushort>.Count;
                    Vector256<short> here = Counts(line, column, drop, top);
                    fineAcross += Squared(Counts(line, column + 1, drop, top) - here);
                    coarseAcross += Squared(Counts(line, column + Coarse, drop, top) - here);
                    fineDown += Squared(Counts(next, column, drop, top) - here);
                    coarseDown += Squared(Counts(far, column, drop, top) - here);
                }

                into.FineAcross += Wide(fineAcross);
                into.CoarseAcross += Wide(coarseAcross);
                into.FineDown += Wide(fineDown);
                into.CoarseDown += Wide(coarseDown);
            }
        }

        Contrast(line, next, far, vectors * Vector256<ushort>.Count, drop, largest, into);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<short> Counts(ReadOnlySpan<ushort> line, int column, int drop, Vector256<ushort> top) =>
        Vector256.Min(Vector256.Create(line[column..]) >>> drop, top).AsInt16();

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<int> Squared(Vector256<short> difference) =>
        Avx2.MultiplyAddAdjacent(difference, difference);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static long Wide(Vector256<int> sums)
    {
        (Vector256<long> lower, Vector256<long> upper) = Vector256.Widen(sums);
        return Vector256.Sum(lower + upper);
    }
}
