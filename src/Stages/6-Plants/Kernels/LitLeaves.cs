namespace Hillrow.Plants;

/// <summary>Greenness of a crown's leaves in full sun: what is compared between dates flown under another sun.</summary>
/// <remarks>
/// A crown's mean NDVI moves by 0.03 with the side of it that is lit and seen; its leaves in full sun do not show that. They are told by
/// their near infrared, as each capture saw it: it must reach a share of the crown's own bright level and of the level that bright leaves have in the
/// whole block, so that a crown in a neighbour's shade gives none rather than a wrong one. Reflectance straight from the frames is
/// taken, not turned to a common sun and view: what canopies change with angle by is mostly how much shade they show, and that is left out
/// already. Shares: development seeds 8105 and 8106, docs/decisions/0062.
/// </remarks>
public static class LitLeaves
{
    /// <summary>Of the bright level of a crown, or of a block: the 90th percentile of its near infrared.</summary>
    public const double BrightQuantile = 0.9;

    /// <summary>Fewer pixels in full sun tell nothing.</summary>
    public const int FewestPixels = 20;

    private const double OwnShare = 0.8;
    private const double CommonShare = 0.72;

    /// <summary>The 90th percentile; NaN of nothing. Reorders the values.</summary>
    public static float BrightOf(Span<float> nearInfrared)
    {
        if (nearInfrared.Length == 0)
        {
            return float.NaN;
        }

        nearInfrared.Sort();
        return nearInfrared[(int)(BrightQuantile * (nearInfrared.Length - 1))];
    }

    /// <summary>Least near infrared of a pixel in full sun.</summary>
    /// <param name="crownBright">Of the crown's own pixels.</param>
    /// <param name="commonBright">Of all leaves of the block.</param>
    public static double Floor(double crownBright, double commonBright) =>
        Math.Max(OwnShare * crownBright, CommonShare * commonBright);
}
