namespace Hillrow.Numerics;

/// <summary>A round length for a scale bar.</summary>
public static class RoundLength
{
    /// <summary>The largest of 1, 2, 5 × 10ⁿ metres that fills at most the share of a map's width.</summary>
    /// <param name="mapWidthMetres">Above 0.</param>
    /// <param name="share">0 … 1.</param>
    public static double Within(double mapWidthMetres, double share)
    {
        double longest = mapWidthMetres * share;
        double power = Math.Pow(10, Math.Floor(Math.Log10(longest)));
        foreach (double step in (ReadOnlySpan<double>)[5, 2])
        {
            if (step * power <= longest)
            {
                return step * power;
            }
        }

        return power;
    }
}
