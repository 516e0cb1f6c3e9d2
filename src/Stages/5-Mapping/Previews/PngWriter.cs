using System.Buffers.Binary;
using System.IO.Compression;

namespace Hillrow.Mapping;

/// <summary>Pictures of 8-bit red, green, blue and opacity as PNG (ISO/IEC 15948, W3C PNG 2003). The same bytes for the same picture.</summary>
public static class PngWriter
{
    private static readonly uint[] CyclicTable = BuildCyclicTable();

    /// <param name="pixels">Rows × Columns × 4 (red, green, blue, opacity), row-major.</param>
    /// <param name="rows">At least 1.</param>
    /// <param name="columns">At least 1.</param>
    /// <exception cref="ArgumentException">The count does not fit.</exception>
    public static byte[] Encode(ReadOnlySpan<byte> pixels, int rows, int columns)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(rows);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(columns);
        if (pixels.Length != (long)rows * columns * 4)
        {
            throw new ArgumentException($"{pixels.Length} bytes are no {rows} × {columns} × 4.", nameof(pixels));
        }

        using MemoryStream file = new();
        file.Write([0x89, (byte)'P', (byte)'N', (byte)'G', 0x0D, 0x0A, 0x1A, 0x0A]);
        Span<byte> header = stackalloc byte[13];
        BinaryPrimitives.WriteInt32BigEndian(header, columns);
        BinaryPrimitives.WriteInt32BigEndian(header[4..], rows);
        header[8] = 8; // bits
        header[9] = 6; // colour with opacity
        header[10] = 0;
        header[11] = 0;
        header[12] = 0;
        WriteChunk(file, "IHDR"u8, header);
        WriteChunk(file, "IDAT"u8, Compressed(pixels, rows, columns));
        WriteChunk(file, "IEND"u8, []);
        return file.ToArray();
    }

    private static byte[] Compressed(ReadOnlySpan<byte> pixels, int rows, int columns)
    {
        const byte differenceUp = 2;
        const byte differenceLeft = 1;
        using MemoryStream into = new();
        using (ZLibStream deflate = new(into, CompressionLevel.Optimal, leaveOpen: true))
        {
            int stride = columns * 4;
            byte[] line = new byte[stride + 1];
            for (int row = 0; row < rows; row++)
            {
                ReadOnlySpan<byte> now = pixels.Slice(row * stride, stride);
                ReadOnlySpan<byte> before = row > 0 ? pixels.Slice((row - 1) * stride, stride) : now;
                line[0] = row > 0 ? differenceUp : differenceLeft;
                for (int at = 0; at < stride; at++)
                {
                    int other =
                        row > 0 ? before[at]
                        : at >= 4 ? now[at - 4]
                        : 0;
                    line[at + 1] = unchecked((byte)(now[at] - other));
                }

                deflate.Write(line);
            }
        }

        return into.ToArray();
    }

    private static void WriteChunk(MemoryStream file, ReadOnlySpan<byte> kind, ReadOnlySpan<byte> data)
    {
        Span<byte> number = stackalloc byte[4];
        BinaryPrimitives.WriteInt32BigEndian(number, data.Length);
        file.Write(number);
        file.Write(kind);
        file.Write(data);
        uint check = Cyclic(Cyclic(uint.MaxValue, kind), data) ^ uint.MaxValue;
        BinaryPrimitives.WriteUInt32BigEndian(number, check);
        file.Write(number);
    }

    private static uint Cyclic(uint check, ReadOnlySpan<byte> data)
    {
        foreach (byte value in data)
        {
            check = CyclicTable[(check ^ value) & 0xFF] ^ (check >> 8);
        }

        return check;
    }

    private static uint[] BuildCyclicTable()
    {
        uint[] table = new uint[256];
        for (uint at = 0; at < 256; at++)
        {
            uint value = at;
            for (int bit = 0; bit < 8; bit++)
            {
                value = (value & 1) != 0 ? 0xEDB88320 ^ (value >> 1) : value >> 1;
            }

            table[at] = value;
        }

        return table;
    }
}
