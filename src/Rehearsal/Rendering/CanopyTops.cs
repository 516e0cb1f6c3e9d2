namespace Hillrow.Rehearsal;

/// <summary>How high anything stands near a place: where a ray must start looking for leaves.</summary>
internal sealed class CanopyTops
{
    /// <summary>Of a block's edge: steps shorter than this gain nothing over looking for leaves at once.</summary>
    private const float LeastFreeShare = 0.05f;

    private readonly float[] tops;
    private readonly int columns;
    private readonly int rows;
    private readonly float west;
    private readonly float south;
    private readonly float perEdge;
    private readonly float[] nearTops;
    private readonly int blockColumns;
    private readonly int blockRows;
    private readonly float blockEdge;

    private CanopyTops(float[] tops, int columns, int rows, CellLayer layer, float edge, float reach, float highest)
    {
        nearTops = OverNeighbours(layer);
        blockColumns = layer.BlockColumns;
        blockRows = layer.BlockRows;
        blockEdge = layer.CellMetres * CellLayer.BlockCells;
        this.tops = tops;
        this.columns = columns;
        this.rows = rows;
        west = (float)layer.Extent.WestMetres;
        south = (float)layer.Extent.SouthMetres;
        perEdge = 1 / edge;
        ReachMetres = reach;
        HighestMetres = highest;
    }

    /// <summary>A top holds for everything within this distance of the place asked for.</summary>
    public float ReachMetres { get; }

    public float HighestMetres { get; }

    public static CanopyTops Over(CellLayer layer, double reachMetres)
    {
        float fine = layer.CellMetres * CellLayer.BlockCells;
        int perCoarse = Math.Max(1, (int)MathF.Round(3.2f / fine));
        float edge = fine * perCoarse;
        int across = (layer.BlockColumns + perCoarse - 1) / perCoarse;
        int along = (layer.BlockRows + perCoarse - 1) / perCoarse;
        float[] own = new float[across * along];
        Array.Fill(own, float.MinValue);
        for (int row = 0; row < layer.BlockRows; row++)
        {
            for (int column = 0; column < layer.BlockColumns; column++)
            {
                ref float top = ref own[(row / perCoarse * across) + (column / perCoarse)];
                top = float.MaxNative(top, TopOf(layer, (row * layer.BlockColumns) + column));
            }
        }

        int reach = (int)Math.Ceiling(reachMetres / edge);
        float[] wide = new float[own.Length];
        for (int row = 0; row < along; row++)
        {
            for (int column = 0; column < across; column++)
            {
                float top = float.MinValue;
                for (int y = Math.Max(0, row - reach); y <= Math.Min(along - 1, row + reach); y++)
                {
                    for (int x = Math.Max(0, column - reach); x <= Math.Min(across - 1, column + reach); x++)
                    {
                        top = float.MaxNative(top, own[(y * across) + x]);
                    }
                }

                wide[(row * across) + column] = top;
            }
        }

        return new CanopyTops(wide, across, along, layer, edge, reach * edge, layer.HighestMetres);
    }

    public float Near(float east, float north)
    {
        int column = Math.Clamp(float.ConvertToIntegerNative<int>((east - west) * perEdge), 0, columns - 1);
        int row = Math.Clamp(float.ConvertToIntegerNative<int>((north - south) * perEdge), 0, rows - 1);
        return tops[(row * columns) + column];
    }

    /// <summary>First distance along a falling ray at which it, or a ray beside it, may be below a top.</summary>
    /// <param name="spread">How far beside it the other rays pass, metres, all the way.</param>
    /// <returns>From … until; until when the tops stay below.</returns>
    public float Start(
        float ox,
        float oy,
        float oz,
        float dx,
        float dy,
        float dz,
        float spread,
        float from,
        float until
    )
    {
        unchecked
        {
            // Clamped into the layer. A block's near top holds for a block's edge around it.
            float free = (0.95f * blockEdge) - spread;
            // Hardly any room to step ahead safely: so small a step may not even move a distance of tens of metres.
            if (free <= LeastFreeShare * blockEdge)
            {
                return from;
            }

            float perBlock = 1f / blockEdge;
            float step = free / float.MaxNative(1e-4f, MathF.Sqrt((dx * dx) + (dy * dy)));
            float t = from;
            while (t < until)
            {
                int column = Math.Clamp(
                    float.ConvertToIntegerNative<int>((ox + (dx * t) - west) * perBlock),
                    0,
                    blockColumns - 1
                );
                int row = Math.Clamp(
                    float.ConvertToIntegerNative<int>((oy + (dy * t) - south) * perBlock),
                    0,
                    blockRows - 1
                );
                // The rays of a packet differ in height by a small share of their spread.
                float at = (nearTops[(row * blockColumns) + column] + spread - oz) / dz;
                if (at <= t + step)
                {
                    return float.MaxNative(t, at);
                }

                t += step;
            }

            return until;
        }
    }

    /// <summary>Highest top of each block and its eight neighbours.</summary>
    private static float[] OverNeighbours(CellLayer layer)
    {
        float[] wide = new float[layer.BlockColumns * layer.BlockRows];
        for (int row = 0; row < layer.BlockRows; row++)
        {
            for (int column = 0; column < layer.BlockColumns; column++)
            {
                // Bare everywhere: far below the ground, yet small enough to reckon with.
                float top = -1e6f;
                for (int y = Math.Max(0, row - 1); y <= Math.Min(layer.BlockRows - 1, row + 1); y++)
                {
                    for (int x = Math.Max(0, column - 1); x <= Math.Min(layer.BlockColumns - 1, column + 1); x++)
                    {
                        top = float.MaxNative(top, TopOf(layer, (y * layer.BlockColumns) + x));
                    }
                }

                wide[(row * layer.BlockColumns) + column] = top;
            }
        }

        return wide;
    }

    private static unsafe float TopOf(CellLayer layer, int block) => layer.Blocks[block].Top;
}
