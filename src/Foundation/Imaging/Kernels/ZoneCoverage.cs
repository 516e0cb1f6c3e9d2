using System.Numerics;
using Hillrow.Earth;

namespace Hillrow.Imaging;

/// <summary>A cell and the share of it that a zone covers, above 0, at most 1.</summary>
public readonly record struct CellShare(int Row, int Column, double Share);

/// <summary>A raster's values over a zone, every cell weighted by the share of it that the zone covers.</summary>
/// <param name="CoveredCells">Sum of all shares inside the raster, missing cells too.</param>
/// <param name="ValidCells">Sum of the shares of cells with a value.</param>
/// <param name="TouchedCells">Cells with a share above 0.</param>
/// <param name="Mean">NaN without a value, as all that follow.</param>
/// <param name="Sum">Of value × share.</param>
/// <param name="Variance">Of the population.</param>
/// <param name="Least">Of any touched cell with a value.</param>
/// <param name="Largest">Likewise.</param>
public sealed record ZoneSummary(
    double CoveredCells,
    double ValidCells,
    int TouchedCells,
    double Mean,
    double Sum,
    double Variance,
    double Least,
    double Largest
);

/// <summary>Exact shares of raster cells that a zone of polygons covers, and statistics weighted by them.</summary>
public static class ZoneCoverage
{
    private const double LeastShare = 1e-12;

    /// <summary>Cells of a grid that a zone covers at least in part, row by row.</summary>
    /// <param name="grid">Same reference system as the zone.</param>
    /// <param name="zone">Polygons that do not overlap each other.</param>
    /// <remarks>Each ring is clipped to each grid row, then to each cell (Sutherland and Hodgman 1974, doi 10.1145/360767.360802); areas are exact also for bent rings, whose doubled edges cancel.</remarks>
    public static IReadOnlyList<CellShare> Shares(GridGeometry grid, IReadOnlyList<GridPolygon> zone)
    {
        ArgumentNullException.ThrowIfNull(grid);
        ArgumentNullException.ThrowIfNull(zone);
        SortedDictionary<long, double> shares = [];
        foreach (GridPolygon polygon in zone)
        {
            AddRing(grid, polygon.Outer, 1, shares);
            foreach (IReadOnlyList<GridPoint> hole in polygon.Holes)
            {
                AddRing(grid, hole, -1, shares);
            }
        }

        return
        [
            .. shares
                .Where(entry => entry.Value > LeastShare)
                .Select(entry => new CellShare(
                    (int)(entry.Key / grid.Columns),
                    (int)(entry.Key % grid.Columns),
                    Math.Min(1, entry.Value)
                )),
        ];
    }

    /// <summary>Statistics of a plane over the covered cells.</summary>
    /// <param name="values">Rows × columns, row-major; NaN is no value.</param>
    /// <param name="columns">Columns of the plane.</param>
    /// <param name="shares">As <see cref="Shares"/> gives them.</param>
    public static ZoneSummary Summarise<T>(ReadOnlySpan<T> values, int columns, IReadOnlyList<CellShare> shares)
        where T : IFloatingPointIeee754<T>
    {
        ArgumentNullException.ThrowIfNull(shares);
        double covered = 0;
        double weight = 0;
        double sum = 0;
        double least = double.NaN;
        double largest = double.NaN;
        foreach (CellShare cell in shares)
        {
            covered += cell.Share;
            double value = double.CreateChecked(values[(cell.Row * columns) + cell.Column]);
            if (!double.IsNaN(value))
            {
                weight += cell.Share;
                sum += cell.Share * value;
                least = double.IsNaN(least) ? value : Math.Min(least, value);
                largest = double.IsNaN(largest) ? value : Math.Max(largest, value);
            }
        }

        double mean = weight > 0 ? sum / weight : double.NaN;
        double spread = 0;
        foreach (CellShare cell in shares)
        {
            double value = double.CreateChecked(values[(cell.Row * columns) + cell.Column]);
            spread += double.IsNaN(value) ? 0 : cell.Share * (value - mean) * (value - mean);
        }

        return new ZoneSummary(
            covered,
            weight,
            shares.Count,
            mean,
            sum,
            weight > 0 ? spread / weight : double.NaN,
            least,
            largest
        );
    }

