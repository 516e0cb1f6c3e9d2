using System.Buffers.Binary;
using NetTopologySuite.Geometries;
using NetTopologySuite.IO;

namespace Hillrow.Estate;

/// <summary>A geometry as a GeoPackage stores it: a short header with the bounds, then well-known binary.</summary>
/// <remarks>
/// Source: OGC 12-128r17 (GeoPackage 1.3), clause 2.1.3. Little-endian, x and y only; a point carries no bounds
/// (it is its own), an empty geometry none either.
/// </remarks>
public static class GeometryBlob
{
    private const int HeaderBytes = 8;
    private const int EmptyFlag = 0x10;

    public static byte[] Write(Geometry geometry, int srsId)
    {
        byte[] body = new WKBWriter(ByteOrder.LittleEndian, handleSRID: false) { HandleOrdinates = Ordinates.XY }.Write(
            geometry
        );
        bool bounded = geometry is not Point && !geometry.IsEmpty;
        byte[] blob = new byte[HeaderBytes + (bounded ? 32 : 0) + body.Length];
        blob[0] = (byte)'G';
        blob[1] = (byte)'P';
        blob[3] = (byte)(1 | (bounded ? 2 : 0) | (geometry.IsEmpty ? EmptyFlag : 0));
        BinaryPrimitives.WriteInt32LittleEndian(blob.AsSpan(4), srsId);
        if (bounded)
        {
            Envelope bounds = geometry.EnvelopeInternal;
            Span<byte> at = blob.AsSpan(HeaderBytes);
            BinaryPrimitives.WriteDoubleLittleEndian(at, bounds.MinX);
            BinaryPrimitives.WriteDoubleLittleEndian(at[8..], bounds.MaxX);
            BinaryPrimitives.WriteDoubleLittleEndian(at[16..], bounds.MinY);
            BinaryPrimitives.WriteDoubleLittleEndian(at[24..], bounds.MaxY);
        }

        body.CopyTo(blob.AsSpan(blob.Length - body.Length));
        return blob;
    }

    /// <exception cref="InvalidDataException">Not a GeoPackage geometry.</exception>
    public static Geometry Read(byte[] blob) => WellKnownBinary.Read(BodyOf(blob).Span);

    /// <summary>The well-known binary behind the header.</summary>
    /// <exception cref="InvalidDataException">Not a GeoPackage geometry.</exception>
    public static ReadOnlyMemory<byte> BodyOf(byte[] blob)
    {
        if (blob.Length < HeaderBytes || blob[0] != 'G' || blob[1] != 'P')
        {
            throw new InvalidDataException("a geometry does not start with the letters GP");
        }

        int boundsBytes = ((blob[3] >> 1) & 7) switch
        {
            0 => 0,
            1 => 32,
            2 or 3 => 48,
            4 => 64,
            _ => throw new InvalidDataException("a geometry's header names bounds of an unknown kind"),
        };
        return blob.Length >= HeaderBytes + boundsBytes
            ? blob.AsMemory(HeaderBytes + boundsBytes)
            : throw new InvalidDataException("a geometry is cut short");
    }

    /// <summary>Bounds of a blob; null when it is empty or unreadable (an index then leaves it out).</summary>
    public static Envelope? BoundsOf(byte[] blob)
    {
        try
        {
            return (blob.Length > 3 && (blob[3] & EmptyFlag) != 0) ? null : Read(blob).EnvelopeInternal;
        }
        catch (InvalidDataException)
        {
            return null;
        }
    }
}
