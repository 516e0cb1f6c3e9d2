using System.Buffers.Binary;
using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;

namespace Hillrow.Validation.Intake;

/// <summary>Changes one file of a rehearsed card: pixels, XMP, times, latitude; byte by byte, with no reader of ours.</summary>
/// <remarks>Only what the rehearsal's cards are: classic TIFF, one uncompressed strip a page, 16-bit samples.</remarks>
internal sealed partial class CardFileEdit
{
    private readonly string path;
    private readonly bool big;
    private byte[] bytes;

    private CardFileEdit(string path)
    {
        this.path = path;
        bytes = File.ReadAllBytes(path);
        big = bytes[0] == 'M';
    }

    public static void Do(string path, Action<CardFileEdit> change)
    {
        CardFileEdit edit = new(path);
        change(edit);
        // A new file: the old one may be a link to the card that was flown.
        File.Delete(path);
        File.WriteAllBytes(path, edit.bytes);
    }

    public int Pages => Directories().Count();

    /// <summary>Changes a page's counts; rows × columns, 12 bit.</summary>
    /// <param name="page">0 is the first.</param>
    /// <param name="shift">Bits that counts stand higher in the samples.</param>
    /// <param name="change">Counts, columns.</param>
    public void Counts(int page, int shift, Action<int[], int> change)
    {
        uint at = Directories().ElementAt(page);
        int offset = (int)Value(at, 273)!.Value;
        int length = (int)Value(at, 279)!.Value / 2;
        int columns = (int)Value(at, 256)!.Value;
        int[] counts = new int[length];
        for (int sample = 0; sample < length; sample++)
        {
            counts[sample] = Get16(offset + (2 * sample)) >> shift;
        }

        change(counts, columns);
        for (int sample = 0; sample < length; sample++)
        {
            Put16(offset + (2 * sample), (ushort)(Math.Clamp(counts[sample], 0, 4095) << shift));
        }
    }

    /// <summary>Changes a page's XMP; the new packet goes to the file's end.</summary>
    public void Xmp(int page, Func<string, string> change)
    {
        int entry = EntryOf(Directories().ElementAt(page), 700)!.Value;
        int count = (int)Get32(entry + 4);
        int offset = (int)Get32(entry + 8);
        byte[] packet = Encoding.UTF8.GetBytes(change(Encoding.UTF8.GetString(bytes, offset, count)));
        Put32(entry + 4, (uint)packet.Length);
        Put32(entry + 8, (uint)bytes.Length);
        bytes = [.. bytes, .. packet];
    }

    /// <summary>The camera's own clock, wherever it stands; the receiver's is left alone.</summary>
    public void ShiftClock(TimeSpan by)
    {
        for (int page = 0; page < Pages; page++)
        {
            Xmp(
                page,
                text =>
                    Instant()
                        .Replace(
                            text,
                            found =>
                                (
                                    long.Parse(found.Value, CultureInfo.InvariantCulture) + (long)by.TotalMilliseconds
                                ).ToString(CultureInfo.InvariantCulture)
                        )
            );
        }

        // EXIF times are text of one length.
        int head = (int)Math.Min(bytes.Length, Value(Directories().First(), 273)!.Value);
        string start = Encoding.Latin1.GetString(bytes, 0, head);
        foreach (Match found in ExifTime().Matches(start))
        {
            DateTime time = DateTime.ParseExact(found.Value, "yyyy:MM:dd HH:mm:ss", CultureInfo.InvariantCulture);
            Encoding
                .Latin1.GetBytes((time + by).ToString("yyyy:MM:dd HH:mm:ss", CultureInfo.InvariantCulture))
                .CopyTo(bytes, found.Index);
        }
    }

