namespace Hillrow.Plants;

/// <summary>Why a place of a block tells nothing about the plant in it, by shares of the cells about it.</summary>
internal static class BlindPlace
{
    private const double LargestBlindShare = 0.3;

    // Soil is measured nearly everywhere it is seen; a crown that nobody measured is laid beside its place on the map.
    private const double LargestUnmeasuredShare = 0.5;

    /// <param name="cells">All that were looked at.</param>
    /// <param name="missing">Of them without data.</param>
    /// <param name="shaded">Under shade trees.</param>
    /// <param name="unmeasured">Of unknown height, where the map has heights.</param>
    /// <param name="dark">In shadow.</param>
    /// <returns>Empty when the place can be seen.</returns>
    public static string Because(int cells, int missing, int shaded, int unmeasured, int dark = 0) =>
        cells == 0 || missing > LargestBlindShare * cells ? "the map has a hole here"
        : shaded > LargestBlindShare * cells ? "under a shade tree"
        : dark > LargestBlindShare * cells ? "in shadow"
        : unmeasured > LargestUnmeasuredShare * cells ? "its height was not measured"
        : "";
}
