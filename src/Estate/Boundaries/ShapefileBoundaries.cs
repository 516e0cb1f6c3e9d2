using System.Buffers.Binary;
using Hillrow.Earth;
using Hillrow.Numerics;
using NetTopologySuite.Algorithm;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>Reads the polygons of a shapefile, with the attributes and the reference system that lie beside it.</summary>
/// <remarks>
/// Source: the public technical description of the shapefile (July 1998): outlines run clockwise, holes
/// counter-clockwise; kinds 5, 15 and 25 are polygons without and with heights or measures, which are passed over.
/// </remarks>
public static class ShapefileBoundaries
{
    private const int FileCode = 9994;
    private const int HeaderBytes = 100;
    private const int RecordFixedBytes = 44;

    /// <param name="bytes">The .shp file.</param>
    /// <param name="path">Its path; .dbf and .prj are looked for beside it.</param>
    /// <exception cref="InputProblemException">Damaged, cut short, no polygons, or in a system we do not know.</exception>
    public static BoundarySet Read(byte[] bytes, string path)
    {
        try
        {
            List<string> notes = [];
            IReadOnlyList<IReadOnlyDictionary<string, string>> table = Attributes(path, notes);
            RingCollector collector = new();
            List<Boundary> boundaries = ReadShapes(bytes, path, table, collector);
            return new BoundarySet(path, SystemOf(path), boundaries, [.. notes, .. collector.Notes]);
        }
        catch (InvalidDataException fault)
        {
            throw BoundaryFile.Damaged(path, fault.Message, fault);
        }
    }

    private static List<Boundary> ReadShapes(
        ReadOnlySpan<byte> bytes,
        string path,
        IReadOnlyList<IReadOnlyDictionary<string, string>> table,
        RingCollector collector
    )
    {
        if (bytes.Length < HeaderBytes || BinaryPrimitives.ReadInt32BigEndian(bytes) != FileCode)
        {
            throw new InvalidDataException("it does not start as a shapefile does");
        }

        long stated = BinaryPrimitives.ReadInt32BigEndian(bytes[24..]) * 2L;
        if (stated != bytes.Length)
        {
            throw new InvalidDataException($"it says it is {stated} bytes long, but is {bytes.Length}");
        }

        int kind = BinaryPrimitives.ReadInt32LittleEndian(bytes[32..]);
        if (kind is not (5 or 15 or 25))
        {
            throw kind switch
            {
                1 or 11 or 21 or 8 or 18 or 28 => NoPolygons(path, "points"),
                3 or 13 or 23 => NoPolygons(path, "lines"),
                0 => NoPolygons(path, "shapes without any place"),
                _ => new InvalidDataException($"it holds shapes of kind {kind}, not polygons (kinds 5, 15, 25)"),
            };
        }

        List<Boundary> boundaries = [];
        int at = HeaderBytes;
        int number = 0;
        while (at < bytes.Length)
        {
            string where = FormattableString.Invariant($"shape {++number}");
            if (number > BoundaryLimits.Features)
            {
                throw new InvalidDataException($"it has more than {BoundaryLimits.Features} shapes");
            }

            if (bytes.Length - at < 8)
            {
                throw new InvalidDataException($"{where} is cut short");
            }

            long length = BinaryPrimitives.ReadInt32BigEndian(bytes[(at + 4)..]) * 2L;
            if (length < 4 || length > bytes.Length - at - 8)
            {
                throw new InvalidDataException($"{where} is cut short or states a wrong length");
            }

            List<Polygon> polygons = ReadShape(bytes.Slice(at + 8, (int)length), kind, where, collector);
            if (polygons.Count > 0)
            {
                boundaries.Add(
                    new Boundary(
                        where,
                        number <= table.Count ? table[number - 1] : new Dictionary<string, string>(),
                        polygons
                    )
                );
            }

            at += 8 + (int)length;
        }

        return boundaries;
    }

    private static InputProblemException NoPolygons(string path, string what) =>
        new(
            path,
            $"holds {what}, not polygons.",
            "Draw each block as a closed polygon, then export those; or give the layer's other shapefile."
        );

