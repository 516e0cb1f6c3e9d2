using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>
/// Tells a young plant from an empty place between grown ones: a blob as wide as a plant in its first year that is greener
/// and higher than the ring about it, near where the row's rhythm expects a plant. A weed is seldom all of that.
/// </summary>
/// <remarks>
/// The weights are a logistic regression on rehearsed flights that judge no figure (seed 1; docs/stages/6-plants.md).
/// Kept out of the row's own search, whose evidence is scaled to the block's typical plant.
/// </remarks>
internal static class YoungPlant
{
    // A plant of half a metre is about as wide; both Gaussians in metres.
    private const double InnerMetres = 0.11;
    private const double OuterMetres = 0.30;

    // Greenness and height are counted up to a young plant's: what is greener or higher tells no more.
    private const double GreenFloor = 0.4;
    private const double GreenSpan = 0.5;
    private const double HeightSpanMetres = 0.35;

    // What lies flatter is no planted tree, however green.
    private const float LeastHeightMetres = 0.22f;

    private const double Constant = -2.9;
    private const double JointWeight = 10.5;
    private const double GreenWeight = 10;
    private const double AwayWeight = -4.5;

    /// <summary>Most likely place of a young plant, cells of the window, and its chance.</summary>
    /// <param name="green">NDVI, row by row; NaN-free.</param>
    /// <param name="height">Above ground, metres.</param>
    /// <param name="allowed">1 where its middle may lie.</param>
    /// <param name="rows">Of the window.</param>
    /// <param name="columns">Of the window.</param>
    /// <param name="cell">Metres.</param>
    /// <param name="atRow">Where the rhythm expects it, cells.</param>
    /// <param name="atColumn">Where the rhythm expects it, cells.</param>
    /// <returns>Null when nothing is allowed, or nothing allowed is high enough.</returns>
    public static (int Row, int Column, double Chance)? Best(
        ReadOnlySpan<float> green,
        ReadOnlySpan<float> height,
        ReadOnlySpan<byte> allowed,
        int rows,
        int columns,
        double cell,
        double atRow,
        double atColumn
    )
    {
        float[] joint = new float[green.Length];
        float[] plain = new float[green.Length];
        float[] high = new float[green.Length];
        for (int at = 0; at < joint.Length; at++)
        {
            plain[at] = green[at];
            high[at] = Math.Clamp(height[at], -0.2f, 0.8f);
            joint[at] =
                (float)Math.Clamp((green[at] - GreenFloor) / GreenSpan, 0, 1.1)
                * (float)Math.Clamp(height[at] / HeightSpanMetres, 0, 1);
        }

        StandOut(joint, rows, columns, cell);
        StandOut(plain, rows, columns, cell);
        StandOut(high, rows, columns, cell);
        int best = -1;
        double bestValue = double.NegativeInfinity;
        double bestAway = 0;
        for (int at = 0; at < joint.Length; at++)
        {
            if (allowed[at] == 0 || height[at] < LeastHeightMetres)
            {
                continue;
            }

            double down = ((at / columns) - atRow) * cell;
            double across = ((at % columns) - atColumn) * cell;
            double away = Math.Sqrt((down * down) + (across * across));
            double value = plain[at] + high[at] - (0.42 * away * away);
            if (value > bestValue)
            {
                (best, bestValue, bestAway) = (at, value, away);
            }
        }

        if (best < 0)
        {
            return null;
        }

        double evidence =
            Constant + (JointWeight * joint[best]) + (GreenWeight * plain[best]) + (AwayWeight * bestAway);
        return (best / columns, best % columns, 1 / (1 + Math.Exp(-evidence)));
    }

    // Mean over a young plant's width less the mean over its surroundings.
    private static void StandOut(float[] values, int rows, int columns, double cell)
    {
        float[] inner = new float[values.Length];
        float[] outer = new float[values.Length];
        GaussianFilter.Smooth<float>(values, rows, columns, InnerMetres / cell, Border.Nearest, inner);
        GaussianFilter.Smooth<float>(values, rows, columns, OuterMetres / cell, Border.Nearest, outer);
        for (int at = 0; at < values.Length; at++)
        {
            values[at] = inner[at] - outer[at];
        }
    }
}
