namespace Hillrow.Rehearsal;

/// <summary>How high anything stands near a place: where a ray must start looking for leaves.</summary>
internal sealed class CanopyTops
{
    private readonly float[] tops;
    private readonly int columns;
    private readonly int rows;
    private readonly float west;
    private readonly float south;
    private readonly float perEdge;

    private CanopyTops(float[] tops, int columns, int rows, CellLayer layer, float edge, float reach, float highest)
    {
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
        float blockEdge = layer.CellMetres * CellLayer.BlockCells;
        int perCoarse = Math.Max(1, (int)MathF.Round(3.2f / blockEdge));
        float edge = blockEdge * perCoarse;
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

    private static unsafe float TopOf(CellLayer layer, int block) => layer.Blocks[block].Top;
}
