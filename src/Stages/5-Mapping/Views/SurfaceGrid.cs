using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Mapping;

/// <summary>The surface as the map sees it: bilinear heights and lines of sight in grid coordinates.</summary>
/// <remarks>
/// A line is followed in steps of one cell of the surface, and whole blocks are passed when it runs above all of their
/// heights; what is thinner than a cell may be missed. Safe to use from many threads.
/// </remarks>
internal sealed class SurfaceGrid
{
    private const int BlockShift = 5;
    private const int Block = 1 << BlockShift;

    private readonly Memory<float> memory;
    private readonly float[] blockHighest;
    private readonly int blockColumns;
    private readonly int rows;
    private readonly int columns;
    private readonly float highest = float.NegativeInfinity;

    public SurfaceGrid(Raster<float> surface)
    {
        Grid = surface.Grid;
        rows = surface.Rows;
        columns = surface.Columns;
        memory = surface.BandMemory(0);
        blockColumns = (columns + Block - 1) >> BlockShift;
        blockHighest = new float[((rows + Block - 1) >> BlockShift) * blockColumns];
        Array.Fill(blockHighest, float.NegativeInfinity);
        ReadOnlySpan<float> heights = memory.Span;
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                float height = heights[(row * columns) + column];
                if (!float.IsFinite(height))
                {
                    continue;
                }

                highest = MathF.Max(highest, height);

                // A bilinear cell reaches one post into the next block, so border posts count for both.
                for (int up = row > 0 && row % Block == 0 ? 1 : 0; up >= 0; up--)
                {
                    for (int left = column > 0 && column % Block == 0 ? 1 : 0; left >= 0; left--)
                    {
                        ref float block = ref blockHighest[
                            (((row - up) >> BlockShift) * blockColumns) + ((column - left) >> BlockShift)
                        ];
                        block = MathF.Max(block, height);
                    }
                }
            }
        }
    }

    public GridGeometry Grid { get; }

    /// <summary>Mean of a sample of heights; 0 when there is none.</summary>
    public double TypicalHeightMetres()
    {
        ReadOnlySpan<float> heights = memory.Span;
        double sum = 0;
        long count = 0;
        for (int at = 0; at < heights.Length; at += 61)
        {
            if (float.IsFinite(heights[at]))
            {
                sum += heights[at];
                count++;
            }
        }

        return count == 0 ? 0 : sum / count;
    }

    /// <summary>Bilinear height above the ellipsoid; NaN outside or beside a void.</summary>
    public float HeightAt(double easting, double northing) =>
        At(memory.Span, Grid.ColumnOf(easting) - 0.5, Grid.RowOf(northing) - 0.5);

    /// <summary>Heights of a row of places, <paramref name="step"/> metres of easting apart.</summary>
    public void HeightsAlong(double easting, double northing, double step, Span<float> heights)
    {
        ReadOnlySpan<float> posts = memory.Span;
        double column = Grid.ColumnOf(easting) - 0.5;
        double row = Grid.RowOf(northing) - 0.5;
        double across = step / Grid.CellSizeMetres;
        for (int at = 0; at < heights.Length; at++)
        {
            heights[at] = At(posts, column + (across * at), row);
        }
    }

    /// <summary>Whether nothing of the surface stands in a line that rises from a place.</summary>
    /// <param name="easting">Start.</param>
    /// <param name="northing">Start.</param>
    /// <param name="height">Start, above the ellipsoid, tolerance included.</param>
    /// <param name="towardsEast">Direction, any length.</param>
    /// <param name="towardsNorth">Direction, any length.</param>
    /// <param name="towardsUp">Direction; must rise for the line to end.</param>
    /// <returns>False for lines that do not rise.</returns>
    public bool IsClear(
        double easting,
        double northing,
        double height,
        double towardsEast,
        double towardsNorth,
        double towardsUp
    )
    {
        if (!(towardsUp > 0))
        {
            return false;
        }

        double across = Math.Sqrt((towardsEast * towardsEast) + (towardsNorth * towardsNorth));
        if (across < 1e-9 * towardsUp)
        {
            return true;
        }

        double dx = towardsEast / across;
        double dy = -towardsNorth / across;
        double dz = towardsUp / across * Grid.CellSizeMetres;
        double x0 = Grid.ColumnOf(easting) - 0.5;
        double y0 = Grid.RowOf(northing) - 0.5;
        int last = (int)Math.Min(1e6, Math.Max(0, (highest - height) / dz) + 1);
        ReadOnlySpan<float> posts = memory.Span;
        return unchecked(March(posts, x0, y0, height, dx, dy, dz, last));
    }

    private bool March(
        ReadOnlySpan<float> posts,
        double x0,
        double y0,
        double z0,
        double dx,
        double dy,
        double dz,
        int last
    )
    {
        unchecked
        {
            for (int step = 1; step <= last; )
            {
                double x = x0 + (dx * step);
                double y = y0 + (dy * step);
                double z = z0 + (dz * step);
                if (!(x >= 0 && y >= 0 && x <= columns - 1 && y <= rows - 1))
                {
                    return true;
                }

                int blockColumn = (int)x >> BlockShift;
                int blockRow = (int)y >> BlockShift;
                if (z > blockHighest[(blockRow * blockColumns) + blockColumn])
                {
                    // To the block's border: the line rises, so it stays above this block.
                    double acrossLeft =
                        dx > 0 ? (((blockColumn + 1) << BlockShift) - x) / dx
                        : dx < 0 ? ((blockColumn << BlockShift) - x) / dx
                        : double.MaxValue;
                    double downLeft =
                        dy > 0 ? (((blockRow + 1) << BlockShift) - y) / dy
                        : dy < 0 ? ((blockRow << BlockShift) - y) / dy
                        : double.MaxValue;
                    step += Math.Max(1, (int)Math.Min(1e6, Math.Min(acrossLeft, downLeft)));
                    continue;
                }

                if (At(posts, x, y) > z)
                {
                    return false;
                }

                step++;
            }

            return true;
        }
    }

    /// <param name="posts">The surface.</param>
    /// <param name="x">Columns from the first post.</param>
    /// <param name="y">Rows from the first post.</param>
    private float At(ReadOnlySpan<float> posts, double x, double y)
    {
        if (!(x >= 0 && y >= 0 && x <= columns - 1 && y <= rows - 1))
        {
            return float.NaN;
        }
        // Unchecked: indices are inside by the test above, and this is the innermost loop of sight and shadow.
        unchecked
        {
            int c = Math.Min((int)x, Math.Max(0, columns - 2));
            int r = Math.Min((int)y, Math.Max(0, rows - 2));
            float u = (float)(x - c);
            float v = (float)(y - r);
            int at = (r * columns) + c;
            int right = columns > 1 ? 1 : 0;
            int below = rows > 1 ? columns : 0;
            float top = posts[at] + ((posts[at + right] - posts[at]) * u);
            float bottom = posts[at + below] + ((posts[at + below + right] - posts[at + below]) * u);
            return top + ((bottom - top) * v);
        }
    }
}
