using System.Buffers.Binary;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Distinct spots of a survey's ground with their places: what later surveys are tied to.</summary>
/// <remarks>Kept with the survey; later surveys read it, it never changes with them.</remarks>
public sealed class Landmarks
{
    private const int HeaderBytes = 8 + (3 * 8) + 4 + 4;
    private const int PlaceBytes = 3 * 8;

    private readonly Vector3D[] places;
    private readonly byte[] descriptors;

    internal Landmarks(LocalFrame frame, Vector3D[] places, byte[] descriptors, bool onControl)
    {
        Frame = frame;
        this.places = places;
        this.descriptors = descriptors;
        OnControl = onControl;
    }

    /// <summary>The frame of the places.</summary>
    public LocalFrame Frame { get; }

    public int Count => places.Length;

    /// <summary>True when ground control fixed the survey, so that its places are true and not only relative.</summary>
    public bool OnControl { get; }

    private static ReadOnlySpan<byte> Mark => "HRlandm1"u8;

    /// <summary>Local metres.</summary>
    public Vector3D PlaceOf(int landmark) => places[landmark];

    internal ReadOnlySpan<byte> DescriptorOf(int landmark) =>
        descriptors.AsSpan(landmark * PictureFeatures.DescriptorLength, PictureFeatures.DescriptorLength);

    /// <summary>For keeping; little-endian.</summary>
    public byte[] ToBytes()
    {
        byte[] bytes = new byte[HeaderBytes + (Count * PlaceBytes) + descriptors.Length];
        Mark.CopyTo(bytes);
        Span<byte> at = bytes.AsSpan(8);
        GeodeticPosition origin = Frame.Origin;
        Put(ref at, origin.Latitude.Radians);
        Put(ref at, origin.Longitude.Radians);
        Put(ref at, origin.HeightAboveEllipsoidMetres);
        BinaryPrimitives.WriteInt32LittleEndian(at, Count);
        BinaryPrimitives.WriteInt32LittleEndian(at[4..], OnControl ? 1 : 0);
        at = at[8..];
        foreach (Vector3D place in places)
        {
            Put(ref at, place.X);
            Put(ref at, place.Y);
            Put(ref at, place.Z);
        }

        descriptors.CopyTo(at);
        return bytes;
    }

    /// <param name="bytes">As <see cref="ToBytes"/> made them.</param>
    /// <param name="where">For the message.</param>
    /// <exception cref="InputProblemException">They are something else, or cut short.</exception>
    public static Landmarks FromBytes(ReadOnlySpan<byte> bytes, string where)
    {
        InputProblemException Wrong() =>
            new(
                where,
                "these are no landmarks of a survey, or the file is cut short.",
                "Run the earlier survey again."
            );
        if (bytes.Length < HeaderBytes || !bytes[..8].SequenceEqual(Mark))
        {
            throw Wrong();
        }

        ReadOnlySpan<byte> at = bytes[8..];
        double latitude = Take(ref at);
        double longitude = Take(ref at);
        double height = Take(ref at);
        int count = BinaryPrimitives.ReadInt32LittleEndian(at);
        bool onControl = BinaryPrimitives.ReadInt32LittleEndian(at[4..]) != 0;
        at = at[8..];
        if (
            count < 0
            || at.Length != (long)count * (PlaceBytes + PictureFeatures.DescriptorLength)
            || !(Math.Abs(latitude) <= Math.PI / 2)
            || !(Math.Abs(longitude) <= Math.PI)
            || !(Math.Abs(height) < 1e5)
        )
        {
            throw Wrong();
        }

        Vector3D[] found = new Vector3D[count];
        for (int index = 0; index < count; index++)
        {
            double x = Take(ref at);
            double y = Take(ref at);
            found[index] = new Vector3D(x, y, Take(ref at));
        }

        LocalFrame frame = new(new GeodeticPosition(Angle.FromRadians(latitude), Angle.FromRadians(longitude), height));
        return new Landmarks(frame, found, at.ToArray(), onControl);
    }

    private static void Put(ref Span<byte> at, double value)
    {
        BinaryPrimitives.WriteDoubleLittleEndian(at, value);
        at = at[8..];
    }

    private static double Take(ref ReadOnlySpan<byte> at)
    {
        double value = BinaryPrimitives.ReadDoubleLittleEndian(at);
        at = at[8..];
        return value;
    }
}
