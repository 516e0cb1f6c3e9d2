using System.Diagnostics;
using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;
using Hillrow.TestSupport;

namespace Hillrow.Imaging.Checks;

/// <summary>Compares every property with what exiftool (an independent reader, Debian) finds in the same files.</summary>
public static partial class ExiftoolChecks
{
    // exiftool prints singles to about 7 and doubles to about 15 digits.
    private const double RelativeReal = 1e-6;

    /// <summary>False when exiftool is not installed: then there is nothing to compare with.</summary>
    public static bool IsThere
    {
        get
        {
            try
            {
                return Run(["-ver"]).Length > 0;
            }
            catch (System.ComponentModel.Win32Exception)
            {
                return false;
            }
        }
    }

    /// <summary>Writes the specimens of a seed, and files whose tags exiftool itself wrote, and compares all fields.</summary>
    public static CheckTally Compare(int seed, string folder)
    {
        List<string> files = [];
        foreach (MetadataSpecimen specimen in MetadataSpecimens.All(seed))
        {
            string path = Path.Combine(folder, specimen.Name);
            File.WriteAllBytes(path, specimen.Bytes);
            files.Add(path);
        }

        files.AddRange(WrittenByExiftool(folder));
        CheckTally tally = new();
        string output = Run(["-v2", .. files]);
        string[] parts = output.Split("======== ");
        foreach (string part in parts.Skip(1))
        {
            string path = part[..part.IndexOf('\n', StringComparison.Ordinal)].Trim();
            Compare(path, part, tally);
        }

        tally.IsTrue(
            "all files",
            $"exiftool told of {parts.Length - 1} of {files.Count} files",
            parts.Length - 1 == files.Count
        );
        return tally;
    }

    private static IEnumerable<string> WrittenByExiftool(string folder)
    {
        TiffSpecimen plain = new(true, false);
        plain.AddPage().Pixels(plain, 4, 4, 1, new PixelCoding(), (row, column, _) => row * column);
        (string Name, byte[] Bytes)[] files =
        [
            ("written.tif", plain.ToBytes()),
            ("written.jpg", JpegSpecimen.Grey()),
            ("written-colours.jpg", JpegSpecimen.ProgressiveColours()),
        ];
        foreach ((string name, byte[] bytes) in files)
        {
            string path = Path.Combine(folder, name);
            File.WriteAllBytes(path, bytes);
            Run([
                "-q",
                "-overwrite_original",
                "-IFD0:Make=Invented",
                "-IFD0:Model=Terrace 5",
                "-IFD0:ImageDescription=upper terrace",
                "-ExifIFD:ExposureTime=1/320",
                "-ExifIFD:FNumber=2.8",
                "-ExifIFD:ISO=200",
                "-ExifIFD:DateTimeOriginal=2026:03:14 09:26:53",
                "-ExifIFD:SubSecTimeOriginal=125",
                "-ExifIFD:OffsetTimeOriginal=-05:00",
                "-ExifIFD:FocalLength=5.5",
                "-ExifIFD:SerialNumber=HR-0042",
                "-ExifIFD:LensInfo=5.5 5.5 2.8 2.8",
                "-GPS:GPSLatitude=11.51253333",
                "-GPS:GPSLatitudeRef=S",
                "-GPS:GPSLongitude=75.2083611",
                "-GPS:GPSLongitudeRef=W",
                "-GPS:GPSAltitude=1500.45",
                "-GPS:GPSAltitudeRef=0",
                "-GPS:GPSTimeStamp=14:26:53.125",
                "-GPS:GPSDateStamp=2026:03:14",
                "-XMP-dc:Subject=panel",
                "-XMP-dc:Subject=before",
                "-XMP-dc:Title=Red band",
                "-XMP-xmp:CreateDate=2026:03:14 09:26:53.125-05:00",
                "-XMP-exif:ExposureTime=1/320",
                "-XMP-exif:GPSLatitude=-11.51253333",
                "-XMP-tiff:Make=Invented",
                path,
            ]);
            yield return path;
        }
    }

