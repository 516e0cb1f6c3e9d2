using System.Globalization;
using Hillrow.Earth;
using Hillrow.Numerics;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>What a boundary file would bring into an estate.</summary>
/// <param name="Blocks">Usable, in the estate's system.</param>
/// <param name="Told">Repairs, things left out and warnings, one line each.</param>
/// <param name="Refused">Outlines that cannot be used, each with its place and remedy.</param>
public sealed record BlockImportResult(
    IReadOnlyList<Block> Blocks,
    IReadOnlyList<string> Told,
    IReadOnlyList<string> Refused
);

/// <summary>Turns the outlines of a file into blocks: names, facts, the estate's system, repair, overlaps.</summary>
public static class BlockImport
{
    /// <summary>An overlap narrower than this is a drawing slip between neighbours, not two claims to one ground.</summary>
    private const double SliverWidthMetres = 2;

    private const double SmallestOverlapSquareMetres = 1;

    private static readonly string[] NameAttributes =
    [
        "name",
        "block",
        "nombre",
        "nome",
        "bloque",
        "bloco",
        "lote",
        "talhao",
        "talhão",
        "field",
        "label",
        "title",
    ];

    /// <param name="set">Outlines as read.</param>
    /// <param name="system">The estate's UTM zone.</param>
    /// <param name="present">Blocks that the estate has already.</param>
    /// <param name="nameAttribute">Attribute that holds the names; null looks for a usual one.</param>
    /// <exception cref="InputProblemException">No outline has the attribute asked for.</exception>
    public static BlockImportResult Read(
        BoundarySet set,
        ReferenceSystem system,
        IReadOnlyList<Block> present,
        string? nameAttribute = null
    )
    {
        string file = Path.GetFileName(set.File);
        List<string> told = [.. set.Notes];
        List<string> refused = [];
        List<Block> blocks = [];
        string? attribute = NameAttributeOf(set, nameAttribute);
        Dictionary<string, string> names = new(StringComparer.OrdinalIgnoreCase);
        for (int index = 0; index < set.Boundaries.Count; index++)
        {
            Boundary boundary = set.Boundaries[index];
            string name = NameOf(boundary, attribute, index, told);
            if (names.TryGetValue(name, out string? other))
            {
                refused.Add(
                    $"{boundary.Where}: the name \"{name}\" is already that of {other}; give each block a name of its own"
                );
                continue;
            }

            names.Add(name, boundary.Where);
            if (Placed(boundary, set.ReferenceSystem, system, refused, name) is not { } polygons)
            {
                continue;
            }

            RepairedBoundary repaired = BoundaryRepair.Repair(polygons);
            string place = repaired.At is { } at ? $" at {PlaceText(at, system)}" : "";
            told.AddRange(repaired.Done.Select(done => $"{boundary.Where} \"{name}\"{place}: {done}"));
            if (repaired.Boundary is null)
            {
                refused.Add($"{boundary.Where} \"{name}\"{place}: {repaired.Refused}; draw it again");
                continue;
            }

            BlockFacts facts = BlockAttributes.Read(boundary, told, name);
            blocks.Add(new Block(0, name, repaired.Boundary, facts, $"{file}, {boundary.Where}"));
        }

        told.AddRange(Overlaps(blocks, [.. present.Where(block => !names.ContainsKey(block.Name))], system));
        return new BlockImportResult(blocks, told, refused);
    }

    private static string? NameAttributeOf(BoundarySet set, string? asked)
    {
        if (asked is null)
        {
            return NameAttributes.FirstOrDefault(name =>
                set.Boundaries.Any(boundary => boundary.Attributes.ContainsKey(name))
            );
        }

        string[] known = [.. set.Boundaries.SelectMany(boundary => boundary.Attributes.Keys).Distinct().Take(30)];
        return set.Boundaries.Any(boundary => boundary.Attributes.ContainsKey(asked))
            ? asked
            : throw new InputProblemException(
                set.File,
                $"has no attribute \"{asked}\".",
                known.Length == 0 ? "It has none at all." : $"There are: {string.Join(", ", known)}."
            );
    }

