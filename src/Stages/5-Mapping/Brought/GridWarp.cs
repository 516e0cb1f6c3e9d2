using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>Reads a raster of any reference system onto a metric grid of another, tile by tile.</summary>
/// <remarks>
/// Places are carried over exactly on a lattice of every 16th cell and bilinearly between (a UTM zone's curvature over
/// 16 cells of 1 m moves nothing by 0.001 cells). Values are bilinear between the source's cell centres; where some of the
/// four are missing the others stand in, as long as they carry half of the weight. Memory: one tile's source window.
/// </remarks>
public sealed class GridWarp
{
    private const int LatticeCells = 16;

    /// <summary>Corners nearer than this share of a cell are the same: then nothing is resampled.</summary>
    private const double SameWithinCells = 0.01;

    /// <summary>4 km at 2 cm.</summary>
    private const long LargestSideCells = 200_000;

    private readonly RasterFile source;
    private readonly RasterPlacement placement;
    private readonly ReferenceSystem from;
    private readonly double determinant;

    /// <param name="source">Stays open as long as the warp is used.</param>
    /// <param name="target">Projected.</param>
    /// <exception cref="InputProblemException">The source names no place or no system we know, or lies where the target is no map.</exception>
    public GridWarp(RasterFile source, ReferenceSystem target)
    {
        ArgumentNullException.ThrowIfNull(source);
        ArgumentNullException.ThrowIfNull(target);
        this.source = source;
        placement =
            source.Placement
            ?? throw new InputProblemException(
                source.Name,
                "it does not say where it lies.",
                "Export it as a GeoTIFF with its place and reference system inside the file."
            );
        from = RasterReferenceSystem.Of(source);
        determinant = (placement.XPerColumn * placement.YPerRow) - (placement.XPerRow * placement.YPerColumn);
        Target = target;
        Grid = GridFor(target);
    }

    public ReferenceSystem Target { get; }

    /// <summary>
    /// Cells as large as the source's pixels on the ground, on whole multiples of their size; the source's own grid
    /// where it lies in the target's system already, so that nothing is resampled.
    /// </summary>
    public GridGeometry Grid { get; }

    /// <summary>True when the grid's cells are the source's pixels.</summary>
    public bool IsCopy { get; private set; }

    /// <summary>Reads bands onto a window of a grid of the target system.</summary>
    /// <param name="grid">Any grid of the target system.</param>
    /// <param name="window">Of that grid.</param>
    /// <param name="bands">Positions in the source.</param>
    /// <param name="into">Receives band after band, each window.Rows × window.Columns; true values, NaN where missing.</param>
    public void Read(GridGeometry grid, RasterWindow window, IReadOnlyList<int> bands, Span<float> into)
    {
        ArgumentNullException.ThrowIfNull(grid);
        ArgumentNullException.ThrowIfNull(bands);
        int cells = checked((int)window.CellCount);
        if (IsCopy && grid == Grid)
        {
            for (int band = 0; band < bands.Count; band++)
            {
                source.ReadTrueValues(0, bands[band], window, into.Slice(band * cells, cells));
            }

            return;
        }

        into[..(cells * bands.Count)].Fill(float.NaN);
        int latticeRows = ((window.Rows - 1) / LatticeCells) + 2;
        int latticeColumns = ((window.Columns - 1) / LatticeCells) + 2;
        PixelPoint[] lattice = new PixelPoint[latticeRows * latticeColumns];
        (double top, double left, double bottom, double right) = (
            double.MaxValue,
            double.MaxValue,
            double.MinValue,
            double.MinValue
        );
        for (int at = 0; at < lattice.Length; at++)
        {
            double row = window.Row + (at / latticeColumns * LatticeCells) + 0.5;
            double column = window.Column + (at % latticeColumns * LatticeCells) + 0.5;
            PixelPoint place = PixelOf(
                new GridPoint(
                    grid.WestMetres + (column * grid.CellSizeMetres),
                    grid.NorthMetres - (row * grid.CellSizeMetres)
                )
            );
            lattice[at] = place;
            (top, bottom) = (Math.Min(top, place.Row), Math.Max(bottom, place.Row));
            (left, right) = (Math.Min(left, place.Column), Math.Max(right, place.Column));
        }

        RasterWindow needed = Needed(top, left, bottom, right);
        if (needed.Rows < 1 || needed.Columns < 1)
        {
            return;
        }

        float[] values = new float[needed.CellCount];
        for (int band = 0; band < bands.Count; band++)
        {
            source.ReadTrueValues(0, bands[band], needed, values);
            Resample(values, needed, lattice, latticeColumns, window, into.Slice(band * cells, cells));
        }
    }

