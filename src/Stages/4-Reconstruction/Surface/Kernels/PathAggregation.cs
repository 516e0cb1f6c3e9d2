using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hillrow.Reconstruction;

/// <summary>Sums matching costs along eight paths, so that weak matches follow their neighbours.</summary>
/// <remarks>
/// Source: H. Hirschmüller 2008, doi 10.1109/TPAMI.2007.1166; ranges of their own for each tile after M. Rothermel et
/// al. 2012 (from memory). Steps of one level cost <c>small</c>, larger ones <c>large</c>, less where the picture itself
/// has an edge.
/// </remarks>
internal sealed class PathAggregation
{
    private const int Guard = 16;
    private const ushort Far = 0x3fff;

    private readonly SweepTiles tiles;
    private readonly int stride;
    private readonly ushort small;
    private readonly ushort large;
    private readonly ushort least;
    private readonly float perEdge;
    private readonly ushort[] moved;

    /// <param name="tiles">Of the volume.</param>
    /// <param name="small">Cost of a step of one level.</param>
    /// <param name="large">Cost of a larger step on an even picture.</param>
    /// <param name="edge">Brightness difference that halves the large cost.</param>
    public PathAggregation(SweepTiles tiles, int small, int large, float edge)
    {
        this.tiles = tiles;
        stride = tiles.MostLevels + (2 * Guard);
        this.small = (ushort)small;
        this.large = (ushort)large;
        least = (ushort)(small + 2);
        perEdge = 1 / edge;
        moved = Filled(stride);
    }

    /// <param name="costs">The volume, 0 … 255.</param>
    /// <param name="picture">Rows × columns brightnesses.</param>
    /// <param name="sums">Receives the volume.</param>
    public void Sum(ReadOnlySpan<byte> costs, ReadOnlySpan<ushort> picture, Span<ushort> sums)
    {
        sums[..tiles.VolumeLength].Clear();
        Pass(costs, picture, sums, forward: true);
        Pass(costs, picture, sums, forward: false);
    }

    /// <summary>Half of the paths: from the row before (three directions) and along the row.</summary>
    private void Pass(ReadOnlySpan<byte> costs, ReadOnlySpan<ushort> picture, Span<ushort> sums, bool forward)
    {
        int columns = tiles.Columns;
        int width = columns + 2;
        ushort[][] before = new ushort[3][];
        ushort[][] now = new ushort[3][];
        ushort[][] leastBefore = new ushort[3][];
        ushort[][] leastNow = new ushort[3][];
        for (int path = 0; path < 3; path++)
        {
            before[path] = Filled(width * stride);
            now[path] = Filled(width * stride);
            leastBefore[path] = new ushort[width];
            leastNow[path] = new ushort[width];
        }

        ushort[] along = Filled(2 * stride);
        unchecked
        {
            // Sums stay below 8 · (255 + large) < 65536 and indices inside the arrays.
            for (int line = 0; line < tiles.Rows; line++)
            {
                int row = forward ? line : tiles.Rows - 1 - line;
                int rowBefore = forward ? row - 1 : row + 1;
                ushort alongLeast = 0;
                for (int place = 0; place < columns; place++)
                {
                    int column = forward ? place : columns - 1 - place;
                    int columnBefore = forward ? column - 1 : column + 1;
                    int tile = tiles.TileOf(row, column);
                    int levels = tiles.Levels[tile];
                    int offset = tiles.OffsetOf(tile, row, column);
                    ref byte cost = ref Unsafe.Add(ref MemoryMarshal.GetReference(costs), offset);
                    ref ushort sum = ref Unsafe.Add(ref MemoryMarshal.GetReference(sums), offset);
                    float own = picture[(row * columns) + column];
                    int current = (place & 1) * stride;
                    bool starts = place == 0;
                    alongLeast = Step(
                        ref cost,
                        ref sum,
                        ref starts
                            ? ref moved[Guard]
                            : ref Aligned(ref along[stride - current + Guard], tiles.TileOf(row, columnBefore), tile),
                        starts,
                        alongLeast,
                        starts ? large : Large(own - picture[(row * columns) + columnBefore]),
                        ref along[current + Guard],
                        levels
                    );
                    for (int path = 0; path < 3; path++)
                    {
                        int from = column + path - 1;
                        bool first = line == 0 || from < 0 || from >= columns;
                        int slot = column + 1;
                        leastNow[path][slot] = Step(
                            ref cost,
                            ref sum,
                            ref first
                                ? ref moved[Guard]
                                : ref Aligned(
                                    ref before[path][((from + 1) * stride) + Guard],
                                    tiles.TileOf(rowBefore, from),
                                    tile
                                ),
                            first,
                            leastBefore[path][from + 1],
                            first ? large : Large(own - picture[(rowBefore * columns) + from]),
                            ref now[path][(slot * stride) + Guard],
                            levels
                        );
                    }
                }

                (before, now) = (now, before);
                (leastBefore, leastNow) = (leastNow, leastBefore);
            }
        }
    }

