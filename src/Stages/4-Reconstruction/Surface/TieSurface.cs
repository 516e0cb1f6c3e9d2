using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>A smooth surface through the tie points, shaped like the terrain where there are none.</summary>
internal static class TieSurface
{
    /// <param name="terrain">In the local frame; gives shape between points, its level is not trusted.</param>
    /// <param name="points">Tie points, local metres.</param>
    /// <param name="cellMetres">Points within a cell are joined by their median.</param>
    public static HeightField Of(HeightField terrain, IReadOnlyList<TiePoint> points, double cellMetres)
    {
        int rows = (int)Math.Ceiling((terrain.NorthMetres - terrain.SouthMetres) / cellMetres) + 1;
        int columns = (int)Math.Ceiling((terrain.EastMetres - terrain.WestMetres) / cellMetres) + 1;
        List<float>?[] above = new List<float>?[rows * columns];
        foreach (TiePoint point in points)
        {
            double ground = terrain.HeightAt(point.Place.X, point.Place.Y);
            int row = (int)Math.Round((terrain.NorthMetres - point.Place.Y) / cellMetres);
            int column = (int)Math.Round((point.Place.X - terrain.WestMetres) / cellMetres);
            if (!double.IsNaN(ground) && row >= 0 && column >= 0 && row < rows && column < columns)
            {
                (above[(row * columns) + column] ??= []).Add((float)(point.Place.Z - ground));
            }
        }

        float[] heights = new float[rows * columns];
        for (int at = 0; at < heights.Length; at++)
        {
            heights[at] = float.NaN;
            if (above[at] is { Count: >= 2 } cell)
            {
                cell.Sort();
                heights[at] = cell[cell.Count / 2];
            }
        }

        GapFill.Apply(heights, rows, columns);
        Smooth(heights, rows, columns);
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                double ground = terrain.HeightAt(
                    Math.Min(terrain.WestMetres + (column * cellMetres), terrain.EastMetres),
                    Math.Max(terrain.NorthMetres - (row * cellMetres), terrain.SouthMetres)
                );
                float lifted = float.IsNaN(heights[(row * columns) + column]) ? 0 : heights[(row * columns) + column];
                heights[(row * columns) + column] = (float)(ground + lifted);
            }
        }

        GapFill.Apply(heights, rows, columns);
        return new HeightField(terrain.WestMetres, terrain.NorthMetres, cellMetres, rows, columns, heights);
    }

    /// <summary>Median of the 3 × 3 cells, then their mean: one crown-heavy cell shall not make a bump.</summary>
    private static void Smooth(float[] heights, int rows, int columns)
    {
        for (int pass = 0; pass < 2; pass++)
        {
            float[] before = [.. heights];
            float[] window = new float[9];
            for (int row = 0; row < rows; row++)
            {
                for (int column = 0; column < columns; column++)
                {
                    int count = 0;
                    for (int r = Math.Max(0, row - 1); r <= Math.Min(rows - 1, row + 1); r++)
                    {
                        for (int c = Math.Max(0, column - 1); c <= Math.Min(columns - 1, column + 1); c++)
                        {
                            window[count++] = before[(r * columns) + c];
                        }
                    }

                    Array.Sort(window, 0, count);
                    heights[(row * columns) + column] =
                        pass == 0 ? window[count / 2] : window.Take(count).Sum() / count;
                }
            }
        }
    }
}