    private static string NameOf(Boundary boundary, string? attribute, int index, List<string> told)
    {
        if (attribute is not null && boundary.Attributes.TryGetValue(attribute, out string? name))
        {
            return name.Trim();
        }

        string given = FormattableString.Invariant($"block {index + 1}");
        told.Add($"{boundary.Where}: has no name and is called \"{given}\"");
        return given;
    }

    private static List<Polygon>? Placed(
        Boundary boundary,
        ReferenceSystem from,
        ReferenceSystem to,
        List<string> refused,
        string name
    )
    {
        List<Polygon> placed = [];
        foreach (Polygon polygon in boundary.Polygons)
        {
            Coordinate first = polygon.Coordinate;
            GeographicPoint place;
            try
            {
                place = from.ToWgs84(first.X, first.Y);
            }
            catch (Exception fault)
                when (fault is ArgumentException or ArithmeticException or InvalidOperationException)
            {
                refused.Add(
                    $"{boundary.Where} \"{name}\": its coordinates are no place in {from}; check the file's coordinate system"
                );
                return null;
            }

            double latitude = place.Latitude.Degrees;
            double longitude = place.Longitude.Degrees;
            if (!UtmZoneText.Reaches(to, latitude, longitude))
            {
                string hint =
                    from.IsGeographic && UtmZoneText.Reaches(to, longitude, latitude)
                        ? "latitude and longitude are swapped: export it again with longitude first"
                    : UtmZoneText.Reaches(to, -latitude, longitude)
                        ? "it fits with the latitude's other sign: check for a lost or false minus, or for N and S in a zone (the file's, or the estate's reference_system)"
                    : UtmZoneText.Reaches(to, latitude, -longitude)
                        ? "it fits with the longitude's other sign: check for a lost or false minus"
                    : "check its coordinate system and the estate's reference_system";
                refused.Add(
                    FormattableString.Invariant(
                        $"{boundary.Where} \"{name}\": lies at {latitude:0.####}, {longitude:0.####}, far from the estate's zone {UtmZoneText.ZoneOf(to)}; {hint}"
                    )
                );
                return null;
            }

            placed.Add(from.Equals(to) ? polygon : Moved(polygon, from, to));
        }

        return placed;
    }

    private static Polygon Moved(Polygon polygon, ReferenceSystem from, ReferenceSystem to)
    {
        LinearRing Ring(LineString ring) =>
            new([
                .. ring.Coordinates.Select(point =>
                {
                    GridPoint moved = to.ToGrid(from.ToWgs84(point.X, point.Y));
                    return new Coordinate(moved.EastingMetres, moved.NorthingMetres);
                }),
            ]);
        return new Polygon(Ring(polygon.ExteriorRing), [.. polygon.InteriorRings.Select(Ring)]);
    }

    private static IEnumerable<string> Overlaps(List<Block> blocks, List<Block> present, ReferenceSystem system)
    {
        for (int first = 0; first < blocks.Count; first++)
        {
            foreach (Block other in blocks.Skip(first + 1).Concat(present))
            {
                Block block = blocks[first];
                if (!block.Boundary.EnvelopeInternal.Intersects(other.Boundary.EnvelopeInternal))
                {
                    continue;
                }

                Geometry common = block.Boundary.Intersection(other.Boundary);
                if (common.Area < SmallestOverlapSquareMetres)
                {
                    continue;
                }

                // Twice the area over the outline is the mean width of a long thin shape.
                bool sliver = 2 * common.Area / common.Length < SliverWidthMetres;
                yield return string.Create(
                    CultureInfo.InvariantCulture,
                    $"\"{block.Name}\" and \"{other.Name}\" overlap by {common.Area:0.#} m² at {PlaceText(common.InteriorPoint.Coordinate, system)}{(sliver ? " (a sliver along their border)" : "")}: plants there would count for both; draw the border again"
                );
            }
        }
    }

    private static string PlaceText(Coordinate at, ReferenceSystem system)
    {
        GeographicPoint place = system.ToWgs84(new GridPoint(at.X, at.Y));
        return FormattableString.Invariant($"{place.Latitude.Degrees:0.000000}, {place.Longitude.Degrees:0.000000}");
    }
}
