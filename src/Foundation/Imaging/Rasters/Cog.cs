using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>Writes whole rasters in one call.</summary>
public static class Cog
{
    /// <summary>Writes a raster from memory.</summary>
    /// <param name="path">Replaced when it exists, in one step.</param>
    /// <param name="threads">Threads to work with; 0 for all cores. The file's bytes do not depend on it.</param>
    /// <param name="cancel">Stops between tiles; no file appears.</param>
    /// <exception cref="IOException">The disk refuses; no file appears.</exception>
    /// <exception cref="OperationCanceledException">Cancelled.</exception>
    public static void Write<T>(
        string path,
        Raster<T> raster,
        CogLayout? layout = null,
        int threads = 0,
        CancellationToken cancel = default
    )
        where T : unmanaged, INumber<T>
    {
        layout ??= new CogLayout();
        using CogWriter<T> writer = CogWriter.Create<T>(path, raster.Label, layout);
        int size = layout.TileSize;
        TileOrder order = new(writer.TileRows, writer.TileColumns);
        order.ForEach(
            threads,
            () => new T[checked(Math.Min(size, raster.Rows) * Math.Min(size, raster.Columns) * raster.BandCount)],
            (tileRow, tileColumn, buffer) =>
            {
                cancel.ThrowIfCancellationRequested();
                int rows = writer.RowsOfTile(tileRow);
                int columns = writer.ColumnsOfTile(tileColumn);
                int at = 0;
                for (int band = 0; band < raster.BandCount; band++)
                {
                    for (int row = 0; row < rows; row++)
                    {
                        raster
                            .Row(band, (tileRow * size) + row)
                            .Slice(tileColumn * size, columns)
                            .CopyTo(buffer.AsSpan(at));
                        at += columns;
                    }
                }

                writer.WriteTile(tileRow, tileColumn, buffer.AsSpan(0, at));
            }
        );
        writer.Complete();
    }

    /// <summary>Writes full resolution of another raster file anew, in memory that does not grow with it.</summary>
    /// <param name="from">On a metric north-up grid; T must hold its numbers.</param>
    /// <param name="path">Replaced when it exists, in one step.</param>
    /// <param name="threads">Threads to work with; 0 for all cores. The file's bytes do not depend on it.</param>
    /// <exception cref="Hillrow.Numerics.InputProblemException">The source is damaged or lies on no such grid.</exception>
    /// <exception cref="IOException">The disk refuses; no file appears.</exception>
    public static void Copy<T>(RasterFile from, string path, CogLayout? layout = null, int threads = 0)
        where T : unmanaged, INumber<T>
    {
        layout ??= new CogLayout();
        using CogWriter<T> writer = CogWriter.Create<T>(path, from.RequireLabel(), layout);
        int size = layout.TileSize;
        int planes = writer.BandsSideBySide == from.BandCount ? 1 : from.BandCount;
        int bandsAtOnce = from.BandCount / planes;
        new TileOrder(writer.TileRows, writer.TileColumns).ForEach(
            threads,
            () => new T[checked(Math.Min(size, from.Rows) * Math.Min(size, from.Columns) * bandsAtOnce)],
            (tileRow, tileColumn, buffer) =>
            {
                RasterWindow window = new(
                    tileRow * size,
                    tileColumn * size,
                    writer.RowsOfTile(tileRow),
                    writer.ColumnsOfTile(tileColumn)
                );
                Span<T> cells = buffer.AsSpan(0, (int)window.CellCount * bandsAtOnce);
                for (int plane = 0; plane < planes; plane++)
                {
                    if (planes == 1)
                    {
                        from.Read(0, window, cells);
                        writer.WriteTile(tileRow, tileColumn, cells);
                    }
                    else
                    {
                        from.Read(0, plane, window, cells);
                        writer.WriteTile(plane, tileRow, tileColumn, cells);
                    }
                }
            }
        );
        writer.Complete();
    }
}