    /// <summary>Smallest value whose summed share reaches p of all shares; NaN without a value.</summary>
    /// <inheritdoc cref="Summarise{T}"/>
    public static double Quantile<T>(ReadOnlySpan<T> values, int columns, IReadOnlyList<CellShare> shares, double p)
        where T : IFloatingPointIeee754<T>
    {
        ArgumentNullException.ThrowIfNull(shares);
        List<(double Value, double Share)> sorted = [];
        double total = 0;
        foreach (CellShare cell in shares)
        {
            double value = double.CreateChecked(values[(cell.Row * columns) + cell.Column]);
            if (!double.IsNaN(value))
            {
                sorted.Add((value, cell.Share));
                total += cell.Share;
            }
        }

        sorted.Sort((a, b) => a.Value.CompareTo(b.Value));
        double gone = 0;
        foreach ((double value, double share) in sorted)
        {
            gone += share;
            if (gone >= (p * total) - (1e-12 * total))
            {
                return value;
            }
        }

        return double.NaN;
    }

    private static void AddRing(
        GridGeometry grid,
        IReadOnlyList<GridPoint> ring,
        int sign,
        SortedDictionary<long, double> shares
    )
    {
        List<PixelPoint> cells =
        [
            .. ring.Select(p => new PixelPoint(grid.ColumnOf(p.EastingMetres), grid.RowOf(p.NorthingMetres))),
        ];
        int row0 = Math.Max(0, (int)Math.Floor(cells.Min(p => p.Row)));
        int row1 = Math.Min(grid.Rows - 1, (int)Math.Floor(cells.Max(p => p.Row)));
        for (int row = row0; row <= row1; row++)
        {
            List<PixelPoint> strip = Clip(
                Clip(cells, byRow: true, row, keepAbove: true),
                byRow: true,
                row + 1,
                keepAbove: false
            );
            if (strip.Count < 3)
            {
                continue;
            }

            int column0 = Math.Max(0, (int)Math.Floor(strip.Min(p => p.Column)));
            int column1 = Math.Min(grid.Columns - 1, (int)Math.Floor(strip.Max(p => p.Column)));
            for (int column = column0; column <= column1; column++)
            {
                double area = Area(
                    Clip(
                        Clip(strip, byRow: false, column, keepAbove: true),
                        byRow: false,
                        column + 1,
                        keepAbove: false
                    ),
                    row,
                    column
                );
                if (area > 0)
                {
                    long key = ((long)row * grid.Columns) + column;
                    shares[key] = shares.GetValueOrDefault(key) + (sign * area);
                }
            }
        }
    }

    private static List<PixelPoint> Clip(List<PixelPoint> ring, bool byRow, double limit, bool keepAbove)
    {
        List<PixelPoint> kept = [];
        for (int at = 0; at < ring.Count; at++)
        {
            PixelPoint a = ring[at];
            PixelPoint b = ring[(at + 1) % ring.Count];
            double here = ((byRow ? a.Row : a.Column) - limit) * (keepAbove ? 1 : -1);
            double there = ((byRow ? b.Row : b.Column) - limit) * (keepAbove ? 1 : -1);
            if (here >= 0)
            {
                kept.Add(a);
            }

            if ((here > 0 && there < 0) || (here < 0 && there > 0))
            {
                double share = here / (here - there);
                double column = byRow ? a.Column + (share * (b.Column - a.Column)) : limit;
                double row = byRow ? limit : a.Row + (share * (b.Row - a.Row));
                kept.Add(new PixelPoint(column, row));
            }
        }

        return kept;
    }

    private static double Area(List<PixelPoint> ring, int row, int column)
    {
        // Relative to the cell's corner: no digits are lost far from the origin.
        double twice = 0;
        for (int at = 0; at < ring.Count; at++)
        {
            PixelPoint a = ring[at];
            PixelPoint b = ring[(at + 1) % ring.Count];
            twice += ((a.Column - column) * (b.Row - row)) - ((b.Column - column) * (a.Row - row));
        }

        return Math.Abs(twice) / 2;
    }
}
