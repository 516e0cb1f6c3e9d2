using System.Buffers.Binary;
using System.Text;

namespace Hillrow.Estate;

/// <summary>Reads the attribute table beside a shapefile (dBASE III and its kin): all values as text.</summary>
public static class DbfTable
{
    private const int FieldBytes = 32;
    private const byte EndOfFields = 0x0D;
    private const int MostFields = 255;

    /// <exception cref="Hillrow.Numerics.InputProblemException">Damaged or cut short.</exception>
    public static IReadOnlyList<IReadOnlyDictionary<string, string>> Read(byte[] bytes, string path)
    {
        try
        {
            return ReadTable(bytes, TextEncoding(path));
        }
        catch (InvalidDataException fault)
        {
            throw BoundaryFile.Damaged(path, fault.Message, fault);
        }
    }

    private static List<IReadOnlyDictionary<string, string>> ReadTable(ReadOnlySpan<byte> bytes, Encoding encoding)
    {
        if (bytes.Length < FieldBytes + 1)
        {
            throw new InvalidDataException("it is too short for a table");
        }

        uint records = BinaryPrimitives.ReadUInt32LittleEndian(bytes[4..]);
        int header = BinaryPrimitives.ReadUInt16LittleEndian(bytes[8..]);
        int recordBytes = BinaryPrimitives.ReadUInt16LittleEndian(bytes[10..]);
        if (header > bytes.Length || recordBytes == 0 || records > (bytes.Length - header) / recordBytes)
        {
            throw new InvalidDataException($"it promises {records} rows and is cut short");
        }

        List<(string Name, int At, int Length)> fields = [];
        int offset = 1;
        for (int at = FieldBytes; at + FieldBytes <= header && bytes[at] != EndOfFields; at += FieldBytes)
        {
            ReadOnlySpan<byte> name = bytes.Slice(at, 11);
            int end = name.IndexOf((byte)0);
            int length = bytes[at + 16];
            if (fields.Count == MostFields || offset + length > recordBytes)
            {
                throw new InvalidDataException("its columns do not fit its rows");
            }

            fields.Add((encoding.GetString(end < 0 ? name : name[..end]).Trim(), offset, length));
            offset += length;
        }

        List<IReadOnlyDictionary<string, string>> rows = [];
        for (int row = 0; row < Math.Min(records, BoundaryLimits.Features); row++)
        {
            ReadOnlySpan<byte> record = bytes.Slice(header + (row * recordBytes), recordBytes);
            Dictionary<string, string> values = new(StringComparer.OrdinalIgnoreCase);
            foreach ((string name, int at, int length) in fields)
            {
                string value = encoding.GetString(record.Slice(at, length)).Trim('\0', ' ');
                if (value.Length > 0 && name.Length > 0)
                {
                    values[name] = value;
                }
            }

            rows.Add(values);
        }

        return rows;
    }

    /// <summary>A .cpg file that names UTF-8 is believed; anything else is read as Latin-1, which reads any byte.</summary>
    private static Encoding TextEncoding(string path)
    {
        string cpg = Path.ChangeExtension(path, ".cpg");
        bool utf8 =
            File.Exists(cpg)
            && new FileInfo(cpg).Length < 100
            && File.ReadAllText(cpg).Contains("UTF", StringComparison.OrdinalIgnoreCase);
        return utf8 ? Encoding.UTF8 : Encoding.Latin1;
    }
}
