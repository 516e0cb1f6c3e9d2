using Hillrow.Earth;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>The outlines that a file holds, as they stand there: not yet repaired, not yet in the estate's system.</summary>
/// <param name="File">The file, for messages.</param>
/// <param name="ReferenceSystem">System of all coordinates: eastings/northings, or longitude/latitude in degrees.</param>
/// <param name="Boundaries">In the file's order.</param>
/// <param name="Notes">What was passed over, one line each.</param>
public sealed record BoundarySet(
    string File,
    ReferenceSystem ReferenceSystem,
    IReadOnlyList<Boundary> Boundaries,
    IReadOnlyList<string> Notes
);

/// <summary>One outline of a file.</summary>
/// <param name="Where">Which it is: "feature 3".</param>
/// <param name="Attributes">Names and values as the file has them.</param>
/// <param name="Polygons">Rings are closed and have four points at least; nothing else is sure.</param>
public sealed record Boundary(
    string Where,
    IReadOnlyDictionary<string, string> Attributes,
    IReadOnlyList<Polygon> Polygons
);

/// <summary>What no honest file of block outlines exceeds; beyond it a reader stops instead of eating memory.</summary>
internal static class BoundaryLimits
{
    public const long FileBytes = 64L << 20;
    public const int Features = 20_000;
    public const int Points = 2_000_000;
    public const int TextLength = 2_000;
}
