using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>Moves the terrain up or down to where the pictures' own parallax found the ground.</summary>
internal static class GroundOffset
{
    /// <summary>Terrain tiles err over such distances; patches nearer than this are averaged.</summary>
    private const double ReachMetres = 25;

    /// <summary>So many patches' worth of the survey's middle offset is added everywhere: far from all, it alone is left.</summary>
    private const double MiddleWeight = 0.5;

    /// <summary>
    /// Among plants a patch lies between ground and crowns' tops. What the crop is nobody has said: this is half of a
    /// crop of 1.5 m (common practice, no source), wrong by as much on bare ground and the other way under trees of 3 m.
    /// </summary>
    private const double PatchAboveGroundMetres = 0.7;

    /// <param name="ground">Terrain.</param>
    /// <param name="points">Patches.</param>
    /// <param name="cellMetres">Of the ground pictures; heights are known to a few of it.</param>
    public static HeightField Applied(HeightField ground, IReadOnlyList<Vector3D> points, double cellMetres)
    {
        (Vector3D At, double Offset)[] offsets =
        [
            .. points
                .Select(point => (point, point.Z - ground.HeightAt(point.X, point.Y)))
                .Where(one => double.IsFinite(one.Item2)),
        ];
        if (offsets.Length == 0)
        {
            return ground;
        }

        double middle = Quantile([.. offsets.Select(one => one.Offset)], 0.5);
        double spread = Quantile([.. offsets.Select(one => Math.Abs(one.Offset - middle))], 0.5);
        // Far outliers are false matches; terrain itself wanders by metres.
        double limit = Math.Max(10 * cellMetres, 5 * spread);
        int rows = ground.Rows;
        int columns = ground.Columns;
        float[] sums = new float[rows * columns];
        float[] weights = new float[rows * columns];
        foreach ((Vector3D at, double offset) in offsets)
        {
            int column = (int)Math.Round((at.X - ground.WestMetres) / ground.CellMetres);
            int row = (int)Math.Round((ground.NorthMetres - at.Y) / ground.CellMetres);
            if (column >= 0 && row >= 0 && column < columns && row < rows && Math.Abs(offset - middle) < limit)
            {
                sums[(row * columns) + column] += (float)(offset - middle);
                weights[(row * columns) + column]++;
            }
        }

        double sigma = ReachMetres / ground.CellMetres;
        float[] smoothSums = new float[sums.Length];
        float[] smoothWeights = new float[weights.Length];
        GaussianFilter.Smooth<float>(sums, rows, columns, sigma, Border.Nearest, smoothSums);
        GaussianFilter.Smooth<float>(weights, rows, columns, sigma, Border.Nearest, smoothWeights);
        float[] heights = ground.Heights.ToArray();
        // The kernel's sum is 1 over its area: weights are patches per post.
        double prior = MiddleWeight / (2 * Math.PI * sigma * sigma);
        for (int post = 0; post < heights.Length; post++)
        {
            heights[post] += (float)(
                middle - PatchAboveGroundMetres + (smoothSums[post] / (smoothWeights[post] + prior))
            );
        }

        return new HeightField(ground.WestMetres, ground.NorthMetres, ground.CellMetres, rows, columns, heights);
    }

    private static double Quantile(double[] values, double share)
    {
        Array.Sort(values);
        return values[(int)(share * (values.Length - 1))];
    }
}
