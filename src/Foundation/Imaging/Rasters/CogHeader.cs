using System.Buffers.Binary;
using System.Globalization;
using System.Runtime.InteropServices;
using System.Text;

namespace Hillrow.Imaging;

/// <summary>
/// The part of a cloud-optimized GeoTIFF before its tiles: header, then each level's directory with its values,
/// finest first. Its length depends on the tables' lengths only, not on what they hold.
/// </summary>
/// <remarks>Sources: OGC 21-026 (2023); TIFF Revision 6.0; BigTIFF as in libtiff.</remarks>
internal sealed class CogHeader(RasterLabel label, SampleType type, CogLayout layout, int predictor, bool big)
{
    private const int Short = 3;
    private const int Long = 4;
    private const int Double = 12;
    private const int Ascii = 2;
    private const int Long8 = 16;

    /// <summary>The bytes of the header.</summary>
    /// <param name="levels">Finest first.</param>
    /// <param name="offsets">For each level, the byte position of each tile.</param>
    /// <param name="sizes">For each level, the bytes of each tile.</param>
    public byte[] Build(IReadOnlyList<PyramidLevel> levels, long[][] offsets, int[][] sizes)
    {
        using MemoryStream bytes = new();
        bytes.Write(big ? [(byte)'I', (byte)'I', 43, 0, 8, 0, 0, 0] : [(byte)'I', (byte)'I', 42, 0]);
        WriteNumber(bytes, big ? 16 : 8, big ? 8 : 4);
        for (int level = 0; level < levels.Count; level++)
        {
            List<Entry> entries = EntriesOf(levels[level], level, offsets[level], sizes[level]);
            WriteDirectory(bytes, entries, last: level == levels.Count - 1);
        }

        return bytes.ToArray();
    }

    private void WriteDirectory(MemoryStream bytes, List<Entry> entries, bool last)
    {
        int inline = big ? 8 : 4;
        long directoryLength = big ? 8 + (20L * entries.Count) + 8 : 2 + (12L * entries.Count) + 4;
        long values = Even(bytes.Position + directoryLength);
        WriteNumber(bytes, entries.Count, big ? 8 : 2);
        foreach (Entry entry in entries)
        {
            WriteNumber(bytes, entry.Tag, 2);
            WriteNumber(bytes, entry.Type, 2);
            WriteNumber(bytes, entry.Count, inline);
            if (entry.Bytes.Length <= inline)
            {
                bytes.Write(entry.Bytes);
                bytes.Write(new byte[inline - entry.Bytes.Length]);
            }
            else
            {
                WriteNumber(bytes, values, inline);
                values = Even(values + entry.Bytes.Length);
            }
        }

        WriteNumber(bytes, last ? 0 : values, inline);
        foreach (Entry entry in entries.Where(entry => entry.Bytes.Length > inline))
        {
            Align(bytes);
            bytes.Write(entry.Bytes);
        }

        Align(bytes);
    }

    private List<Entry> EntriesOf(PyramidLevel level, int index, long[] offsets, int[] sizes)
    {
        int bands = label.Bands.Count;
        List<Entry> entries =
        [
            Numbers(254, Long, index == 0 ? 0 : 1),
            Numbers(256, Long, level.Columns),
            Numbers(257, Long, level.Rows),
            Numbers(258, Short, Enumerable.Repeat(8L * SampleTypes.BytesOf(type), bands)),
            Numbers(259, Short, CompressionOf(layout.Codec)),
            Numbers(262, Short, 1),
            Numbers(277, Short, bands),
            Numbers(284, Short, layout.PixelInterleaved || bands == 1 ? 1 : 2),
            Numbers(322, Short, level.TileSize),
            Numbers(323, Short, level.TileSize),
            Numbers(324, big ? Long8 : Long, offsets),
            Numbers(325, Long, sizes.Select(size => (long)size)),
            Numbers(339, Short, Enumerable.Repeat((long)SampleTypes.TiffFormatOf(type), bands)),
        ];
        if (predictor != 1)
        {
            entries.Add(Numbers(317, Short, predictor));
        }

        if (bands > 1)
        {
            entries.Add(Numbers(338, Short, Enumerable.Repeat(0L, bands - 1)));
        }

        if (index == 0)
        {
            double size = label.Grid.CellSizeMetres;
            entries.Add(Reals(33550, size, size, 0));
            entries.Add(Reals(33922, 0, 0, 0, label.Grid.WestMetres, label.Grid.NorthMetres, 0));
            entries.Add(
                Numbers(
                    34735,
                    Short,
                    GeoKeys.DirectoryOf(label.Grid.ReferenceSystem, label.Heights).Select(word => (long)word)
                )
            );
            if (RasterMetadata.Write(label) is { } xml)
            {
                entries.Add(Text(42112, xml));
            }
        }

        if (NoDataText() is { } noData)
        {
            entries.Add(Text(42113, noData));
        }

        entries.Sort((one, other) => one.Tag.CompareTo(other.Tag));
        return entries;
    }

    private string? NoDataText() =>
        label.NoData is { } value && !double.IsNaN(value) ? value.ToString("R", CultureInfo.InvariantCulture)
        : SampleTypes.IsFloatingPoint(type) ? "nan"
        : null;

    private static int CompressionOf(RasterCodec codec) =>
        codec switch
        {
            RasterCodec.None => 1,
            _ => 8,
        };

    private static Entry Numbers(int tag, int fieldType, params IEnumerable<long> values)
    {
        int size = fieldType switch
        {
            Short => 2,
            Long => 4,
            _ => 8,
        };
        long[] all = [.. values];
        byte[] bytes = new byte[checked(all.Length * size)];
        for (int i = 0; i < all.Length; i++)
        {
            Span<byte> one = bytes.AsSpan(i * size, size);
            switch (size)
            {
                case 2:
                    BinaryPrimitives.WriteUInt16LittleEndian(one, checked((ushort)all[i]));
                    break;
                case 4:
                    BinaryPrimitives.WriteUInt32LittleEndian(one, checked((uint)all[i]));
                    break;
                default:
                    BinaryPrimitives.WriteInt64LittleEndian(one, all[i]);
                    break;
            }
        }

        return new Entry(tag, fieldType, all.Length, bytes);
    }

    private static Entry Reals(int tag, params ReadOnlySpan<double> values) =>
        new(tag, Double, values.Length, MemoryMarshal.AsBytes(values).ToArray());

    private static Entry Text(int tag, string text)
    {
        byte[] bytes = [.. Encoding.UTF8.GetBytes(text), 0];
        return new Entry(tag, Ascii, bytes.Length, bytes);
    }

    private static void WriteNumber(MemoryStream bytes, long value, int size)
    {
        Span<byte> little = stackalloc byte[8];
        BinaryPrimitives.WriteInt64LittleEndian(little, value);
        bytes.Write(little[..size]);
    }

    private static void Align(MemoryStream bytes)
    {
        if (bytes.Position % 2 != 0)
        {
            bytes.WriteByte(0);
        }
    }

    private static long Even(long position) => position + (position % 2);

    private sealed record Entry(int Tag, int Type, int Count, byte[] Bytes);
}
