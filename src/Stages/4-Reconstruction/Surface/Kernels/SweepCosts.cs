using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hillrow.Reconstruction;

/// <summary>Where a partner's bits are compared: index of the tile's first pixel, by tile level.</summary>
/// <param name="Partner">Its bits.</param>
/// <param name="ShiftOf">Columns and rows to add at (column, row) of the own view for a level of the survey's steps.</param>
internal sealed record SweepPartner(
    BitsPicture Partner,
    Func<double, double, int, (double Columns, double Rows)> ShiftOf
);

/// <summary>Matching costs of a capture's pixels at all levels of their tiles.</summary>
/// <remarks>
/// Unlike bits of the two partners that agree best, halved: what a crown hides from one, another sees. Shifts hold for a
/// tile; they are reckoned at its middle for three levels, a parabola between.
/// </remarks>
internal static class SweepCosts
{
    /// <summary>Cost where no partner sees the place: as much as chance would give.</summary>
    public const byte UnknownCost = 15;

    private const byte Unseen = 255;

    /// <param name="own">Bits of the capture.</param>
    /// <param name="partners">At least one.</param>
    /// <param name="tiles">What is tried where.</param>
    /// <param name="costs">Receives the volume.</param>
    /// <param name="cancel">Stops between rows of tiles.</param>
    public static void Fill(
        BitsPicture own,
        IReadOnlyList<SweepPartner> partners,
        SweepTiles tiles,
        Span<byte> costs,
        CancellationToken cancel = default
    )
    {
        int[] places = new int[partners.Count * tiles.MostLevels];
        int[] strides = [.. partners.Select(partner => partner.Partner.Stride)];
        uint[][] bits = [.. partners.Select(partner => partner.Partner.Bits)];
        byte[] byLevel = new byte[tiles.MostLevels * SweepTiles.Width];
        for (int down = 0; down < tiles.Down; down++)
        {
            cancel.ThrowIfCancellationRequested();
            int row = down * SweepTiles.Height;
            int rows = Math.Min(SweepTiles.Height, tiles.Rows - row);
            for (int across = 0; across < tiles.Across; across++)
            {
                int tile = (down * tiles.Across) + across;
                int column = across * SweepTiles.Width;
                int levels = tiles.Levels[tile];
                for (int partner = 0; partner < partners.Count; partner++)
                {
                    Places(
                        partners[partner],
                        row,
                        column,
                        tiles.FirstLevels[tile],
                        places.AsSpan(partner * tiles.MostLevels, levels)
                    );
                }

                for (int line = 0; line < rows; line++)
                {
                    ref uint ours = ref own.Bits[own.IndexOf(0, row, column) + (line * own.Stride)];
                    Compare(ref ours, bits, strides, places, tiles.MostLevels, levels, line, byLevel);
                    Turn(byLevel, levels, costs[tiles.OffsetOf(tile, row + line, column)..]);
                }
            }
        }
    }

    private static void Places(SweepPartner partner, int row, int column, int firstLevel, Span<int> places)
    {
        double middleColumn = column + (SweepTiles.Width / 2.0);
        double middleRow = row + (SweepTiles.Height / 2.0);
        int last = places.Length - 1;
        int middle = places.Length / 2;
        (double c0, double r0) = partner.ShiftOf(middleColumn, middleRow, firstLevel);
        (double c1, double r1) = partner.ShiftOf(middleColumn, middleRow, firstLevel + middle);
        (double c2, double r2) = partner.ShiftOf(middleColumn, middleRow, firstLevel + last);
        Parabola columns = Parabola.Through(c0, c1, c2, middle, last);
        Parabola rows = Parabola.Through(r0, r1, r2, middle, last);
        HalfStep half = partner.Partner.HalfAlong;
        for (int level = 0; level <= last; level++)
        {
            double c = columns.At(level);
            double r = rows.At(level);
            int variant = 0;
            int wholeColumn;
            int wholeRow;
            if (half == HalfStep.Columns)
            {
                int twice = (int)Math.Floor((2 * c) + 0.5);
                (variant, wholeColumn, wholeRow) = (twice & 1, twice >> 1, (int)Math.Floor(r + 0.5));
            }
            else if (half == HalfStep.Rows)
            {
                int twice = (int)Math.Floor((2 * r) + 0.5);
                (variant, wholeColumn, wholeRow) = (twice & 1, (int)Math.Floor(c + 0.5), twice >> 1);
            }
            else
            {
                (wholeColumn, wholeRow) = ((int)Math.Floor(c + 0.5), (int)Math.Floor(r + 0.5));
            }

            places[level] = partner.Partner.IndexOf(variant, row + wholeRow, column + wholeColumn);
        }
    }

