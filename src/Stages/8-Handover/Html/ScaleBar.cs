namespace Hillrow.Handover;

/// <summary>A round length for a scale bar.</summary>
internal static class ScaleBar
{
    /// <summary>The largest of 1, 2, 5 × 10ⁿ metres that fills at most the share of a map's width.</summary>
    public static double LengthMetres(double mapWidthMetres, double share)
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
