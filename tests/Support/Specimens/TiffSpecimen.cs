using System.Buffers.Binary;
using System.Text;

namespace Hillrow.TestSupport;

/// <summary>
/// Writes TIFF and BigTIFF files for tests: any tags, sub-directories, pages and pixel blocks, either byte order.
/// Deliberately plain, and deliberately able to write what no good writer would.
/// </summary>
public sealed class TiffSpecimen(bool bigEndian, bool bigTiff)
{
    private readonly MemoryStream bytes = new();

    public bool BigEndian { get; } = bigEndian;

    public bool BigTiff { get; } = bigTiff;

    public List<SpecimenDirectory> Pages { get; } = [];

    private int OffsetSize => BigTiff ? 8 : 4;

    public SpecimenDirectory AddPage()
    {
        SpecimenDirectory page = new();
        Pages.Add(page);
        return page;
    }

    public byte[] ToBytes()
    {
        bytes.SetLength(0);
        bytes.Write(BigEndian ? "MM"u8 : "II"u8);
        Put(2, BigTiff ? 43UL : 42UL);
        if (BigTiff)
        {
            Put(2, 8);
            Put(2, 0);
        }

        long link = bytes.Position;
        Put(OffsetSize, 0);
        foreach (SpecimenDirectory page in Pages)
        {
            (long offset, long next) = Write(page);
            Patch(link, offset);
            link = next;
        }

        return bytes.ToArray();
    }

    /// <summary>Writes a whole number in the file's byte order.</summary>
    public byte[] Number(int size, ulong value)
    {
        byte[] all = new byte[8];
        if (BigEndian)
        {
            BinaryPrimitives.WriteUInt64BigEndian(all, value);
            return all[(8 - size)..];
        }

        BinaryPrimitives.WriteUInt64LittleEndian(all, value);
        return all[..size];
    }

    private (long Offset, long NextLink) Write(SpecimenDirectory directory)
    {
        List<(int Tag, int Type, ulong Count, byte[] Value)> rows = [];
        if (directory.Blocks.Count > 0)
        {
            ulong[] places = new ulong[directory.Blocks.Count];
            for (int i = 0; i < places.Length; i++)
            {
                Align();
                places[i] = (ulong)bytes.Position;
                bytes.Write(directory.Blocks[i]);
            }

            int type = BigTiff ? 16 : 4;
            rows.Add((directory.Tiled ? 324 : 273, type, (ulong)places.Length, Join(places, OffsetSize)));
            ulong[] sizes = [.. directory.Blocks.Select(block => (ulong)block.Length)];
            rows.Add((directory.Tiled ? 325 : 279, type, (ulong)sizes.Length, Join(sizes, OffsetSize)));
        }

        foreach (SpecimenEntry entry in directory.Entries)
        {
            if (entry.Child is { } child)
            {
                rows.Add((entry.Tag, 4, 1, Number(4, (ulong)Write(child).Offset)));
            }
            else
            {
                rows.Add((entry.Tag, entry.Type, entry.Count, entry.Value(this)));
            }
        }

        rows = [.. rows.OrderBy(row => row.Tag)];
        byte[][] fields = new byte[rows.Count][];
        for (int i = 0; i < rows.Count; i++)
        {
            byte[] value = rows[i].Value;
            if (value.Length <= OffsetSize)
            {
                fields[i] = [.. value, .. new byte[OffsetSize - value.Length]];
            }
            else
            {
                Align();
                fields[i] = Number(OffsetSize, (ulong)bytes.Position);
                bytes.Write(value);
            }
        }

        Align();
        long offset = bytes.Position;
        Put(BigTiff ? 8 : 2, (ulong)rows.Count);
        for (int i = 0; i < rows.Count; i++)
        {
            Put(2, (ulong)rows[i].Tag);
            Put(2, (ulong)rows[i].Type);
            Put(OffsetSize, rows[i].Count);
            bytes.Write(fields[i]);
        }

        long link = bytes.Position;
        Put(OffsetSize, 0);
        return (offset, link);
    }

