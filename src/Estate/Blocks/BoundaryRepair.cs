using NetTopologySuite.Geometries;
using NetTopologySuite.Geometries.Utilities;
using NetTopologySuite.Operation.Valid;

namespace Hillrow.Estate;

/// <summary>What came of an outline.</summary>
/// <param name="Boundary">Valid, not empty; null when refused.</param>
/// <param name="Done">What was repaired, one line each.</param>
/// <param name="Refused">Why it cannot be used; null when it can.</param>
/// <param name="At">Place of the trouble, grid metres; null when there was none.</param>
public sealed record RepairedBoundary(
    MultiPolygon? Boundary,
    IReadOnlyList<string> Done,
    string? Refused,
    Coordinate? At
);

/// <summary>Makes an outline valid, tells what was done, or refuses it.</summary>
/// <remarks>
/// Crossing lines split the outline where they cross; lobes keep their ground, holes stay holes (NetTopologySuite's
/// GeometryFixer). Spikes of no width fall away.
/// </remarks>
public static class BoundaryRepair
{
    /// <summary>A block below this is a drawing slip: 5 m × 5 m holds hardly one tree.</summary>
    public const double SmallestBlockSquareMetres = 25;

    /// <summary>100 km²: fifty times the largest estate the program is meant for.</summary>
    public const double LargestBlockSquareMetres = 1e8;

    /// <param name="polygons">Rings closed; eastings and northings, metres.</param>
    public static RepairedBoundary Repair(IReadOnlyList<Polygon> polygons)
    {
        MultiPolygon raw = new([.. polygons]);
        List<string> done = [];
        Coordinate? at = null;
        Geometry shape = raw;
        IsValidOp check = new(raw);
        if (!check.IsValid)
        {
            at = check.ValidationError.Coordinate;
            string what = Explain(check.ValidationError.ErrorType);
            shape = GeometryFixer.Fix(raw);
            Polygon[] parts = [.. PolygonExtracter.GetPolygons(shape).OfType<Polygon>()];
            shape = new MultiPolygon(parts);
            if (shape.IsEmpty)
            {
                return new RepairedBoundary(null, done, $"{what}, and no area is left after repair", at);
            }

            done.Add(
                FormattableString.Invariant(
                    $"{what}: repaired into {parts.Length} {(parts.Length == 1 ? "part" : "parts")}, {shape.Area / 10_000:0.####} ha"
                )
            );
        }

        (MultiPolygon kept, int slivers, double lost) = WithoutSlivers(shape);
        if (slivers > 0 && !kept.IsEmpty)
        {
            done.Add(
                FormattableString.Invariant(
                    $"{slivers} {(slivers == 1 ? "sliver" : "slivers")} of {lost:0.##} m² left out"
                )
            );
        }

        return kept.Area switch
        {
            < SmallestBlockSquareMetres => new RepairedBoundary(
                null,
                done,
                FormattableString.Invariant(
                    $"it encloses {kept.Area:0.#} m², less than a block can be ({SmallestBlockSquareMetres} m²)"
                ),
                at ?? raw.Coordinate
            ),
            > LargestBlockSquareMetres => new RepairedBoundary(
                null,
                done,
                FormattableString.Invariant($"it encloses {kept.Area / 10_000:0} ha, more than a block can be"),
                at ?? raw.Coordinate
            ),
            _ => new RepairedBoundary(kept, done, null, at),
        };
    }

    /// <summary>Leaves out parts that are too small to stand on beside a part that is a block.</summary>
    private static (MultiPolygon Kept, int Slivers, double LostSquareMetres) WithoutSlivers(Geometry shape)
    {
        const double SliverSquareMetres = 1;
        Polygon[] parts = [.. PolygonExtracter.GetPolygons(shape).OfType<Polygon>()];
        Polygon[] kept = [.. parts.Where(part => part.Area >= SliverSquareMetres)];
        return (new MultiPolygon(kept), parts.Length - kept.Length, parts.Except(kept).Sum(part => part.Area));
    }

    private static string Explain(TopologyValidationErrors error) =>
        error switch
        {
            TopologyValidationErrors.SelfIntersection or TopologyValidationErrors.RingSelfIntersection =>
                "the outline crosses or touches itself",
            TopologyValidationErrors.HoleOutsideShell => "a hole lies outside its outline",
            TopologyValidationErrors.NestedHoles => "a hole lies in another hole",
            TopologyValidationErrors.DisconnectedInteriors => "holes cut the block apart",
            TopologyValidationErrors.NestedShells => "a part lies inside another part",
            TopologyValidationErrors.DuplicateRings => "a ring is drawn twice",
            _ => "the outline is not a proper polygon",
        };
}
