using System.IO.Compression;

namespace Hillrow.Imaging;

/// <summary>Deflate with a zlib envelope (TIFF compression 8), one tile or strip at a time.</summary>
/// <remarks>The runtime's zlib: the bytes written depend on its version, the values read back never do.</remarks>
public sealed class DeflateCoding
{
    private readonly ZLibCompressionOptions options;
    private readonly GrowingBuffer compressed = new();

    /// <param name="level">1 fastest … 9 smallest.</param>
    public DeflateCoding(int level)
    {
        options = new ZLibCompressionOptions { CompressionLevel = level };
    }

    /// <summary>Compresses; the result is valid until the next call.</summary>
    public ReadOnlySpan<byte> Encode(ReadOnlySpan<byte> plain)
    {
        compressed.Clear();
        using (ZLibStream stream = new(compressed, options, leaveOpen: true))
        {
            stream.Write(plain);
        }

        return compressed.Written;
    }
}