    private byte[] Join(ulong[] values, int size) => [.. values.SelectMany(value => Number(size, value))];

    private void Align()
    {
        if (bytes.Position % 2 == 1)
        {
            bytes.WriteByte(0);
        }
    }

    private void Put(int size, ulong value) => bytes.Write(Number(size, value));

    private void Patch(long position, long value)
    {
        long end = bytes.Position;
        bytes.Position = position;
        Put(OffsetSize, (ulong)value);
        bytes.Position = end;
    }
}

/// <summary>One value of a specimen's directory; its bytes are made when the byte order is known.</summary>
public sealed record SpecimenEntry(
    int Tag,
    int Type,
    ulong Count,
    Func<TiffSpecimen, byte[]> Value,
    SpecimenDirectory? Child = null
);

/// <summary>A directory being put together; tags are sorted on writing.</summary>
public sealed class SpecimenDirectory
{
    public List<SpecimenEntry> Entries { get; } = [];

    /// <summary>Strips or tiles, already compressed, in the file's byte order.</summary>
    public List<byte[]> Blocks { get; } = [];

    public bool Tiled { get; set; }

    public SpecimenDirectory Bytes(int tag, int type, params byte[] value) => Add(tag, type, value.Length, _ => value);

    public SpecimenDirectory Text(int tag, string value)
    {
        byte[] text = [.. Encoding.UTF8.GetBytes(value), 0];
        return Add(tag, 2, text.Length, _ => text);
    }

    public SpecimenDirectory Short(int tag, params int[] values) => Whole(tag, 3, 2, values.Select(v => (long)v));

    public SpecimenDirectory Long(int tag, params long[] values) => Whole(tag, 4, 4, values);

    public SpecimenDirectory SignedLong(int tag, params long[] values) => Whole(tag, 9, 4, values);

    public SpecimenDirectory Long8(int tag, params long[] values) => Whole(tag, 16, 8, values);

    public SpecimenDirectory Whole(int tag, int type, int size, IEnumerable<long> values)
    {
        long[] all = [.. values];
        return Add(tag, type, all.Length, file => [.. all.SelectMany(v => file.Number(size, unchecked((ulong)v)))]);
    }

    public SpecimenDirectory Rational(int tag, params (long Top, long Bottom)[] values) => Fraction(tag, 5, values);

    public SpecimenDirectory SignedRational(int tag, params (long Top, long Bottom)[] values) =>
        Fraction(tag, 10, values);

    public SpecimenDirectory Float(int tag, params float[] values) =>
        Add(
            tag,
            11,
            values.Length,
            file => [.. values.SelectMany(v => file.Number(4, BitConverter.SingleToUInt32Bits(v)))]
        );

    public SpecimenDirectory Double(int tag, params double[] values) =>
        Add(
            tag,
            12,
            values.Length,
            file => [.. values.SelectMany(v => file.Number(8, BitConverter.DoubleToUInt64Bits(v)))]
        );

    public SpecimenDirectory Directory(int tag, SpecimenDirectory child)
    {
        Entries.Add(new SpecimenEntry(tag, 4, 1, _ => [], child));
        return this;
    }

    private SpecimenDirectory Fraction(int tag, int type, (long Top, long Bottom)[] values) =>
        Add(
            tag,
            type,
            values.Length,
            file =>
                [
                    .. values.SelectMany(v =>
                        file.Number(4, unchecked((ulong)v.Top)).Concat(file.Number(4, unchecked((ulong)v.Bottom)))
                    ),
                ]
        );

    private SpecimenDirectory Add(int tag, int type, int count, Func<TiffSpecimen, byte[]> value)
    {
        Entries.Add(new SpecimenEntry(tag, type, (ulong)count, value));
        return this;
    }
}
