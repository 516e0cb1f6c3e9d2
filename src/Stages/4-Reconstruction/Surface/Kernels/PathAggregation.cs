using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hillrow.Reconstruction;

/// <summary>Takes a pixel's summed costs, pixel by pixel in no promised order.</summary>
internal interface ISumTaker
{
    /// <param name="row">Of the picture.</param>
    /// <param name="column">Of the picture.</param>
    /// <param name="sums">One sum for each level of the pixel's tile; only valid during the call.</param>
    void Take(int row, int column, ReadOnlySpan<ushort> sums);
}

/// <summary>Sums matching costs along eight paths, so that weak matches follow their neighbours.</summary>
/// <remarks>
/// Source: H. Hirschmüller 2008, doi 10.1109/TPAMI.2007.1166; ranges of their own for each tile after M. Rothermel et
/// al. 2012 (from memory). Steps of one level cost <c>small</c>, larger ones <c>large</c>, less where the picture itself
/// has an edge. All in bytes: a path's cost is at most the pixel's own and <c>large</c>, and four of them fit into a byte.
/// </remarks>
internal sealed class PathAggregation
{
    private const int Unit = SweepTiles.LevelUnit;
    private const int Paths = 4;
    private const int Along = 3;

    /// <summary>Dearer than any path, and still a byte when a step is added.</summary>
    private const byte Far = 128;

    private readonly SweepTiles tiles;
    private readonly int stride;
    private readonly byte small;
    private readonly byte large;
    private readonly float perEdge;
    private readonly byte[] far;
    private readonly byte[][] moved;