    private static void Compare(
        ref uint ours,
        uint[][] bits,
        int[] strides,
        int[] places,
        int placesStride,
        int levels,
        int line,
        byte[] byLevel
    )
    {
        unchecked
        {
            // Places lie in the bordered pictures by BitsPicture.IndexOf.
            SixteenBits own = new(ref ours);
            Vector128<byte> none = Vector128.Create(Unseen);
            Vector128<byte> one = Vector128.Create((byte)1);
            Vector128<byte> unknown = Vector128.Create(UnknownCost);
            ref byte into = ref MemoryMarshal.GetArrayDataReference(byLevel);
            for (int level = 0; level < levels; level++)
            {
                Vector128<byte> best = none;
                Vector128<byte> next = none;
                for (int partner = 0; partner < bits.Length; partner++)
                {
                    Vector128<byte> value = own.Unlike(
                        ref Unsafe.Add(
                            ref MemoryMarshal.GetArrayDataReference(bits[partner]),
                            places[(partner * placesStride) + level] + (line * strides[partner])
                        )
                    );
                    Vector128<byte> higher = Vector128.Max(best, value);
                    best = Vector128.Min(best, value);
                    next = Vector128.Min(next, higher);
                }

                Vector128<byte> alone = Vector128.ConditionalSelect(Vector128.Equals(best, none), unknown, best + one);
                Vector128<byte> cost = Vector128.ConditionalSelect(
                    Vector128.Equals(next, none),
                    alone,
                    Mean(best, next)
                );
                cost.StoreUnsafe(ref into, (nuint)(level * SweepTiles.Width));
            }
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector128<byte> Mean(Vector128<byte> a, Vector128<byte> b) =>
        Sse2.IsSupported ? Sse2.Average(a, b) : (a | b) - (((a ^ b) >> 1) & Vector128.Create((byte)0x7f));

    /// <summary>Levels × 16 pixels → 16 pixels × levels.</summary>
    private static void Turn(byte[] byLevel, int levels, Span<byte> costs)
    {
        Span<Vector128<byte>> rows = stackalloc Vector128<byte>[16];
        Span<Vector128<byte>> turned = stackalloc Vector128<byte>[16];
        unchecked
        {
            // Levels are a multiple of 16; the span holds 16 pixels of them.
            ref byte from = ref MemoryMarshal.GetArrayDataReference(byLevel);
            ref byte into = ref MemoryMarshal.GetReference(costs[..(levels * SweepTiles.Width)]);
            for (int level = 0; level < levels; level += 16)
            {
                for (int k = 0; k < 16; k++)
                {
                    rows[k] = Vector128.LoadUnsafe(ref from, (nuint)((level + k) * SweepTiles.Width));
                }

                // Four perfect shuffles of the rows' bytes turn the square.
                Shuffle(rows, turned);
                Shuffle(turned, rows);
                Shuffle(rows, turned);
                Shuffle(turned, rows);
                for (int k = 0; k < 16; k++)
                {
                    rows[k].StoreUnsafe(ref into, (nuint)((k * levels) + level));
                }
            }
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Shuffle(Span<Vector128<byte>> from, Span<Vector128<byte>> into)
    {
        for (int k = 0; k < 8; k++)
        {
            into[2 * k] = Low(from[k], from[k + 8]);
            into[(2 * k) + 1] = High(from[k], from[k + 8]);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector128<byte> Low(Vector128<byte> a, Vector128<byte> b) =>
        Sse2.IsSupported ? Sse2.UnpackLow(a, b) : Interleaved(a.GetLower(), b.GetLower());

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector128<byte> High(Vector128<byte> a, Vector128<byte> b) =>
        Sse2.IsSupported ? Sse2.UnpackHigh(a, b) : Interleaved(a.GetUpper(), b.GetUpper());

    private static Vector128<byte> Interleaved(Vector64<byte> a, Vector64<byte> b)
    {
        Vector128<byte> mixed = Vector128<byte>.Zero;
        for (int lane = 0; lane < 8; lane++)
        {
            mixed = mixed.WithElement(2 * lane, a[lane]).WithElement((2 * lane) + 1, b[lane]);
        }

        return mixed;
    }

    private readonly record struct Parabola(double Constant, double Linear, double Square)
    {
        public static Parabola Through(double first, double middle, double last, int middleAt, int lastAt)
        {
            double toMiddle = (middle - first) / middleAt;
            double toLast = (last - first) / lastAt;
            double square = (toLast - toMiddle) / (lastAt - middleAt);
            return new Parabola(first, toMiddle - (square * middleAt), square);
        }

        public double At(double level) => Constant + (level * (Linear + (level * Square)));
    }
}