    /// <summary>Where a place of the target lies in the source, outer corner of the first pixel at 0, 0.</summary>
    public PixelPoint PixelOf(GridPoint place)
    {
        (double x, double y) = (place.EastingMetres, place.NorthingMetres);
        if (!from.Equals(Target))
        {
            GeographicPoint wgs84 = Target.ToWgs84(place);
            if (from.IsProjected)
            {
                GridPoint moved = from.ToGrid(wgs84);
                (x, y) = (moved.EastingMetres, moved.NorthingMetres);
            }
            else
            {
                GeographicPoint own = from.Datum.FromWgs84Place(wgs84);
                (x, y) = (own.Longitude.Degrees, own.Latitude.Degrees);
            }
        }

        double dx = x - placement.OriginX;
        double dy = y - placement.OriginY;
        return new PixelPoint(
            ((dx * placement.YPerRow) - (dy * placement.XPerRow)) / determinant,
            ((dy * placement.XPerColumn) - (dx * placement.YPerColumn)) / determinant
        );
    }

    private RasterWindow Needed(double top, double left, double bottom, double right)
    {
        int row0 = (int)Math.Clamp(Math.Floor(top) - 2, 0, source.Rows);
        int column0 = (int)Math.Clamp(Math.Floor(left) - 2, 0, source.Columns);
        int row1 = (int)Math.Clamp(Math.Ceiling(bottom) + 2, 0, source.Rows);
        int column1 = (int)Math.Clamp(Math.Ceiling(right) + 2, 0, source.Columns);
        return new RasterWindow(row0, column0, row1 - row0, column1 - column0);
    }

    private static void Resample(
        float[] values,
        RasterWindow from,
        PixelPoint[] lattice,
        int latticeColumns,
        RasterWindow window,
        Span<float> into
    )
    {
        for (int row = 0; row < window.Rows; row++)
        {
            int l0 = row / LatticeCells * latticeColumns;
            double down = (double)(row % LatticeCells) / LatticeCells;
            for (int column = 0; column < window.Columns; column++)
            {
                int at = l0 + (column / LatticeCells);
                double across = (double)(column % LatticeCells) / LatticeCells;
                double r =
                    Between(
                        Between(lattice[at].Row, lattice[at + 1].Row, across),
                        Between(lattice[at + latticeColumns].Row, lattice[at + latticeColumns + 1].Row, across),
                        down
                    ) - from.Row;
                double c =
                    Between(
                        Between(lattice[at].Column, lattice[at + 1].Column, across),
                        Between(lattice[at + latticeColumns].Column, lattice[at + latticeColumns + 1].Column, across),
                        down
                    ) - from.Column;
                into[(row * window.Columns) + column] = At(values, from.Rows, from.Columns, r, c);
            }
        }
    }

    private static double Between(double a, double b, double share) => a + ((b - a) * share);

    /// <summary>Bilinear; NaN outside the source's pixels or where less than half of the weight has data.</summary>
    private static float At(float[] values, int rows, int columns, double row, double column)
    {
        // A place on the outermost edge that rounding puts a hair outside is inside.
        const double hair = 1e-6;
        if (!(row > -hair && column > -hair && row < rows + hair && column < columns + hair))
        {
            return float.NaN;
        }

        double r = Math.Round(row - 0.5, 6);
        double c = Math.Round(column - 0.5, 6);
        int r0 = (int)Math.Floor(r);
        int c0 = (int)Math.Floor(c);
        double down = r - r0;
        double across = c - c0;
        double sum = 0;
        double weight = 0;
        for (int corner = 0; corner < 4; corner++)
        {
            double w = ((corner & 2) == 0 ? 1 - down : down) * ((corner & 1) == 0 ? 1 - across : across);
            if (w <= 0)
            {
                continue;
            }

            int at =
                (Math.Clamp(r0 + (corner >> 1), 0, rows - 1) * columns) + Math.Clamp(c0 + (corner & 1), 0, columns - 1);
            if (!float.IsNaN(values[at]))
            {
                sum += w * values[at];
                weight += w;
            }
        }

        return weight >= 0.5 ? (float)(sum / weight) : float.NaN;
    }

