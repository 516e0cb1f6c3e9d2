using System.Collections.Concurrent;
using System.Numerics;
using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;

namespace Hillrow.Imaging;

/// <summary>Opens writers of cloud-optimized GeoTIFF.</summary>
public static class CogWriter
{
    /// <summary>Begins a file; nothing appears under its name before <see cref="CogWriter{T}.Complete"/>.</summary>
    /// <exception cref="InvalidOperationException">Label or layout break a rule.</exception>
    /// <exception cref="ArgumentException">T cannot hold the label's no-data value.</exception>
    /// <exception cref="IOException">The folder cannot be written to.</exception>
    public static CogWriter<T> Create<T>(string path, RasterLabel label, CogLayout? layout = null)
        where T : unmanaged, INumber<T> => new(path, label, layout ?? new CogLayout());
}

/// <summary>
/// Writes a cloud-optimized GeoTIFF (OGC 21-026) tile by tile, in any order and from any number of threads, in memory
/// that does not grow with the raster. The bytes of the file depend on the cells alone, not on order or threads.
/// </summary>
/// <remarks>
/// Compressed tiles wait in a nameless scratch file beside the destination, as the format wants the coarsest level
/// first; so the disk needs room for the file twice while it is written. The caller's threads do the work.
/// </remarks>
public sealed class CogWriter<T> : IDisposable
    where T : unmanaged, INumber<T>
{
    private readonly string path;
    private readonly RasterLabel label;
    private readonly CogLayout layout;
    private readonly T? noData;
    private readonly int bandsSideBySide;
    private readonly IReadOnlyList<PyramidLevel> levels;
    private readonly long[][] scratchOffsets;
    private readonly int[][] sizes;
    private readonly int[][] missingChildren;
    private readonly int[] begun;
    private readonly SafeFileHandle scratch;
    private readonly QuarterStore<T> quarters;
    private readonly ConcurrentBag<TileEncoder<T>> encoders = [];
    private readonly ConcurrentBag<T[]> parents = [];
    private long scratchLength;
    private int tilesLeft;
    private bool completed;

    internal CogWriter(string path, RasterLabel label, CogLayout layout)
    {
        if (!BitConverter.IsLittleEndian)
        {
            throw new PlatformNotSupportedException("Rasters are written on little-endian processors only.");
        }

        this.path = Path.GetFullPath(path);
        this.label = label.Checked();
        this.layout = layout.Checked();
        noData = SampleTypes.NoDataAs<T>(label.NoData);
        bool sideBySide = layout.PixelInterleaved || label.Bands.Count == 1;
        bandsSideBySide = sideBySide ? label.Bands.Count : 1;
        levels = PyramidLevel.Pyramid(label.Rows, label.Columns, layout.TileSize, sideBySide ? 1 : label.Bands.Count);
        scratchOffsets = [.. levels.Select(level => new long[level.TileCount])];
        sizes = [.. levels.Select(level => new int[level.TileCount])];
        missingChildren = [.. levels.Select((_, index) => index == 0 ? [] : ChildrenOfLevel(index))];
        begun = new int[levels[0].TileCount];
        tilesLeft = levels.Sum(level => level.TileCount);
        int half = layout.TileSize / 2;
        scratch = ScratchFile.OpenBeside(this.path);
        quarters = new QuarterStore<T>(checked(half * half * bandsSideBySide), () => ScratchFile.OpenBeside(this.path));
    }

    /// <summary>Bands stored side by side in a tile: all of them, or 1.</summary>
    public int BandsSideBySide => bandsSideBySide;

    public int TileRows => levels[0].TileRows;

    public int TileColumns => levels[0].TileColumns;

    /// <summary>Rows of cells of the tiles of a tile row: the tile size, fewer in the last one.</summary>
    public int RowsOfTile(int tileRow) => levels[0].RowsOf(tileRow);

    /// <summary>Columns of cells of the tiles of a tile column: the tile size, fewer in the last one.</summary>
    public int ColumnsOfTile(int tileColumn) => levels[0].ColumnsOf(tileColumn);

    /// <summary>Writes one tile of all bands.</summary>
    /// <param name="tileRow">0 … TileRows − 1, from the north.</param>
    /// <param name="tileColumn">0 … TileColumns − 1, from the west.</param>
    /// <param name="cells">Band after band, each RowsOfTile × ColumnsOfTile, row-major.</param>
    /// <exception cref="ArgumentException">The tile does not exist or the count of cells is wrong.</exception>
    /// <exception cref="InvalidOperationException">The tile was written before.</exception>
    public void WriteTile(int tileRow, int tileColumn, ReadOnlySpan<T> cells)
    {
        int perBand = CheckTile(tileRow, tileColumn);
        CheckCount(cells.Length, checked(perBand * label.Bands.Count));
        for (int plane = 0; plane < levels[0].Planes; plane++)
        {
            int count = perBand * bandsSideBySide;
            WritePlane(plane, tileRow, tileColumn, cells.Slice(plane * count, count));
        }
    }

    /// <summary>Writes one tile of one band; only where bands are stored one after the other, or there is only one.</summary>
    /// <param name="band">0 … bands − 1.</param>
    /// <param name="tileRow">0 … TileRows − 1, from the north.</param>
    /// <param name="tileColumn">0 … TileColumns − 1, from the west.</param>
    /// <param name="cells">RowsOfTile × ColumnsOfTile, row-major.</param>
    /// <exception cref="ArgumentException">The tile does not exist or the count of cells is wrong.</exception>
    /// <exception cref="InvalidOperationException">The tile was written before, or bands lie side by side.</exception>
    public void WriteTile(int band, int tileRow, int tileColumn, ReadOnlySpan<T> cells)
    {
        if (bandsSideBySide > 1)
        {
            throw new InvalidOperationException(
                "Bands lie side by side in this file: write all of a tile's bands at once."
            );
        }

        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual((uint)band, (uint)levels[0].Planes, nameof(band));
        CheckCount(cells.Length, CheckTile(tileRow, tileColumn));
        WritePlane(band, tileRow, tileColumn, cells);
    }

    /// <summary>Puts the file together, waits for the disk if the layout says so, and gives it its name.</summary>
    /// <exception cref="InvalidOperationException">Tiles are missing (says how many), or it was completed before.</exception>
    /// <exception cref="IOException">The disk refuses, for instance because it is full; no file appears.</exception>
    public void Complete()
    {
        if (completed || Volatile.Read(ref tilesLeft) > 0)
        {
            throw new InvalidOperationException(
                completed
                    ? $"{path} is complete already."
                    : $"{path}: {begun.Count(mark => mark == 0)} of {begun.Length} tiles were not written."
            );
        }

        CogAssembly.Write(
            path,
            label,
            SampleTypes.Of<T>(),
            layout,
            TileEncoder<T>.PredictorOf(layout),
            levels,
            scratch,
            scratchOffsets,
            sizes
        );
        completed = true;
    }

    /// <summary>Frees everything; without <see cref="Complete"/> no trace remains.</summary>
    public void Dispose()
    {
        quarters.Dispose();
        scratch.Dispose();
    }

    private void WritePlane(int plane, int tileRow, int tileColumn, ReadOnlySpan<T> cells)
    {
        if (Interlocked.Exchange(ref begun[levels[0].IndexOf(plane, tileRow, tileColumn)], 1) != 0)
        {
            throw new InvalidOperationException(
                $"{path}: tile in row {tileRow}, column {tileColumn} (plane {plane}) was written before."
            );
        }

        TileEncoder<T> encoder = encoders.TryTake(out TileEncoder<T>? kept) ? kept : new(layout, bandsSideBySide);
        T[]? owned = null;
        for (int level = 0; ; level++)
        {
            Store(encoder, level, plane, tileRow, tileColumn, cells);
            owned = HandUp(level, plane, tileRow, tileColumn, cells, owned);
            if (owned is null)
            {
                break;
            }

            tileRow /= 2;
            tileColumn /= 2;
            PyramidLevel coarser = levels[level + 1];
            cells = owned.AsSpan(0, coarser.RowsOf(tileRow) * coarser.ColumnsOf(tileColumn) * bandsSideBySide);
        }

        encoders.Add(encoder);
    }

    private void Store(TileEncoder<T> encoder, int level, int plane, int tileRow, int tileColumn, ReadOnlySpan<T> cells)
    {
        PyramidLevel of = levels[level];
        ReadOnlySpan<byte> bytes = encoder.Encode(cells, of.RowsOf(tileRow), of.ColumnsOf(tileColumn));
        long offset = Interlocked.Add(ref scratchLength, bytes.Length) - bytes.Length;
        RandomAccess.Write(scratch, bytes, offset);
        int index = of.IndexOf(plane, tileRow, tileColumn);
        scratchOffsets[level][index] = offset;
        sizes[level][index] = bytes.Length;
        Interlocked.Decrement(ref tilesLeft);
    }

    /// <summary>
    /// Halves a tile for the coarser level. The last of its neighbours to arrive puts the coarser tile together and
    /// gets it back; the others get null. Frees the tile's own buffer.
    /// </summary>
    private T[]? HandUp(int level, int plane, int tileRow, int tileColumn, ReadOnlySpan<T> cells, T[]? owned)
    {
        T[]? parent = null;
        if (level + 1 < levels.Count)
        {
            T[] quarter = quarters.Rent();
            Halve(cells, levels[level].RowsOf(tileRow), levels[level].ColumnsOf(tileColumn), quarter);
            int index = levels[level + 1].IndexOf(plane, tileRow / 2, tileColumn / 2);
            quarters.Put(KeyOf(level, index, tileRow, tileColumn), quarter);
            if (Interlocked.Decrement(ref missingChildren[level + 1][index]) == 0)
            {
                parent = parents.TryTake(out T[]? spare)
                    ? spare
                    : GC.AllocateUninitializedArray<T>(layout.TileSize * layout.TileSize * bandsSideBySide);
                Join(level, index, tileRow / 2, tileColumn / 2, parent);
            }
        }

        if (owned is not null)
        {
            parents.Add(owned);
        }

        return parent;
    }

    private void Halve(ReadOnlySpan<T> cells, int rows, int columns, Span<T> quarter)
    {
        int count = rows * columns;
        int halved = (rows - (rows / 2)) * (columns - (columns / 2));
        for (int band = 0; band < bandsSideBySide; band++)
        {
            ReadOnlySpan<T> fine = cells.Slice(band * count, count);
            Span<T> coarse = quarter.Slice(band * halved, halved);
            if (layout.Overviews == OverviewMethod.Nearest)
            {
                HalfSize.Nearest(fine, rows, columns, coarse);
            }
            else
            {
                HalfSize.Average(fine, rows, columns, noData, coarse);
            }
        }
    }

    private void Join(int level, int index, int parentRow, int parentColumn, Span<T> parent)
    {
        PyramidLevel finer = levels[level];
        PyramidLevel coarser = levels[level + 1];
        int rows = coarser.RowsOf(parentRow);
        int columns = coarser.ColumnsOf(parentColumn);
        int half = layout.TileSize / 2;
        for (int row = 2 * parentRow; row < Math.Min((2 * parentRow) + 2, finer.TileRows); row++)
        {
            for (int column = 2 * parentColumn; column < Math.Min((2 * parentColumn) + 2, finer.TileColumns); column++)
            {
                T[] quarter = quarters.Take(KeyOf(level, index, row, column));
                int height = finer.RowsOf(row) - (finer.RowsOf(row) / 2);
                int width = finer.ColumnsOf(column) - (finer.ColumnsOf(column) / 2);
                for (int line = 0; line < height * bandsSideBySide; line++)
                {
                    int band = line / height;
                    int to = (((band * rows) + ((row % 2) * half) + (line % height)) * columns) + ((column % 2) * half);
                    quarter.AsSpan(line * width, width).CopyTo(parent[to..]);
                }

                quarters.Return(quarter);
            }
        }
    }

    private static long KeyOf(int level, int parentIndex, int tileRow, int tileColumn) =>
        ((long)level << 40) | ((long)parentIndex << 2) | (long)((tileRow % 2 * 2) + (tileColumn % 2));

    private int[] ChildrenOfLevel(int level)
    {
        PyramidLevel of = levels[level];
        int[] children = new int[of.TileCount];
        for (int index = 0; index < children.Length; index++)
        {
            int inPlane = index % (of.TileRows * of.TileColumns);
            children[index] = PyramidLevel.ChildrenOf(
                levels[level - 1],
                inPlane / of.TileColumns,
                inPlane % of.TileColumns
            );
        }

        return children;
    }

    private int CheckTile(int tileRow, int tileColumn)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual((uint)tileRow, (uint)TileRows, nameof(tileRow));
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual((uint)tileColumn, (uint)TileColumns, nameof(tileColumn));
        return RowsOfTile(tileRow) * ColumnsOfTile(tileColumn);
    }

    private void CheckCount(int given, int wanted)
    {
        if (given != wanted)
        {
            throw new ArgumentException($"{path}: {given} cells given, the tile has {wanted}.", nameof(given));
        }
    }
}
