using System.Buffers.Binary;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>
/// Reads well-known binary that may come from anywhere: every count is checked against the bytes that are left
/// before anything is allocated, depth is limited, heights and measures are passed over.
/// </summary>
/// <remarks>Source: OGC 06-103r4 clause 8, and ISO 19125's codes 1001 … 3007 for heights and measures.</remarks>
public static class WellKnownBinary
{
    private const int DeepestNesting = 8;
    private static readonly GeometryFactory Factory = new();

    /// <exception cref="InvalidDataException">Cut short, of an unknown kind, or nonsense inside.</exception>
    public static Geometry Read(ReadOnlySpan<byte> bytes)
    {
        Cursor cursor = new(bytes);
        return ReadGeometry(ref cursor, 0);
    }

    private static Geometry ReadGeometry(ref Cursor cursor, int depth)
    {
        if (depth > DeepestNesting)
        {
            throw new InvalidDataException("geometries are nested too deeply");
        }

        cursor.LittleEndian = cursor.Byte() switch
        {
            0 => false,
            1 => true,
            byte other => throw new InvalidDataException($"a geometry's byte order is {other}, not 0 or 1"),
        };
        uint code = cursor.UInt32();
        int ordinates = 2 + (int)(((code / 1000) + 1) / 2);
        if (code >= 4000)
        {
            throw new InvalidDataException($"a geometry is of the unknown kind {code}");
        }

        return (code % 1000) switch
        {
            1 => ReadPoint(ref cursor, ordinates),
            2 => Factory.CreateLineString(ReadLine(ref cursor, ordinates)),
            3 => ReadPolygon(ref cursor, ordinates),
            4 or 5 or 6 or 7 => ReadCollection(ref cursor, depth, code % 1000),
            _ => throw new InvalidDataException($"a geometry is of the unknown kind {code}"),
        };
    }

    private static Point ReadPoint(ref Cursor cursor, int ordinates)
    {
        double x = cursor.Double();
        double y = cursor.Double();
        cursor.Skip((ordinates - 2) * 8);
        return double.IsNaN(x) || double.IsNaN(y)
            ? Factory.CreatePoint()
            : Factory.CreatePoint(new Coordinate(Finite(x), Finite(y)));
    }

    private static Coordinate[] ReadLine(ref Cursor cursor, int ordinates)
    {
        int count = cursor.Count(ordinates * 8);
        Coordinate[] line = new Coordinate[count];
        for (int index = 0; index < count; index++)
        {
            double x = cursor.Double();
            double y = cursor.Double();
            cursor.Skip((ordinates - 2) * 8);
            line[index] = new Coordinate(Finite(x), Finite(y));
        }

        return line.Length == 1 ? throw new InvalidDataException("a line has one point only") : line;
    }

    private static Polygon ReadPolygon(ref Cursor cursor, int ordinates)
    {
        int count = cursor.Count(4);
        List<LinearRing> rings = new(count);
        for (int index = 0; index < count; index++)
        {
            Coordinate[] ring = ReadLine(ref cursor, ordinates);
            if (ring.Length > 0 && (ring.Length < 4 || !ring[0].Equals2D(ring[^1])))
            {
                throw new InvalidDataException("a ring is not closed or has fewer than four points");
            }

            rings.Add(Factory.CreateLinearRing(ring));
        }

        return rings.Count == 0 ? Factory.CreatePolygon() : Factory.CreatePolygon(rings[0], [.. rings.Skip(1)]);
    }

    private static GeometryCollection ReadCollection(ref Cursor cursor, int depth, uint kind)
    {
        int count = cursor.Count(5);
        List<Geometry> parts = new(count);
        bool littleEndian = cursor.LittleEndian;
        for (int index = 0; index < count; index++)
        {
            parts.Add(ReadGeometry(ref cursor, depth + 1));
        }

        cursor.LittleEndian = littleEndian;
        return kind switch
        {
            4 => Factory.CreateMultiPoint([.. All<Point>(parts)]),
            5 => Factory.CreateMultiLineString([.. All<LineString>(parts)]),
            6 => Factory.CreateMultiPolygon([.. All<Polygon>(parts)]),
            _ => Factory.CreateGeometryCollection([.. parts]),
        };
    }

    private static IEnumerable<T> All<T>(List<Geometry> parts) =>
        parts.Select(part =>
            part is T wanted ? wanted : throw new InvalidDataException("a collection holds a part of another kind")
        );

    private static double Finite(double value) =>
        double.IsFinite(value) ? value : throw new InvalidDataException("a coordinate is not a finite number");

    private ref struct Cursor(ReadOnlySpan<byte> bytes)
    {
        private ReadOnlySpan<byte> rest = bytes;

        public bool LittleEndian;

        public byte Byte() => Take(1)[0];

        public uint UInt32()
        {
            ReadOnlySpan<byte> four = Take(4);
            return LittleEndian
                ? BinaryPrimitives.ReadUInt32LittleEndian(four)
                : BinaryPrimitives.ReadUInt32BigEndian(four);
        }

        public double Double()
        {
            ReadOnlySpan<byte> eight = Take(8);
            return LittleEndian
                ? BinaryPrimitives.ReadDoubleLittleEndian(eight)
                : BinaryPrimitives.ReadDoubleBigEndian(eight);
        }

        /// <summary>A count of things of at least so many bytes each: more than are left is nonsense.</summary>
        public int Count(int leastBytesEach)
        {
            uint count = UInt32();
            return count <= rest.Length / leastBytesEach
                ? (int)count
                : throw new InvalidDataException($"a geometry promises {count} parts and is cut short");
        }

        public void Skip(int count) => Take(count);

        private ReadOnlySpan<byte> Take(int count)
        {
            if (rest.Length < count)
            {
                throw new InvalidDataException("a geometry is cut short");
            }

            ReadOnlySpan<byte> taken = rest[..count];
            rest = rest[count..];
            return taken;
        }
    }
}