    private static void Compare(string path, string verbose, CheckTally tally)
    {
        string file = Path.GetFileName(path);
        PropertyBag bag = PropertyBag.Read(path);
        tally.IsTrue(file, $"complains: {string.Join("; ", bag.Complaints)}", bag.Complaints.Count == 0);
        Dictionary<PropertyKey, int> seen = [];
        foreach (ToldField field in Fields(verbose))
        {
            string id = $"{file} {field.Key}";
            int index = field.Item >= 0 ? field.Item : 0;
            seen[field.Key] = Math.Max(seen.GetValueOrDefault(field.Key), index + 1);
            if (bag.Find(field.Key) is not { } value)
            {
                tally.IsTrue(id, $"missing, exiftool has \"{field.Text}\"", false);
            }
            else
            {
                string? fault = Fault(field, value, index);
                tally.IsTrue(id, $"exiftool has \"{field.Text}\", we {fault}", fault is null);
            }
        }

        foreach ((PropertyKey key, PropertyValue value) in bag.Properties)
        {
            // Languages of texts are part of exiftool's tag names, not of its values.
            if (!key.Path.EndsWith("/@lang", StringComparison.Ordinal))
            {
                bool told = seen.TryGetValue(key, out int items);
                bool all = told && (key.Source != PropertySource.Xmp || items == value.Count);
                tally.IsTrue($"{file} {key}", $"we have {value.Count} values, exiftool {items}", all);
            }
        }
    }

    private static string? Fault(ToldField field, PropertyValue value, int index)
    {
        if (field.Key.Source == PropertySource.Xmp)
        {
            string got = index < value.Count ? AsPrinted(value.Text(index)) : "(no such item)";
            return got == field.Text ? null : $"\"{got}\"";
        }

        string[] words = field.Text.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        switch (value.Form)
        {
            case PropertyForm.Integers:
                string whole = string.Join(' ', value.Integers);
                return whole == field.Text ? null : whole;
            case PropertyForm.Rationals:
                int bracket = field.Text.IndexOf('(', StringComparison.Ordinal);
                string rationals = string.Join(' ', value.Rationals);
                // exiftool shows the fractions of classic files, but only the quotients of BigTIFF.
                return bracket >= 0
                    ? (rationals == field.Text[(bracket + 1)..].TrimEnd(')') ? null : rationals)
                    : (AreNear(words, value) ? null : rationals);
            case PropertyForm.Reals:
                return AreNear(words, value) ? null : value.ToString();
            case PropertyForm.Texts:
                return value.Text(0) == field.Text ? null : $"\"{value.Text(0)}\"";
            default:
                string bytes = field.ReadAsNumbers
                    ? string.Join(' ', value.Bytes.ToArray())
                    : string.Concat(
                        value.Bytes.ToArray().Where(code => code is >= 32 and < 127).Select(code => (char)code)
                    );
                return bytes == field.Text ? null : bytes;
        }
    }

    private static bool AreNear(string[] words, PropertyValue value)
    {
        bool near = words.Length == value.Count;
        for (int i = 0; near && i < words.Length; i++)
        {
            // "undef" and "inf" are fractions with a denominator of 0.
            bool isNumber = double.TryParse(words[i], CultureInfo.InvariantCulture, out double told);
            near = value.Number(i) is { } got
                ? isNumber && Math.Abs(told - got) <= RelativeReal * Math.Abs(told)
                : !isNumber || !double.IsFinite(told);
        }

        return near;
    }

    /// <summary>exiftool's verbose form shows each byte beyond ASCII as a point.</summary>
    private static string AsPrinted(string text) =>
        string.Concat(Encoding.UTF8.GetBytes(text).Select(code => code is >= 32 and < 127 ? (char)code : '.'));