    /// <summary>Latitude, farther from the equator.</summary>
    public void ShiftLatitude(double degrees)
    {
        for (int page = 0; page < Pages; page++)
        {
            uint at = Directories().ElementAt(page);
            Xmp(
                page,
                text =>
                    MinutesText()
                        .Replace(
                            WhereText()
                                .Replace(
                                    text,
                                    found =>
                                        found.Groups[1].Value
                                        + (Number(found.Groups[2].Value) - degrees).ToString(
                                            "0.000000000",
                                            CultureInfo.InvariantCulture
                                        )
                                ),
                            found =>
                                found.Groups[1].Value
                                + (Number(found.Groups[2].Value) + (60 * degrees)).ToString(
                                    "0.0000000",
                                    CultureInfo.InvariantCulture
                                )
                        )
            );
            if (Value(at, 34853) is { } gps && EntryOf(gps, 2) is { } latitude)
            {
                int place = (int)Get32(latitude + 8);
                // Seconds where they are told, else minutes.
                int at60 = Get32(place + 16) != 0 ? place + 16 : place + 8;
                double unit = at60 == place + 16 ? 3600 : 60;
                uint below = Get32(at60 + 4);
                Put32(at60, (uint)Math.Round(Get32(at60) + (degrees * unit * below)));
            }
        }
    }

    /// <summary>The first page alone, with its first rows; its pixels are the last thing in the file.</summary>
    public void CutTo(int rows)
    {
        uint at = Directories().First();
        int columns = (int)Value(at, 256)!.Value;
        int pixels = (int)Value(at, 273)!.Value;
        foreach (
            (int tag, uint value) in new[] { (257, (uint)rows), (278, (uint)rows), (279, (uint)(2 * rows * columns)) }
        )
        {
            Put32(EntryOf(at, tag)!.Value + 8, value);
        }

        Put32((int)at + 2 + (12 * Get16((int)at)), 0);
        bytes = bytes[..(pixels + (2 * rows * columns))];
    }

    /// <summary>The same number of letters.</summary>
    public void ReplaceText(string from, string to)
    {
        byte[] old = Encoding.Latin1.GetBytes(from);
        byte[] now = Encoding.Latin1.GetBytes(to);
        if (old.Length != now.Length)
        {
            throw new ArgumentException($"\"{from}\" and \"{to}\" differ in length.");
        }

        int at = 0;
        while (bytes.AsSpan(at).IndexOf(old) is >= 0 and int found)
        {
            now.CopyTo(bytes, at + found);
            at += found + now.Length;
        }
    }

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    private IEnumerable<uint> Directories()
    {
        uint at = Get32(4);
        while (at != 0)
        {
            yield return at;
            at = Get32((int)at + 2 + (12 * Get16((int)at)));
        }
    }

    private int? EntryOf(uint directory, int tag)
    {
        int count = Get16((int)directory);
        for (int index = 0; index < count; index++)
        {
            int entry = (int)directory + 2 + (12 * index);
            if (Get16(entry) == tag)
            {
                return entry;
            }
        }

        return null;
    }

    private uint? Value(uint directory, int tag) =>
        EntryOf(directory, tag) is { } entry
            ? Get16(entry + 2) == 3
                ? Get16(entry + 8)
                : Get32(entry + 8)
            : null;

    private ushort Get16(int at) =>
        big
            ? BinaryPrimitives.ReadUInt16BigEndian(bytes.AsSpan(at))
            : BinaryPrimitives.ReadUInt16LittleEndian(bytes.AsSpan(at));

    private uint Get32(int at) =>
        big
            ? BinaryPrimitives.ReadUInt32BigEndian(bytes.AsSpan(at))
            : BinaryPrimitives.ReadUInt32LittleEndian(bytes.AsSpan(at));

    private void Put16(int at, ushort value)
    {
        if (big)
        {
            BinaryPrimitives.WriteUInt16BigEndian(bytes.AsSpan(at), value);
        }
        else
        {
            BinaryPrimitives.WriteUInt16LittleEndian(bytes.AsSpan(at), value);
        }
    }

    private void Put32(int at, uint value)
    {
        if (big)
        {
            BinaryPrimitives.WriteUInt32BigEndian(bytes.AsSpan(at), value);
        }
        else
        {
            BinaryPrimitives.WriteUInt32LittleEndian(bytes.AsSpan(at), value);
        }
    }

    [GeneratedRegex(@"(?<=<cr:instant>)\d{13}(?=<)")]
    private static partial Regex Instant();

    [GeneratedRegex(@"\d{4}:\d{2}:\d{2} \d{2}:\d{2}:\d{2}")]
    private static partial Regex ExifTime();

    [GeneratedRegex(@"(<cr:where><rdf:Seq><rdf:li>)(-?\d+\.\d+)")]
    private static partial Regex WhereText();

    [GeneratedRegex(@"(<lm:Lat>\d+,)(\d+\.\d+)")]
    private static partial Regex MinutesText();
}
