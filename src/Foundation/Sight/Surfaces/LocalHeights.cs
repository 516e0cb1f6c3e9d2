using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Sight;

/// <summary>Brings terrain and surfaces into a survey's local frame, ready for ray casts.</summary>
public static class LocalHeights
{
    /// <summary>The terrain around some places of the local frame.</summary>
    /// <param name="terrain">Covers the rectangle; holes become voids.</param>
    /// <param name="frame">The survey's frame.</param>
    /// <param name="area">Rectangle and distance between posts, as the outer cells of a local grid.</param>
    /// <param name="threads">The result does not depend on it.</param>
    public static HeightField Of(Terrain terrain, LocalFrame frame, LocalGrid area, int threads)
    {
        ArgumentNullException.ThrowIfNull(terrain);
        ArgumentNullException.ThrowIfNull(area);
        int rows = area.Rows + 1;
        int columns = area.Columns + 1;
        float[] up = new float[checked(rows * columns)];
        terrain.ToLocalHeights(
            frame,
            area.WestMetres,
            area.NorthMetres,
            area.CellMetres,
            rows,
            columns,
            up,
            threads: threads
        );
        return new HeightField(area.WestMetres, area.NorthMetres, area.CellMetres, rows, columns, up);
    }

    /// <summary>A mapped surface (heights above the ellipsoid at the cell centres of a map grid).</summary>
    /// <param name="grid">Grid of the surface.</param>
    /// <param name="heightsAboveEllipsoidMetres">Rows × Columns, row-major; NaN where void.</param>
    /// <param name="frame">The survey's frame.</param>
    /// <param name="area">Rectangle and distance between posts, as the outer cells of a local grid.</param>
    /// <param name="threads">The result does not depend on it.</param>
    /// <remarks>Bilinear between cell centres; void beside a void cell and outside the outermost centres.</remarks>
    public static HeightField Of(
        GridGeometry grid,
        ReadOnlyMemory<float> heightsAboveEllipsoidMetres,
        LocalFrame frame,
        LocalGrid area,
        int threads
    )
    {
        ArgumentNullException.ThrowIfNull(grid);
        ArgumentNullException.ThrowIfNull(frame);
        ArgumentNullException.ThrowIfNull(area);
        double nominal = Nominal(heightsAboveEllipsoidMetres.Span);
        int rows = area.Rows + 1;
        int columns = area.Columns + 1;
        float[] up = new float[checked(rows * columns)];
        LocalToGrid toGrid = new(area, frame, grid.ReferenceSystem, nominal);
        Parallel.For(
            0,
            rows,
            new ParallelOptions { MaxDegreeOfParallelism = Math.Max(1, threads) },
            row =>
            {
                ReadOnlySpan<float> heights = heightsAboveEllipsoidMetres.Span;
                for (int column = 0; column < columns; column++)
                {
                    (GridPoint place, double heightMinusUp) = toGrid.At(row, column);
                    double height = Sample(grid, heights, place);
                    up[(row * columns) + column] = (float)(height - heightMinusUp);
                }
            }
        );
        return new HeightField(area.WestMetres, area.NorthMetres, area.CellMetres, rows, columns, up);
    }

    private static double Nominal(ReadOnlySpan<float> heights)
    {
        double sum = 0;
        long count = 0;
        foreach (float height in heights)
        {
            if (float.IsFinite(height))
            {
                sum += height;
                count++;
            }
        }

        return count == 0 ? 0 : sum / count;
    }

    private static double Sample(GridGeometry grid, ReadOnlySpan<float> heights, GridPoint place)
    {
        double column = grid.ColumnOf(place.EastingMetres) - 0.5;
        double row = grid.RowOf(place.NorthingMetres) - 0.5;
        if (!(column >= 0 && row >= 0 && column <= grid.Columns - 1 && row <= grid.Rows - 1))
        {
            return double.NaN;
        }

        int c = Math.Min((int)column, Math.Max(0, grid.Columns - 2));
        int r = Math.Min((int)row, Math.Max(0, grid.Rows - 2));
        double u = column - c;
        double v = row - r;
        int at = (r * grid.Columns) + c;
        int right = Math.Min(1, grid.Columns - 1);
        int below = grid.Rows > 1 ? grid.Columns : 0;
        double top = heights[at] + ((heights[at + right] - heights[at]) * u);
        double bottom = heights[at + below] + ((heights[at + below + right] - heights[at + below]) * u);
        return top + ((bottom - top) * v);
    }
}