    private static IEnumerable<ToldField> Fields(string verbose)
    {
        Dictionary<int, string> directories = [];
        (string Text, int Column)? pending = null;
        foreach (string line in verbose.Split('\n'))
        {
            Match directory = DirectoryLine().Match(line);
            if (directory.Success)
            {
                directories[directory.Groups[1].Length] = directory.Groups[2].Value;
                continue;
            }

            Match tag = TagLine().Match(line);
            if (tag.Success && pending is { } value)
            {
                pending = null;
                if (
                    directories.TryGetValue(value.Column, out string? table)
                    && Field(table, tag, value.Text) is { } field
                )
                {
                    yield return field;
                }

                continue;
            }

            Match entry = EntryLine().Match(line);
            if (entry.Success)
            {
                pending = (entry.Groups[2].Value, entry.Groups[1].Value.LastIndexOf('|'));
            }
            else if (line.Contains("(SubDirectory)", StringComparison.Ordinal))
            {
                pending = null;
            }
        }
    }

    private static ToldField? Field(string table, Match tag, string text)
    {
        if (table == "XMP")
        {
            return XmpField(tag.Groups[3].Value, text);
        }

        PropertySource? source = table switch
        {
            "IFD0" => PropertySource.Tiff,
            "ExifIFD" or "ExifOffset" => PropertySource.Exif,
            "GPS" or "GPSInfo" => PropertySource.Gps,
            _ => null,
        };
        return source is { } known
            ? new ToldField(
                new PropertyKey(known, Convert.ToInt32(tag.Groups[1].Value, 16), "", ""),
                -1,
                text,
                tag.Groups[2].Value.Contains("read as int8u", StringComparison.Ordinal)
            )
            : null;
    }

    private static ToldField? XmpField(string rdfPath, string text)
    {
        const string root = "rdf:RDF/rdf:Description/";
        int start = rdfPath.IndexOf(root, StringComparison.Ordinal);
        if (start < 0)
        {
            return null;
        }

        string uri = "";
        StringBuilder path = new();
        int item = -1;
        foreach (string step in rdfPath[(start + root.Length)..].Split('/'))
        {
            if (step is "rdf:Seq" or "rdf:Bag" or "rdf:Alt" or "rdf:Description" or "rdf:value")
            {
                continue;
            }

            if (item >= 0)
            {
                path.Append(CultureInfo.InvariantCulture, $"[{item + 1}]");
                item = -1;
            }

            if (step.StartsWith("rdf:li ", StringComparison.Ordinal))
            {
                // exiftool puts the number of digits before the index, so that text sorts like numbers.
                item = int.Parse(step[8..], CultureInfo.InvariantCulture);
                continue;
            }

            string[] name = step.Split(':');
            uri = path.Length == 0 ? MetadataSpecimens.Namespaces.GetValueOrDefault(name[0], name[0]) : uri;
            path.Append(path.Length == 0 ? "" : "/").Append(name[1]);
        }

        return new ToldField(PropertyKey.Xmp(uri, path.ToString()), item, text, false);
    }

    private static string Run(IEnumerable<string> arguments)
    {
        ProcessStartInfo start = new("exiftool", arguments)
        {
            UseShellExecute = false,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            StandardOutputEncoding = Encoding.UTF8,
        };
        using Process process = Process.Start(start) ?? throw new InvalidOperationException("exiftool does not start.");
        Task<string> errors = process.StandardError.ReadToEndAsync();
        string output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return process.ExitCode == 0
            ? output
            : throw new InvalidOperationException($"exiftool: {errors.GetAwaiter().GetResult()} {output}");
    }

    [GeneratedRegex(@"^([ |]*)\+ \[(\w+) directory")]
    private static partial Regex DirectoryLine();

    [GeneratedRegex(@"^([ |]*)(?:\d+\)\s+)?[\w-]+ = (.*)$")]
    private static partial Regex EntryLine();

    [GeneratedRegex(@"^[ |]*- Tag (?:(0x[0-9a-f]+) \((.*)\)|'(.*)')$")]
    private static partial Regex TagLine();

    /// <summary>One field as exiftool tells it.</summary>
    private sealed record ToldField(PropertyKey Key, int Item, string Text, bool ReadAsNumbers);
}
