using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Heights of one capture's pixels, coarse to fine.</summary>
internal static class CaptureHeights
{
    /// <summary>Parallax between heights tried, pixels of the widest pair: small enough for the V of costs.</summary>
    private const double StepPixels = 0.6;

    private const int BasePixels = 16;
    private const int MostLevels = 96;

    /// <summary>Heights for every pixel of the capture's view; NaN where doubtful.</summary>
    /// <param name="own">At the finer size.</param>
    /// <param name="partners">At the finer size.</param>
    /// <param name="surface">Smooth surface through the tie points.</param>
    /// <param name="settings">Search range.</param>
    public static float[] Of(
        LevelView own,
        IReadOnlyList<LevelView> partners,
        HeightField surface,
        ReconstructionSettings settings
    )
    {
        LevelView coarse = own.Halved();
        LevelView[] coarsePartners = [.. partners.Select(partner => partner.Halved())];
        float[] coarseBase = BaseOf(coarse, surface);
        double step = Step(coarse, coarsePartners, coarseBase);
        double below = settings.SearchBelowMetres;
        SweepRange wide = new(-below, step, Levels(below + settings.SearchAboveMetres, step));
        float[] found = new float[coarseBase.Length];
        HeightSweep.Run(coarse, coarsePartners, coarseBase, wide, found);

        (float[] middle, double reach) = NextBase.From(found, coarseBase, coarse.Rows, coarse.Columns);
        float[] fineBase = NextBase.Doubled(middle, coarse.Rows, coarse.Columns, own.Rows, own.Columns);
        step /= 2;
        reach += 3 * step;
        int levels = Levels(2 * reach, step);
        SweepRange narrow = new(-step * (levels - 1) / 2, step, levels);
        float[] heights = new float[fineBase.Length];
        HeightSweep.Run(own, partners, fineBase, narrow, heights);
        return heights;
    }

    private static int Levels(double range, double step) =>
        Math.Clamp(((int)Math.Ceiling(range / step) + 15) / 16 * 16, 16, MostLevels);

    /// <summary>Height whose parallax in the widest pair is the wanted part of a pixel.</summary>
    private static double Step(LevelView own, LevelView[] partners, float[] heights)
    {
        int middle = ((own.Rows / 2) * own.Columns) + (own.Columns / 2);
        double above = own.Pose.CentreLocalMetres.Z - heights[middle];
        double widest = partners.Max(partner =>
        {
            Vector3D way = partner.Pose.CentreLocalMetres - own.Pose.CentreLocalMetres;
            return Math.Sqrt((way.X * way.X) + (way.Y * way.Y));
        });
        return StepPixels * above * above / (own.FocalPixels * widest);
    }

    /// <summary>Heights of the surface along the lines of sight: rays at a lattice of pixels, bilinear between.</summary>
    private static float[] BaseOf(LevelView view, HeightField surface)
    {
        int nodeRows = ((view.Rows + BasePixels - 1) / BasePixels) + 1;
        int nodeColumns = ((view.Columns + BasePixels - 1) / BasePixels) + 1;
        float[] nodes = new float[nodeRows * nodeColumns];
        Vector3D centre = view.Pose.CentreLocalMetres;
        for (int row = 0; row < nodeRows; row++)
        {
            for (int column = 0; column < nodeColumns; column++)
            {
                Vector3D ray = view.FallingRay(column * BasePixels, row * BasePixels);
                nodes[(row * nodeColumns) + column] = surface.TryHit(centre, ray, 0, 5000, out double fall)
                    ? (float)(centre.Z - fall)
                    : float.NaN;
            }
        }

        GapFill.Apply(nodes, nodeRows, nodeColumns);
        float[] heights = new float[view.Rows * view.Columns];
        for (int row = 0; row < view.Rows; row++)
        {
            float v = (row + 0.5f) / BasePixels;
            int r = Math.Min((int)v, nodeRows - 2);
            v -= r;
            for (int column = 0; column < view.Columns; column++)
            {
                float u = (column + 0.5f) / BasePixels;
                int c = Math.Min((int)u, nodeColumns - 2);
                u -= c;
                int at = (r * nodeColumns) + c;
                float top = nodes[at] + ((nodes[at + 1] - nodes[at]) * u);
                float low = nodes[at + nodeColumns] + ((nodes[at + nodeColumns + 1] - nodes[at + nodeColumns]) * u);
                heights[(row * view.Columns) + column] = top + ((low - top) * v);
            }
        }

        return heights;
    }
}
