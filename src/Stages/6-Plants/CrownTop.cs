namespace Hillrow.Plants;

/// <summary>What the heights of a crown's cells say beyond their mean: its top, and the volume that lies beyond its edge.</summary>
internal static class CrownTop
{
    // Half the side of the square that a top is fitted on: about a fifth of a crown.
    public const double ReachMetres = 0.15;

    /// <summary>
    /// Volume that a surface smeared over one of its cells shows beyond the crown's free edge: of a step smeared by a
    /// Gaussian, sigma / √(2π) of its height lies beyond, and at its middle it is half as high.
    /// </summary>
    public static double SpiltVolume(BlockScene scene, float[] height, List<int> inBlock, CrownShape shape)
    {
        if (!(scene.SurfaceCellMetres > 0))
        {
            return 0;
        }

        HashSet<int> own = [.. inBlock];
        int columns = scene.Window.Columns;
        double sum = 0;
        int edge = 0;
        foreach (int at in inBlock)
        {
            bool inner =
                own.Contains(at - 1)
                && own.Contains(at + 1)
                && own.Contains(at - columns)
                && own.Contains(at + columns);
            if (!inner && scene.NoHeight[at] == 0)
            {
                sum += height[at];
                edge++;
            }
        }

        double free = shape.EdgeCells * scene.Grid.CellSizeMetres * Math.PI / 4;
        return edge == 0 ? 0 : free * scene.SurfaceCellMetres / Math.Sqrt(Math.Tau) * 2 * Math.Max(0, sum / edge);
    }

    /// <summary>Highest value of a paraboloid fitted around each cell: noise is averaged, a rounded top is not lowered.</summary>
    public static double Of(BlockScene scene, List<int> cells)
    {
        float[] height = scene.Height!;
        int columns = scene.Window.Columns;
        int reach = Math.Max(1, (int)Math.Round(ReachMetres / scene.Grid.CellSizeMetres));
        (double level, double bend) = ParaboloidWeights(reach);
        double best = double.NegativeInfinity;
        double plain = double.NegativeInfinity;
        foreach (int at in cells)
        {
            if (scene.NoHeight[at] != 0)
            {
                continue;
            }

            plain = Math.Max(plain, height[at]);
            int row = at / columns;
            int column = at % columns;
            bool whole = row >= reach && column >= reach && row < scene.Window.Rows - reach && column < columns - reach;
            double sum = 0;
            for (int r = -reach; whole && r <= reach; r++)
            {
                for (int c = -reach; whole && c <= reach; c++)
                {
                    int near = at + (r * columns) + c;
                    whole = scene.Canopy[near] != 0;
                    sum += height[near] * (level + (bend * ((r * r) + (c * c))));
                }
            }

            best = whole ? Math.Max(best, sum) : best;
        }

        return double.IsFinite(best) ? best : plain;
    }

    // Least squares of a full quadratic on a square, read at its centre (Savitzky and Golay 1964, doi 10.1021/ac60214a047).
    private static (double Level, double Bend) ParaboloidWeights(int reach)
    {
        double count = ((2 * reach) + 1) * ((2 * reach) + 1);
        double second = 0;
        double fourth = 0;
        double mixed = 0;
        for (int r = -reach; r <= reach; r++)
        {
            for (int c = -reach; c <= reach; c++)
            {
                second += r * r;
                fourth += (double)r * r * r * r;
                mixed += (double)r * r * c * c;
            }
        }

        double determinant = (count * (fourth + mixed)) - (2 * second * second);
        return ((fourth + mixed) / determinant, -second / determinant);
    }
}
