using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>One map that this room reads window by window, whether it lies in memory or in a file.</summary>
/// <remarks>Values are true values (scale and offset applied); NaN where there are no data. Safe for several threads.</remarks>
public sealed class MapLayer
{
    private readonly Action<int, RasterWindow, float[]> read;
    private readonly Lock gate = new();

    private MapLayer(GridGeometry grid, IReadOnlyList<string> names, Action<int, RasterWindow, float[]> read)
    {
        Grid = grid;
        BandNames = names;
        this.read = read;
    }

    public GridGeometry Grid { get; }

    public IReadOnlyList<string> BandNames { get; }

    /// <summary>A raster in memory, not copied.</summary>
    public static MapLayer Of(Raster<float> raster)
    {
        ArgumentNullException.ThrowIfNull(raster);
        return new MapLayer(
            raster.Grid,
            [.. raster.Label.Bands.Select(band => band.Name)],
            (band, window, into) =>
            {
                BandLabel label = raster.Label.Bands[band];
                float absent = raster.NoData ?? float.NaN;
                (float scale, float offset) = ((float)label.Scale, (float)label.Offset);
                for (int row = 0; row < window.Rows; row++)
                {
                    ReadOnlySpan<float> from = raster.Row(band, window.Row + row).Slice(window.Column, window.Columns);
                    Span<float> to = into.AsSpan(row * window.Columns, window.Columns);
                    for (int column = 0; column < to.Length; column++)
                    {
                        float value = from[column];
                        to[column] = value == absent ? float.NaN : (value * scale) + offset;
                    }
                }
            }
        );
    }

    /// <summary>A raster file, which must stay open as long as the layer is used.</summary>
    /// <param name="file">With a place in a metric grid, north up.</param>
    /// <param name="decode">Turns the file's true value into what this room wants (sigma kept as a logarithm); null: as it is.</param>
    /// <param name="names">What this room shall call the bands ("red", "nir"), in their order; null: as the file does.</param>
    /// <exception cref="Hillrow.Numerics.InputProblemException">The file states no usable grid.</exception>
    public static MapLayer Of(RasterFile file, Func<float, float>? decode = null, IReadOnlyList<string>? names = null)
    {
        ArgumentNullException.ThrowIfNull(file);
        RasterLabel label = file.RequireLabel();
        return new MapLayer(
            label.Grid,
            names ?? [.. file.Bands.Select(band => band.Name)],
            (band, window, into) =>
            {
                Span<float> cells = into.AsSpan(0, window.Rows * window.Columns);
                file.ReadTrueValues(0, band, window, cells);
                if (decode is not null)
                {
                    foreach (ref float value in cells)
                    {
                        value = float.IsNaN(value) ? value : decode(value);
                    }
                }
            }
        );
    }

    /// <summary>This layer, each value times another's in the same cell; where the other has no data, as it is.</summary>
    /// <param name="factor">On the same grid, with the same bands in the same order.</param>
    /// <exception cref="ArgumentException">Grid or number of bands differ.</exception>
    public MapLayer Times(MapLayer factor)
    {
        ArgumentNullException.ThrowIfNull(factor);
        if (factor.Grid != Grid || factor.BandNames.Count != BandNames.Count)
        {
            throw new ArgumentException(
                "The factors must lie on the layer's own cells, a band for each.",
                nameof(factor)
            );
        }

        return new MapLayer(
            Grid,
            BandNames,
            (band, window, into) =>
            {
                read(band, window, into);
                float[] factors = new float[checked((int)window.CellCount)];
                lock (factor.gate)
                {
                    factor.read(band, window, factors);
                }

                for (int at = 0; at < factors.Length; at++)
                {
                    into[at] *= float.IsNaN(factors[at]) ? 1 : factors[at];
                }
            }
        );
    }

    /// <summary>Index of a band, whatever its case, spaces and hyphens; null when absent.</summary>
    public int? IndexOf(string name)
    {
        for (int band = 0; band < BandNames.Count; band++)
        {
            if (string.Equals(Bare(BandNames[band]), Bare(name), StringComparison.OrdinalIgnoreCase))
            {
                return band;
            }
        }

        return null;
    }

