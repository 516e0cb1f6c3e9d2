using System.Text;

namespace Hillrow.TestSupport;

/// <summary>
/// Small JPEG files, 16 rows × 24 columns, and a way to put EXIF and XMP into them. Made once with Debian's
/// gdal_translate (libjpeg) from gradients: grey is 30 + 5·column + 4·row; red, green, blue are 40 + 6·column,
/// 60 + 8·row, 200 − 4·column.
/// </summary>
public static class JpegSpecimen
{
    public const int Rows = 16;
    public const int Columns = 24;

    /// <summary>Baseline, one band, quality 95.</summary>
    public static byte[] Grey() => Convert.FromBase64String(GreyText);

    /// <summary>Progressive, three bands, quality 95.</summary>
    public static byte[] ProgressiveColours() => Convert.FromBase64String(ColoursText);

    /// <summary>The file with an EXIF block (a TIFF file's bytes) and an XMP packet put in front, where given.</summary>
    public static byte[] With(byte[] jpeg, byte[]? exif, string? xmp)
    {
        List<byte> file = [0xFF, 0xD8];
        if (exif is not null)
        {
            file.AddRange(Segment([.. "Exif\0\0"u8, .. exif]));
        }

        if (xmp is not null)
        {
            file.AddRange(Segment([.. "http://ns.adobe.com/xap/1.0/\0"u8, .. Encoding.UTF8.GetBytes(xmp)]));
        }

        file.AddRange(jpeg[2..]);
        return [.. file];
    }

    /// <summary>An APP1 segment with that content.</summary>
    public static byte[] Segment(byte[] content) =>
        [0xFF, 0xE1, (byte)((content.Length + 2) / 256), (byte)((content.Length + 2) % 256), .. content];

    private const string GreyText =
        "/9j/4AAQSkZJRgABAQAAAQABAAD/2wBDAAIBAQEBAQIBAQECAgICAgQDAgICAgUEBAMEBgUGBgYFBgYGBwkIBgcJBwYGCAsICQoK"
        + "CgoKBggLDAsKDAkKCgr/wAALCAAQABgBAREA/8QAFQABAQAAAAAAAAAAAAAAAAAACAn/xAAZEAABBQAAAAAAAAAAAAAAAAAHACQz"
        + "QVH/2gAIAQEAAD8AnqJBtE3ykoBINom+UlAJBtE3ykPxINom+UlAJBtE3ykoBINom+Uv/9k=";

    private const string ColoursText =
        "/9j/4AAQSkZJRgABAQAAAQABAAD/2wBDAAIBAQEBAQIBAQECAgICAgQDAgICAgUEBAMEBgUGBgYFBgYGBwkIBgcJBwYGCAsICQoK"
        + "CgoKBggLDAsKDAkKCgr/2wBDAQICAgICAgUDAwUKBwYHCgoKCgoKCgoKCgoKCgoKCgoKCgoKCgoKCgoKCgoKCgoKCgoKCgoKCgoK"
        + "CgoKCgoKCgr/wgARCAAQABgDASIAAhEBAxEB/8QAFwAAAwEAAAAAAAAAAAAAAAAAAAUGB//EABUBAQEAAAAAAAAAAAAAAAAAAAYH"
        + "/9oADAMBAAIQAxAAAAHNWts1fE4o0sllc//EABYQAAMAAAAAAAAAAAAAAAAAAAADBf/aAAgBAQABBQJMoTKEyhMoTKEyj//EABoR"
        + "AAICAwAAAAAAAAAAAAAAAAAFASEEIzH/2gAIAQMBAT8BQvuWYT7RFn//xAAZEQACAwEAAAAAAAAAAAAAAAAABQQhMSP/2gAIAQIB"
        + "AT8BduNsmOO+n//EABUQAQEAAAAAAAAAAAAAAAAAAAAy/9oACAEBAAY/ApSlKUv/xAAXEAADAQAAAAAAAAAAAAAAAAAAASDw/9oA"
        + "CAEBAAE/IZSQGCP/2gAMAwEAAgADAAAAEHQf/8QAFBEBAAAAAAAAAAAAAAAAAAAAEP/aAAgBAwEBPxA/v//EABURAQEAAAAAAAAA"
        + "AAAAAAAAAAAh/9oACAECAQE/EEWH/8QAGBAAAwEBAAAAAAAAAAAAAAAAADHBASH/2gAIAQEAAT8Q25JpyRUiZEyJL//Z";
}