    /// <param name="tiles">Of the volume.</param>
    /// <param name="small">Cost of a step of one level.</param>
    /// <param name="large">Cost of a larger step on an even picture; with the largest matching cost at most 63.</param>
    /// <param name="edge">Brightness difference that halves the large cost.</param>
    public PathAggregation(SweepTiles tiles, int small, int large, float edge)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(large, byte.MaxValue / Paths);
        this.tiles = tiles;
        stride = tiles.MostLevels + (2 * Unit);
        this.small = (byte)small;
        this.large = (byte)large;
        perEdge = 1 / edge;
        far = Filled(stride);
        moved = [Filled(stride), Filled(stride), Filled(stride), Filled(stride)];
    }

    /// <param name="costs">The volume; each at most 63 less the large cost.</param>
    /// <param name="picture">Rows × columns brightnesses.</param>
    /// <param name="half">Scratch of the volume's length.</param>
    /// <param name="taker">Told the sums of every pixel.</param>
    /// <param name="cancel">Stops between rows.</param>
    public void Sum<T>(
        ReadOnlySpan<byte> costs,
        ReadOnlySpan<ushort> picture,
        Span<byte> half,
        ref T taker,
        CancellationToken cancel = default
    )
        where T : struct, ISumTaker
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(costs.Length, tiles.VolumeLength);
        ArgumentOutOfRangeException.ThrowIfLessThan(half.Length, tiles.VolumeLength);
        Pass(costs, picture, half, forward: true, ref taker, cancel);
        Pass(costs, picture, half, forward: false, ref taker, cancel);
    }

    /// <summary>Half of the paths: from the row before (three directions) and along the row.</summary>
    private void Pass<T>(
        ReadOnlySpan<byte> costs,
        ReadOnlySpan<ushort> picture,
        Span<byte> half,
        bool forward,
        ref T taker,
        CancellationToken cancel
    )
        where T : struct, ISumTaker
    {
        int columns = tiles.Columns;
        PathRow before = new(columns, stride);
        PathRow now = new(columns, stride);
        byte[] along = Filled(2 * stride);
        byte[][] jumps = [new byte[columns], new byte[columns], new byte[columns], new byte[columns]];
        Span<ushort> sums = new ushort[tiles.MostLevels];
        unchecked
        {
            // Sums stay below 8 · 64 and indices inside the arrays.
            for (int line = 0; line < tiles.Rows; line++)
            {
                cancel.ThrowIfCancellationRequested();
                int row = forward ? line : tiles.Rows - 1 - line;
                int rowBefore = forward ? row - 1 : row + 1;
                bool starts = line == 0;
                Jumps(picture, row, rowBefore, starts, forward, jumps);
                int tilesBefore = starts ? 0 : rowBefore / SweepTiles.Height * tiles.Across;
                byte alongLeast = 0;
                for (int turn = 0; turn < tiles.Across; turn++)
                {
                    int across = forward ? turn : tiles.Across - 1 - turn;
                    int tile = (row / SweepTiles.Height * tiles.Across) + across;
                    int levels = tiles.Levels[tile];
                    int firstColumn = across * SweepTiles.Width;
                    int lastColumn = Math.Min(columns, firstColumn + SweepTiles.Width) - 1;
                    int offset = tiles.OffsetOf(tile, row, firstColumn);
                    bool like = !starts && Alike(tilesBefore + across, tile);
                    for (int place = firstColumn; place <= lastColumn; place++)
                    {
                        int column = forward ? place : lastColumn + firstColumn - place;
                        int at = offset + ((column - firstColumn) * levels);
                        int current = (column & 1) * stride;
                        int columnBefore = forward ? column - 1 : column + 1;
                        bool alongStarts = columnBefore < 0 || columnBefore >= columns;
                        bool atLeft = column == firstColumn;
                        bool atRight = column == lastColumn;
                        ref byte from3 = ref alongStarts
                            ? ref far[Unit]
                            : ref (forward ? atLeft : atRight)
                                ? ref Aligned(
                                    ref along[stride - current + Unit],
                                    tile + (forward ? -1 : 1),
                                    tile,
                                    Along
                                )
                                : ref along[stride - current + Unit];
                        ref byte from0 = ref far[Unit];
                        ref byte from1 = ref far[Unit];
                        ref byte from2 = ref far[Unit];
                        byte least0 = 0;
                        byte least1 = 0;
                        byte least2 = 0;
                        if (!starts)
                        {
                            int slot = (column * stride) + Unit;
                            from1 = ref before.Of(1)[slot];
                            least1 = before.Least(1)[column];
                            if (!like)
                            {
                                from1 = ref Moved(ref from1, tilesBefore + across, tile, 1);
                            }

                            if (column > 0)
                            {
                                from0 = ref before.Of(0)[slot - stride];
                                least0 = before.Least(0)[column - 1];
                                if (atLeft || !like)
                                {
                                    from0 = ref Aligned(ref from0, tilesBefore + across - (atLeft ? 1 : 0), tile, 0);
                                }
                            }

                            if (column < columns - 1)
                            {
                                from2 = ref before.Of(2)[slot + stride];
                                least2 = before.Least(2)[column + 1];
                                if (atRight || !like)
                                {
                                    from2 = ref Aligned(ref from2, tilesBefore + across + (atRight ? 1 : 0), tile, 2);
                                }
                            }
                        }

                        int into = (column * stride) + Unit;
                        Vector128<byte> floor0 = Vector128.Create(least0);
                        Vector128<byte> floor1 = Vector128.Create(least1);
                        Vector128<byte> floor2 = Vector128.Create(least2);
                        Vector128<byte> floor3 = Vector128.Create(alongLeast);
                        Vector128<byte> jumped0 = Vector128.Create((byte)(least0 + jumps[0][column]));
                        Vector128<byte> jumped1 = Vector128.Create((byte)(least1 + jumps[1][column]));
                        Vector128<byte> jumped2 = Vector128.Create((byte)(least2 + jumps[2][column]));
                        Vector128<byte> jumped3 = Vector128.Create((byte)(alongLeast + jumps[Along][column]));
                        Vector128<byte> lowest0 = Vector128<byte>.AllBitsSet;
                        Vector128<byte> lowest1 = lowest0;
                        Vector128<byte> lowest2 = lowest0;
                        Vector128<byte> lowest3 = lowest0;
                        Vector128<byte> step = Vector128.Create(small);
                        ref byte cost = ref Unsafe.Add(ref MemoryMarshal.GetReference(costs), at);
                        ref byte sum = ref Unsafe.Add(ref MemoryMarshal.GetReference(half), at);
                        ref byte into0 = ref now.Of(0)[into];
                        ref byte into1 = ref now.Of(1)[into];
                        ref byte into2 = ref now.Of(2)[into];
                        ref byte into3 = ref along[current + Unit];
                        for (int level = 0; level < levels; level += Unit)
                        {
                            Vector128<byte> own = Vector128.LoadUnsafe(ref cost, (nuint)level);
                            Vector128<byte> value0 = own + Cheapest(ref from0, level, step, jumped0) - floor0;
                            Vector128<byte> value1 = own + Cheapest(ref from1, level, step, jumped1) - floor1;
                            Vector128<byte> value2 = own + Cheapest(ref from2, level, step, jumped2) - floor2;
                            Vector128<byte> value3 = own + Cheapest(ref from3, level, step, jumped3) - floor3;
                            value0.StoreUnsafe(ref into0, (nuint)level);
                            value1.StoreUnsafe(ref into1, (nuint)level);
                            value2.StoreUnsafe(ref into2, (nuint)level);
                            value3.StoreUnsafe(ref into3, (nuint)level);
                            lowest0 = Vector128.Min(lowest0, value0);
                            lowest1 = Vector128.Min(lowest1, value1);
                            lowest2 = Vector128.Min(lowest2, value2);
                            lowest3 = Vector128.Min(lowest3, value3);
                            Vector128<byte> four = value0 + value1 + (value2 + value3);
                            if (forward)
                            {
                                four.StoreUnsafe(ref sum, (nuint)level);
                            }
                            else
                            {
                                Vector128<byte> others = Vector128.LoadUnsafe(ref sum, (nuint)level);
                                Vector256<ushort> all = Wide(four) + Wide(others);
                                all.StoreUnsafe(ref MemoryMarshal.GetReference(sums), (nuint)level);
                            }
                        }

                        // The slots may have held more levels before.
                        Vector128<byte> end = Vector128.Create(Far);
                        end.StoreUnsafe(ref into0, (nuint)levels);
                        end.StoreUnsafe(ref into1, (nuint)levels);
                        end.StoreUnsafe(ref into2, (nuint)levels);
                        end.StoreUnsafe(ref into3, (nuint)levels);
                        now.Least(0)[column] = Smallest(lowest0);
                        now.Least(1)[column] = Smallest(lowest1);
                        now.Least(2)[column] = Smallest(lowest2);
                        alongLeast = Smallest(lowest3);
                        if (!forward)
                        {
                            taker.Take(row, column, sums[..levels]);
                        }
                    }
                }

                (before, now) = (now, before);
            }
        }
    }

    /// <summary>Cost of the cheapest way from the pixel before to sixteen levels.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector128<byte> Cheapest(ref byte from, int level, Vector128<byte> step, Vector128<byte> jumped)
    {
        ref byte at = ref Unsafe.Add(ref from, level);
        Vector128<byte> same = Vector128.LoadUnsafe(ref at);
        Vector128<byte> lower;
        Vector128<byte> higher;
        if (Ssse3.IsSupported)
        {
            // Whole vectors, as they were stored: a load across two stores would wait for both.
            lower = Ssse3.AlignRight(same, Vector128.LoadUnsafe(ref Unsafe.Add(ref at, -Unit)), 15);
            higher = Ssse3.AlignRight(Vector128.LoadUnsafe(ref Unsafe.Add(ref at, Unit)), same, 1);
        }
        else
        {
            lower = Vector128.LoadUnsafe(ref Unsafe.Add(ref at, -1));
            higher = Vector128.LoadUnsafe(ref Unsafe.Add(ref at, 1));
        }

        return Vector128.Min(Vector128.Min(same, jumped), Vector128.Min(lower, higher) + step);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<ushort> Wide(Vector128<byte> bytes) =>
        Avx2.IsSupported
            ? Avx2.ConvertToVector256Int16(bytes).AsUInt16()
            : Vector256.Create(Vector128.WidenLower(bytes), Vector128.WidenUpper(bytes));

    /// <summary>Costs of larger steps into each pixel of a row, by path; 0 where a path starts.</summary>
    private void Jumps(ReadOnlySpan<ushort> picture, int row, int rowBefore, bool starts, bool forward, byte[][] jumps)
    {
        int columns = tiles.Columns;
        ReadOnlySpan<ushort> own = picture.Slice(row * columns, columns);
        Span<byte> along = jumps[Along];
        if (forward)
        {
            along[0] = 0;
            Jumps(own[1..], own[..^1], along[1..]);
        }
        else
        {
            along[^1] = 0;
            Jumps(own[..^1], own[1..], along[..^1]);
        }

        if (starts)
        {
            for (int path = 0; path < Along; path++)
            {
                jumps[path].AsSpan().Clear();
            }

            return;
        }

        ReadOnlySpan<ushort> last = picture.Slice(rowBefore * columns, columns);
        jumps[0][0] = 0;
        Jumps(own[1..], last[..^1], jumps[0].AsSpan(1));
        Jumps(own, last, jumps[1]);
        jumps[2][^1] = 0;
        Jumps(own[..^1], last[1..], jumps[2].AsSpan(0, columns - 1));
    }

    private void Jumps(ReadOnlySpan<ushort> own, ReadOnlySpan<ushort> from, Span<byte> jumps)
    {
        float whole = large;
        int least = small + 2;
        unchecked
        {
            int at = 0;
            Vector256<float> one = Vector256.Create(1f);
            for (; at + 8 <= own.Length; at += 8)
            {
                Vector256<float> difference = Floats(own[at..]) - Floats(from[at..]);
                Vector256<float> value =
                    Vector256.Create(whole) / (one + (Vector256.Abs(difference) * Vector256.Create(perEdge)));
                Vector256<int> jump = Vector256.Max(Vector256.ConvertToInt32(value), Vector256.Create(least));
                Vector128<ushort> narrow = Vector128.Narrow(jump.GetLower().AsUInt32(), jump.GetUpper().AsUInt32());
                Vector128.Narrow(narrow, narrow).GetLower().CopyTo(jumps[at..]);
            }

            for (; at < own.Length; at++)
            {
                float value = whole / (1 + (MathF.Abs((float)own[at] - from[at]) * perEdge));
                jumps[at] = (byte)Math.Max((int)value, least);
            }
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Floats(ReadOnlySpan<ushort> values)
    {
        Vector128<ushort> narrow = Vector128.Create(values);
        return Vector256.ConvertToSingle(
            Vector256.Create(Vector128.WidenLower(narrow), Vector128.WidenUpper(narrow)).AsInt32()
        );
    }

    private bool Alike(int fromTile, int tile) =>
        fromTile == tile
        || (tiles.FirstLevels[fromTile] == tiles.FirstLevels[tile] && tiles.Levels[fromTile] == tiles.Levels[tile]);

    /// <summary>The costs of the pixel before, counted from the first level of this pixel's tile.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private ref byte Aligned(ref byte from, int fromTile, int tile, int path)
    {
        if (Alike(fromTile, tile))
        {
            return ref from;
        }

        return ref Moved(ref from, fromTile, tile, path);
    }

    [MethodImpl(MethodImplOptions.NoInlining)]
    private ref byte Moved(ref byte from, int fromTile, int tile, int path)
    {
        byte[] scratch = moved[path];
        int levels = tiles.Levels[tile];
        scratch.AsSpan(0, levels + (2 * Unit)).Fill(Far);
        int shift = tiles.FirstLevels[fromTile] - tiles.FirstLevels[tile];
        int first = Math.Max(-1, shift);
        int end = Math.Min(levels + 1, shift + tiles.Levels[fromTile]);
        if (end > first)
        {
            MemoryMarshal
                .CreateReadOnlySpan(ref Unsafe.Add(ref from, first - shift), end - first)
                .CopyTo(scratch.AsSpan(Unit + first));
        }

        return ref scratch[Unit];
    }

    private static byte[] Filled(int length)
    {
        byte[] values = GC.AllocateUninitializedArray<byte>(length);
        Array.Fill(values, Far);
        return values;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static byte Smallest(Vector128<byte> values)
    {
        unchecked
        {
            if (Sse41.IsSupported)
            {
                Vector128<ushort> pairs = values.AsUInt16();
                return (byte)
                    Sse41.MinHorizontal(Vector128.Min(pairs & Vector128.Create((ushort)0xff), pairs >> 8)).ToScalar();
            }

            byte smallest = values[0];
            for (int lane = 1; lane < 16; lane++)
            {
                smallest = Math.Min(smallest, values[lane]);
            }

            return smallest;
        }
    }

    /// <summary>Costs of the three paths that come from the row before, for every pixel of a row.</summary>
    private sealed class PathRow
    {
        private readonly byte[][] costs;
        private readonly byte[][] least;

        public PathRow(int columns, int stride)
        {
            costs = [Filled(columns * stride), Filled(columns * stride), Filled(columns * stride)];
            least = [new byte[columns], new byte[columns], new byte[columns]];
        }

        public byte[] Of(int path) => costs[path];

        /// <summary>Smallest cost of each pixel.</summary>
        public byte[] Least(int path) => least[path];
    }
}
