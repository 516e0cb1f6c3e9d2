using System.IO.Compression;

namespace Hillrow.TestSupport;

/// <summary>How a specimen's pixels are coded; plain 16-bit counts in one strip unless told otherwise.</summary>
public sealed record PixelCoding
{
    public int Bits { get; init; } = 16;

    /// <summary>1 unsigned, 2 signed, 3 float (TIFF tag 339).</summary>
    public int Format { get; init; } = 1;

    /// <summary>1 none, 5 LZW, 8 Deflate, 32946 Deflate's old number, 32773 PackBits.</summary>
    public int Compression { get; init; } = 1;

    public int Predictor { get; init; } = 1;

    /// <summary>0: one strip.</summary>
    public int RowsPerStrip { get; init; }

    /// <summary>0: strips.</summary>
    public int TileEdge { get; init; }

    public bool Planar { get; init; }

    /// <summary>Depths of 9–15 bits, each sample in 16 bits.</summary>
    public bool Wide { get; init; }
}

/// <summary>Writes pixels into a specimen's page, one plain sample at a time.</summary>
public static class SpecimenPixels
{
    /// <param name="sample">Value at (row, column, band); whole numbers for integer formats.</param>
    public static SpecimenDirectory Pixels(
        this SpecimenDirectory page,
        TiffSpecimen file,
        int rows,
        int columns,
        int bands,
        PixelCoding coding,
        Func<int, int, int, double> sample
    )
    {
        bool tiled = coding.TileEdge > 0;
        int blockRows =
            tiled ? coding.TileEdge
            : coding.RowsPerStrip > 0 ? coding.RowsPerStrip
            : rows;
        int blockColumns = tiled ? coding.TileEdge : columns;
        page.Short(256, columns).Short(257, rows).Short(258, [.. Enumerable.Repeat(coding.Bits, bands)]);
        page.Short(259, coding.Compression).Short(262, 1).Short(277, bands).Short(284, coding.Planar ? 2 : 1);
        page.Short(339, [.. Enumerable.Repeat(coding.Format, bands)]);
        page.Tiled = tiled;
        if (tiled)
        {
            page.Short(322, coding.TileEdge).Short(323, coding.TileEdge);
        }
        else
        {
            page.Short(278, blockRows);
        }

        if (coding.Predictor != 1)
        {
            page.Short(317, coding.Predictor);
        }

        int inner = coding.Planar ? 1 : bands;
        for (int plane = 0; plane < (coding.Planar ? bands : 1); plane++)
        {
            for (int top = 0; top < rows; top += blockRows)
            {
                for (int left = 0; left < columns; left += blockColumns)
                {
                    List<byte> block = [];
                    int height = tiled ? blockRows : Math.Min(blockRows, rows - top);
                    for (int row = top; row < top + height; row++)
                    {
                        double[] line = new double[blockColumns * inner];
                        for (int i = 0; i < line.Length; i++)
                        {
                            int column = left + (i / inner);
                            bool inside = row < rows && column < columns;
                            line[i] = inside ? sample(row, column, plane + (i % inner)) : 0;
                        }

                        block.AddRange(Row(file, coding, line, inner));
                    }

                    page.Blocks.Add(Compress(coding.Compression, [.. block]));
                }
            }
        }

        return page;
    }

    private static byte[] Row(TiffSpecimen file, PixelCoding coding, double[] line, int stride)
    {
        int bits = coding.Wide ? 16 : coding.Bits;
        ulong mask = bits == 64 ? ulong.MaxValue : (1UL << bits) - 1;
        ulong[] words = Array.ConvertAll(line, value => Word(coding, value) & mask);
        if (coding.Predictor == 3)
        {
            int size = bits / 8;
            byte[] planes = new byte[words.Length * size];
            for (int i = 0; i < words.Length; i++)
            {
                for (int plane = 0; plane < size; plane++)
                {
                    planes[(plane * words.Length) + i] = (byte)((words[i] >> (8 * (size - 1 - plane))) & 0xFF);
                }
            }

            for (int i = planes.Length - 1; i >= stride; i--)
            {
                planes[i] = unchecked((byte)(planes[i] - planes[i - stride]));
            }

            return planes;
        }

        if (coding.Predictor == 2)
        {
            for (int i = words.Length - 1; i >= stride; i--)
            {
                words[i] = unchecked(words[i] - words[i - stride]) & mask;
            }
        }

        if (bits % 8 == 0)
        {
            return [.. words.SelectMany(word => file.Number(bits / 8, word))];
        }

        byte[] packed = new byte[((words.Length * bits) + 7) / 8];
        for (int i = 0; i < words.Length * bits; i++)
        {
            ulong bit = (words[i / bits] >> (bits - 1 - (i % bits))) & 1;
            packed[i / 8] |= (byte)(bit << (7 - (i % 8)));
        }

        return packed;
    }

    private static ulong Word(PixelCoding coding, double value) =>
        (coding.Format, coding.Bits) switch
        {
            (3, 16) => BitConverter.HalfToUInt16Bits((Half)value),
            (3, 32) => BitConverter.SingleToUInt32Bits((float)value),
            (3, 64) => BitConverter.DoubleToUInt64Bits(value),
            _ => unchecked((ulong)(long)value),
        };

    private static byte[] Compress(int compression, byte[] plain)
    {
        switch (compression)
        {
            case 5:
                return Lzw(plain);
            case 8 or 32946:
                using (MemoryStream stream = new())
                {
                    using (ZLibStream zlib = new(stream, CompressionLevel.Optimal))
                    {
                        zlib.Write(plain);
                    }

                    return stream.ToArray();
                }

            case 32773:
                return PackBits(plain);
            default:
                return plain;
        }
    }

    private static byte[] PackBits(byte[] plain)
    {
        List<byte> packed = [];
        for (int at = 0; at < plain.Length; )
        {
            int run = 1;
            while (at + run < plain.Length && run < 128 && plain[at + run] == plain[at])
            {
                run++;
            }

            packed.Add(run > 1 ? unchecked((byte)(1 - run)) : (byte)0);
            packed.Add(plain[at]);
            at += run;
        }

        return [.. packed];
    }

    private static byte[] Lzw(byte[] plain)
    {
        List<byte> coded = [];
        ulong held = 0;
        int have = 0;
        int width = 9;
        Dictionary<(int Prefix, byte Next), int> table = [];
        void Put(int code)
        {
            held = ((held << width) | (uint)code) & 0xFFFFFFFF;
            have += width;
            while (have >= 8)
            {
                have -= 8;
                coded.Add((byte)((held >> have) & 0xFF));
            }
        }

        Put(256);
        int prefix = -1;
        foreach (byte next in plain)
        {
            if (prefix < 0)
            {
                prefix = next;
            }
            else if (table.TryGetValue((prefix, next), out int longer))
            {
                prefix = longer;
            }
            else
            {
                Put(prefix);
                table[(prefix, next)] = 258 + table.Count;
                prefix = next;
                int free = 258 + table.Count;
                if (free == 4094)
                {
                    Put(256);
                    table.Clear();
                    width = 9;
                }
                else if (free == 1 << width)
                {
                    // The reader is one entry behind the writer, and widens one code early.
                    width++;
                }
            }
        }

        if (prefix >= 0)
        {
            Put(prefix);
        }

        int last = 258 + table.Count + 1;
        width = last >= (1 << width) && width < 12 ? width + 1 : width;
        Put(257);
        if (have > 0)
        {
            coded.Add((byte)((held << (8 - have)) & 0xFF));
        }

        return [.. coded];
    }
}