    /// <summary>The costs of the pixel before, counted from the first level of this pixel's tile.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private ref ushort Aligned(ref ushort from, int fromTile, int tile)
    {
        if (
            fromTile == tile
            || (tiles.FirstLevels[fromTile] == tiles.FirstLevels[tile] && tiles.Levels[fromTile] == tiles.Levels[tile])
        )
        {
            return ref from;
        }

        return ref Moved(ref from, fromTile, tile);
    }

    private ref ushort Moved(ref ushort from, int fromTile, int tile)
    {
        Array.Fill(moved, Far);
        int shift = tiles.FirstLevels[fromTile] - tiles.FirstLevels[tile];
        int first = Math.Max(-1, shift);
        int end = Math.Min(tiles.Levels[tile] + 1, shift + tiles.Levels[fromTile]);
        if (end > first)
        {
            MemoryMarshal
                .CreateReadOnlySpan(ref Unsafe.Add(ref from, first - shift), end - first)
                .CopyTo(moved.AsSpan(Guard + first));
        }

        return ref moved[Guard];
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private ushort Large(float difference)
    {
        float value = large / (1 + (MathF.Abs(difference) * perEdge));
        return value > least ? (ushort)value : least;
    }

    private static ushort[] Filled(int length)
    {
        ushort[] values = GC.AllocateUninitializedArray<ushort>(length);
        Array.Fill(values, Far);
        return values;
    }

    /// <summary>One pixel of one path; returns the smallest of its new costs.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private ushort Step(
        ref byte cost,
        ref ushort sum,
        ref ushort from,
        bool first,
        ushort leastFrom,
        ushort jump,
        ref ushort into,
        int levels
    )
    {
        unchecked
        {
            Vector256<ushort> lowest = Vector256.Create(ushort.MaxValue);
            Vector256<ushort> step = Vector256.Create(small);
            Vector256<ushort> jumped = Vector256.Create((ushort)(leastFrom + jump));
            Vector256<ushort> floor = Vector256.Create(leastFrom);
            for (int level = 0; level < levels; level += 16)
            {
                Vector128<byte> bytes = Vector128.LoadUnsafe(ref cost, (nuint)level);
                Vector256<ushort> value = Vector256.Create(Vector128.WidenLower(bytes), Vector128.WidenUpper(bytes));
                if (!first)
                {
                    Vector256<ushort> same = Vector256.LoadUnsafe(ref from, (nuint)level);
                    Vector256<ushort> lower = Vector256.LoadUnsafe(ref Unsafe.Add(ref from, level - 1)) + step;
                    Vector256<ushort> higher = Vector256.LoadUnsafe(ref Unsafe.Add(ref from, level + 1)) + step;
                    value += Vector256.Min(Vector256.Min(same, jumped), Vector256.Min(lower, higher)) - floor;
                }

                value.StoreUnsafe(ref into, (nuint)level);
                lowest = Vector256.Min(lowest, value);
                (Vector256.LoadUnsafe(ref sum, (nuint)level) + value).StoreUnsafe(ref sum, (nuint)level);
            }

            // The slot may have held more levels before.
            Unsafe.Add(ref into, levels) = Far;
            return Smallest(Vector128.Min(lowest.GetLower(), lowest.GetUpper()));
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static ushort Smallest(Vector128<ushort> values)
    {
        if (Sse41.IsSupported)
        {
            return Sse41.MinHorizontal(values).ToScalar();
        }

        ushort smallest = values[0];
        for (int lane = 1; lane < 8; lane++)
        {
            smallest = Math.Min(smallest, values[lane]);
        }

        return smallest;
    }
}
