namespace Hillrow.Planning;

/// <summary>How far lines, or captures, must fill the neighbourhood of a place so that enough of them see it.</summary>
/// <param name="LengthMetres">Views asked times the greatest distance between neighbours.</param>
/// <param name="LowReachMetres">How far one sees towards smaller coordinates, at the worst.</param>
/// <param name="HighReachMetres">How far one sees towards greater coordinates, at the worst.</param>
internal readonly record struct SeenWindow(double LengthMetres, double LowReachMetres, double HighReachMetres)
{
    /// <summary>How far beyond the low edge of a slice of a width.</summary>
    public double BelowMetres(double width) =>
        Math.Max(0, Math.Max(LengthMetres - LowReachMetres, (LengthMetres - width) / 2));

    /// <summary>How far beyond its high edge.</summary>
    public double AboveMetres(double width) =>
        Math.Max(0, Math.Max(LengthMetres - HighReachMetres, (LengthMetres - width) / 2));
}
