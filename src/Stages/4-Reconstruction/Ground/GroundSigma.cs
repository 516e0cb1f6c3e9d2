namespace Hillrow.Reconstruction;

/// <summary>How far the ground may be off: by the scatter of the low places about it, and by how far the nearest are.</summary>
internal static class GroundSigma
{
    private const double WindowMetres = 1.5;

    /// <summary>Low weeds, litter and clods that no picture tells from ground.</summary>
    private const double CoverMetres = 0.04;

    /// <summary>Bends of a hillside between places seen, for each metre to the nearest.</summary>
    private const double PerMetreUnseen = 0.06;

    /// <param name="low">Low heights of blocks, NaN none.</param>
    /// <param name="ground">Ground of blocks.</param>
    /// <param name="rows">Of blocks.</param>
    /// <param name="columns">Of blocks.</param>
    /// <param name="blockMetres">Edge of a block.</param>
    /// <param name="bandMetres">Low places this near to the ground are ground.</param>
    /// <returns>Standard error of each block's ground, metres.</returns>
    public static float[] OfBlocks(
        float[] low,
        float[] ground,
        int rows,
        int columns,
        double blockMetres,
        double bandMetres
    )
    {
        float[] squares = new float[low.Length];
        float[] seen = new float[low.Length];
        for (int at = 0; at < low.Length; at++)
        {
            double off = low[at] - ground[at];
            if (Math.Abs(off) <= bandMetres)
            {
                squares[at] = (float)(off * off);
                seen[at] = 1;
            }
        }

        int reach = Math.Max(1, (int)Math.Round(WindowMetres / blockMetres));
        float[] meanSquares = BoxMean.Of(squares, rows, columns, reach);
        float[] meanSeen = BoxMean.Of(seen, rows, columns, reach);
        int[] steps = GridSteps.ToNearest(at => seen[at] > 0, rows, columns);
        float[] sigma = new float[low.Length];
        for (int at = 0; at < sigma.Length; at++)
        {
            double scatter = meanSeen[at] > 1e-6 ? meanSquares[at] / meanSeen[at] : bandMetres * bandMetres / 4;
            double unseen = PerMetreUnseen * Math.Min(steps[at], 100) * blockMetres;
            sigma[at] = (float)Math.Sqrt((CoverMetres * CoverMetres) + scatter + (unseen * unseen));
        }

        return sigma;
    }
}