    private GridGeometry GridFor(ReferenceSystem target)
    {
        if (source.TryGrid() is { } same && same.ReferenceSystem.Equals(target))
        {
            IsCopy = true;
            return same;
        }

        GridPoint[] corners = [.. Edge(4).Select(place => PlaceOf(place, target))];
        GridPoint middle = PlaceOf(new PixelPoint(source.Columns / 2.0, source.Rows / 2.0), target);
        GridPoint beside = PlaceOf(new PixelPoint((source.Columns / 2.0) + 1, source.Rows / 2.0), target);
        GridPoint below = PlaceOf(new PixelPoint(source.Columns / 2.0, (source.Rows / 2.0) + 1), target);
        double cell = Math.Min(Distance(middle, beside), Distance(middle, below));
        if (!(cell > 1e-4) || !corners.All(corner => double.IsFinite(corner.EastingMetres + corner.NorthingMetres)))
        {
            throw new InputProblemException(
                source.Name,
                "its place cannot be brought into the estate's UTM zone.",
                "Check that the file is of this estate and names its own reference system."
            );
        }

        GridGeometry own = new(target, corners[0], cell, source.Rows, source.Columns);
        if (IsSame(own, corners))
        {
            IsCopy = true;
            return own;
        }

        // A size that people can say, at most a twentieth finer than the pixels.
        double step = Math.Pow(10, Math.Floor(Math.Log10(cell)) - 1) / 2;
        cell = Math.Max(step, Math.Floor((cell / step) + 1e-6) * step);
        GridPoint[] edge = [.. Edge(64).Select(place => PlaceOf(place, target))];
        long west = (long)Math.Floor(edge.Min(point => point.EastingMetres) / cell);
        long east = (long)Math.Ceiling(edge.Max(point => point.EastingMetres) / cell);
        long south = (long)Math.Floor(edge.Min(point => point.NorthingMetres) / cell);
        long north = (long)Math.Ceiling(edge.Max(point => point.NorthingMetres) / cell);
        if (east - west > LargestSideCells || north - south > LargestSideCells)
        {
            throw new InputProblemException(
                source.Name,
                $"its pixels of {cell} m would make a map of {east - west} × {north - south} cells (at most {LargestSideCells} a side).",
                "Cut it to the estate, and check its reference system."
            );
        }

        return new GridGeometry(
            target,
            new GridPoint(west * cell, north * cell),
            cell,
            checked((int)(north - south)),
            checked((int)(east - west))
        );
    }

    /// <summary>Places round the source's edge; with 4, its corners from the first pixel's on.</summary>
    private IEnumerable<PixelPoint> Edge(int count)
    {
        int perSide = count / 4;
        for (int side = 0; side < 4; side++)
        {
            for (int step = 0; step < perSide; step++)
            {
                double share = (double)step / perSide;
                (double across, double down) = side switch
                {
                    0 => (share, 0.0),
                    1 => (1.0, share),
                    2 => (1 - share, 1.0),
                    _ => (0.0, 1 - share),
                };
                yield return new PixelPoint(across * source.Columns, down * source.Rows);
            }
        }
    }

    private bool IsSame(GridGeometry own, GridPoint[] corners)
    {
        GridPoint[] meant =
        [
            own.OuterTopLeft,
            new(own.EastMetres, own.NorthMetres),
            new(own.EastMetres, own.SouthMetres),
            new(own.WestMetres, own.SouthMetres),
        ];
        return meant.Zip(corners).All(pair => Distance(pair.First, pair.Second) < SameWithinCells * own.CellSizeMetres);
    }

    private GridPoint PlaceOf(PixelPoint pixel, ReferenceSystem target)
    {
        double x = placement.XOf(pixel);
        double y = placement.YOf(pixel);
        return from.Equals(target) ? new GridPoint(x, y) : target.ToGrid(from.ToWgs84(x, y));
    }

    private static double Distance(GridPoint a, GridPoint b)
    {
        double x = a.EastingMetres - b.EastingMetres;
        double y = a.NorthingMetres - b.NorthingMetres;
        return Math.Sqrt((x * x) + (y * y));
    }
}
