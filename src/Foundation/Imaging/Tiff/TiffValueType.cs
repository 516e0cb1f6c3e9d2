namespace Hillrow.Imaging;

/// <summary>Field types of TIFF 6.0 (Adobe 1992), its Supplement 1 (13) and BigTIFF (16–18).</summary>
public enum TiffValueType
{
    Unsigned8 = 1,
    Text = 2,
    Unsigned16 = 3,
    Unsigned32 = 4,
    UnsignedRational = 5,
    Signed8 = 6,
    Undefined = 7,
    Signed16 = 8,
    Signed32 = 9,
    SignedRational = 10,
    Float32 = 11,
    Float64 = 12,
    Directory32 = 13,
    Unsigned64 = 16,
    Signed64 = 17,
    Directory64 = 18,
}

public static class TiffValueTypes
{
    /// <summary>Bytes of one value; 0 for a type that no standard names (its entry cannot be read, only seen).</summary>
    public static int SizeOf(TiffValueType type) =>
        type switch
        {
            TiffValueType.Unsigned8 or TiffValueType.Text or TiffValueType.Signed8 or TiffValueType.Undefined => 1,
            TiffValueType.Unsigned16 or TiffValueType.Signed16 => 2,
            TiffValueType.Unsigned32 or TiffValueType.Signed32 or TiffValueType.Float32 or TiffValueType.Directory32 =>
                4,
            TiffValueType.UnsignedRational
            or TiffValueType.SignedRational
            or TiffValueType.Float64
            or TiffValueType.Unsigned64
            or TiffValueType.Signed64
            or TiffValueType.Directory64 => 8,
            _ => 0,
        };
}