    private static List<Polygon> ReadShape(ReadOnlySpan<byte> shape, int kind, string where, RingCollector collector)
    {
        int own = BinaryPrimitives.ReadInt32LittleEndian(shape);
        if (own == 0)
        {
            collector.Notes.Add($"{where}: is empty and was left out");
            return [];
        }

        if (own != kind || shape.Length < RecordFixedBytes)
        {
            throw new InvalidDataException($"{where} is of kind {own} in a file of kind {kind}");
        }

        int parts = BinaryPrimitives.ReadInt32LittleEndian(shape[36..]);
        int points = BinaryPrimitives.ReadInt32LittleEndian(shape[40..]);
        if (parts < 0 || points < 0 || RecordFixedBytes + (parts * 4L) + (points * 16L) > shape.Length)
        {
            throw new InvalidDataException($"{where} promises {parts} rings of {points} points and is cut short");
        }

        ReadOnlySpan<byte> coordinates = shape[(RecordFixedBytes + (parts * 4))..];
        List<Coordinate[]> rings = [];
        for (int part = 0; part < parts; part++)
        {
            int from = BinaryPrimitives.ReadInt32LittleEndian(shape[(RecordFixedBytes + (part * 4))..]);
            int to =
                part + 1 < parts
                    ? BinaryPrimitives.ReadInt32LittleEndian(shape[(RecordFixedBytes + ((part + 1) * 4))..])
                    : points;
            if (from < 0 || to < from || to > points)
            {
                throw new InvalidDataException($"{where} has rings that overlap in the file");
            }

            Coordinate[] ring = new Coordinate[to - from];
            for (int index = 0; index < ring.Length; index++)
            {
                ReadOnlySpan<byte> point = coordinates[((from + index) * 16)..];
                ring[index] = new Coordinate(
                    BinaryPrimitives.ReadDoubleLittleEndian(point),
                    BinaryPrimitives.ReadDoubleLittleEndian(point[8..])
                );
            }

            rings.Add(ring);
        }

        return Assemble(rings, where, collector);
    }

    /// <summary>Gives each hole to the smallest outline around its first point.</summary>
    private static List<Polygon> Assemble(List<Coordinate[]> rings, string where, RingCollector collector)
    {
        // All rings one way round happens in careless files: then each is an outline of its own.
        List<Coordinate[]> outlines = [.. rings.Where(ring => SignedArea(ring) <= 0)];
        List<Coordinate[]> holes = [.. rings.Where(ring => SignedArea(ring) > 0)];
        if (outlines.Count == 0)
        {
            (outlines, holes) = (holes, []);
        }

        List<List<IReadOnlyList<Coordinate>>> groups =
        [
            .. outlines.Select(ring => new List<IReadOnlyList<Coordinate>> { ring }),
        ];
        foreach (Coordinate[] hole in holes)
        {
            List<IReadOnlyList<Coordinate>>? around = groups
                .Where(group =>
                    hole.Length > 0 && group[0].Count > 3 && PointLocation.IsInRing(hole[0], Closed(group[0]))
                )
                .MinBy(group => Math.Abs(SignedArea(group[0])));
            if (around is null)
            {
                collector.Notes.Add($"{where}: a hole that lies in no outline was left out");
            }
            else
            {
                around.Add(hole);
            }
        }

        return [.. groups.Select(group => collector.Polygon(where, group)).OfType<Polygon>()];
    }

    private static Coordinate[] Closed(IReadOnlyList<Coordinate> ring) =>
        ring[0].Equals2D(ring[^1]) ? [.. ring] : [.. ring, ring[0]];

    /// <summary>Positive when the ring turns counter-clockwise.</summary>
    private static double SignedArea(IReadOnlyList<Coordinate> ring)
    {
        double twice = 0;
        for (int index = 0; index < ring.Count; index++)
        {
            Coordinate here = ring[index];
            Coordinate next = ring[(index + 1) % ring.Count];
            twice += ((here.X - ring[0].X) * (next.Y - ring[0].Y)) - ((next.X - ring[0].X) * (here.Y - ring[0].Y));
        }

        return twice / 2;
    }

    private static IReadOnlyList<IReadOnlyDictionary<string, string>> Attributes(string path, List<string> notes)
    {
        string? table = Beside(path, ".dbf");
        if (table is null)
        {
            notes.Add($"{Path.GetFileName(path)}: there is no .dbf beside it, so the blocks have no names");
            return [];
        }

        return DbfTable.Read(BoundaryFile.ReadAll(table), table);
    }

    private static ReferenceSystem SystemOf(string path)
    {
        string? prj = Beside(path, ".prj");
        if (prj is not null)
        {
            byte[] text = BoundaryFile.ReadAll(prj);
            return ReferenceSystemText.FromWellKnownText(System.Text.Encoding.UTF8.GetString(text), prj);
        }

        throw new InputProblemException(
            path,
            "does not say which coordinate system it is in: there is no .prj beside it.",
            "Copy the .prj along with it, or export the blocks as GeoPackage or GeoJSON."
        );
    }

    private static string? Beside(string path, string ending)
    {
        string lower = Path.ChangeExtension(path, ending);
        string upper = Path.ChangeExtension(path, ending.ToUpperInvariant());
        return File.Exists(lower) ? lower
            : File.Exists(upper) ? upper
            : null;
    }
}