    /// <summary>Reads a window of one band; parts outside the map are NaN.</summary>
    public float[] Read(int band, RasterWindow window)
    {
        float[] result = new float[checked((int)window.CellCount)];
        Read(band, window, result);
        return result;
    }

    /// <summary>Reads a window of one band into the first cells of a buffer; parts outside the map are NaN.</summary>
    public void Read(int band, RasterWindow window, float[] into)
    {
        ArgumentNullException.ThrowIfNull(into);
        int firstRow = Math.Max(0, window.Row);
        int firstColumn = Math.Max(0, window.Column);
        int endRow = Math.Min(Grid.Rows, window.Row + window.Rows);
        int endColumn = Math.Min(Grid.Columns, window.Column + window.Columns);
        RasterWindow inner = new(firstRow, firstColumn, endRow - firstRow, endColumn - firstColumn);
        if (inner == window)
        {
            lock (gate)
            {
                read(band, window, into);
            }

            return;
        }

        into.AsSpan(0, checked((int)window.CellCount)).Fill(float.NaN);
        if (inner.Rows < 1 || inner.Columns < 1)
        {
            return;
        }

        float[] cells = new float[checked((int)inner.CellCount)];
        lock (gate)
        {
            read(band, inner, cells);
        }

        for (int row = 0; row < inner.Rows; row++)
        {
            cells
                .AsSpan(row * inner.Columns, inner.Columns)
                .CopyTo(
                    into.AsSpan(
                        ((firstRow - window.Row + row) * window.Columns) + firstColumn - window.Column,
                        inner.Columns
                    )
                );
        }
    }

    /// <summary>Reads one band over a window of another grid of the same reference system, bilinear between cell centres.</summary>
    public float[] ReadOn(GridGeometry grid, RasterWindow window, int band)
    {
        float[] result = new float[checked((int)window.CellCount)];
        ReadOn(grid, window, band, result);
        return result;
    }

    /// <summary>As <see cref="ReadOn(GridGeometry, RasterWindow, int)"/>, into the first cells of a buffer.</summary>
    public void ReadOn(GridGeometry grid, RasterWindow window, int band, float[] into)
    {
        ArgumentNullException.ThrowIfNull(grid);
        ArgumentNullException.ThrowIfNull(into);
        if (grid == Grid)
        {
            Read(band, window, into);
            return;
        }

        double west = grid.WestMetres + (window.Column * grid.CellSizeMetres);
        double north = grid.NorthMetres - (window.Row * grid.CellSizeMetres);
        int row0 = (int)Math.Floor(Grid.RowOf(north)) - 2;
        int column0 = (int)Math.Floor(Grid.ColumnOf(west)) - 2;
        int rows = (int)Math.Ceiling(window.Rows * grid.CellSizeMetres / Grid.CellSizeMetres) + 5;
        int columns = (int)Math.Ceiling(window.Columns * grid.CellSizeMetres / Grid.CellSizeMetres) + 5;
        float[] cells = Read(band, new RasterWindow(row0, column0, rows, columns));
        for (int row = 0; row < window.Rows; row++)
        {
            double at = Grid.RowOf(north - ((row + 0.5) * grid.CellSizeMetres)) - 0.5 - row0;
            int r = (int)Math.Floor(at);
            double rowShare = at - r;
            for (int column = 0; column < window.Columns; column++)
            {
                double across = Grid.ColumnOf(west + ((column + 0.5) * grid.CellSizeMetres)) - 0.5 - column0;
                int c = (int)Math.Floor(across);
                double share = across - c;
                int index = (r * columns) + c;
                double top = (cells[index] * (1 - share)) + (cells[index + 1] * share);
                double bottom = (cells[index + columns] * (1 - share)) + (cells[index + columns + 1] * share);
                into[(row * window.Columns) + column] = (float)((top * (1 - rowShare)) + (bottom * rowShare));
            }
        }
    }

    private static string Bare(string name) => string.Concat(name.Where(char.IsLetterOrDigit));
}
