namespace Hillrow.Earth;

/// <summary>How a height between posts is made.</summary>
public enum TerrainInterpolation
{
    /// <summary>From the four posts around.</summary>
    Bilinear,

    /// <summary>
    /// Cubic convolution over sixteen posts (Keys 1981, a = −0.5, DOI 10.1109/TASSP.1981.1163711): smooth slopes, no
    /// facets. Falls back to bilinear next to a void or an edge.
    /// </summary>
    Bicubic,
}
