using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;

namespace Hillrow.Sheets;

/// <summary>
/// Takes what is drawn at random out of a PDF (the tags of embedded faces, document ids), so that the same content gives
/// the same bytes. Everything keeps its length, so no offset of the file moves.
/// </summary>
public static partial class SteadyPdf
{
    private const int Matching = 2000;

    public static byte[] Of(byte[] file)
    {
        // One byte is one character: lengths and binary parts stay as they are.
        string text = Encoding.Latin1.GetString(file);
        Dictionary<string, string> faces = [];
        text = FaceTag()
            .Replace(
                text,
                match =>
                {
                    string tag = match.Groups["tag"].Value;
                    if (!faces.TryGetValue(tag, out string? steady))
                    {
                        faces[tag] = steady = "HILRO" + (char)('A' + faces.Count);
                    }

                    return "/" + steady + "+Open";
                }
            );
        text = Uuid().Replace(text, _ => "uuid:00000000-0000-0000-0000-000000000000");
        text = Id().Replace(text, match => "/ID[<" + new string('0', 32) + "><" + new string('0', 32) + ">]");
        byte[] blank = Encoding.Latin1.GetBytes(text);
        string digest = Convert.ToHexString(SHA256.HashData(blank))[..32];
        string named = string.Create(
                CultureInfo.InvariantCulture,
                $"{digest[..8]}-{digest[8..12]}-{digest[12..16]}-{digest[16..20]}-{digest[20..32]}"
            )
            .ToLowerInvariant();
        text = text.Replace("uuid:00000000-0000-0000-0000-000000000000", "uuid:" + named, StringComparison.Ordinal);
        text = Id().Replace(text, _ => $"/ID[<{digest}><{digest}>]");
        return Encoding.Latin1.GetBytes(text);
    }

    [GeneratedRegex(@"/(?<tag>[A-Z]{6})\+Open", RegexOptions.ExplicitCapture, Matching)]
    private static partial Regex FaceTag();

    [GeneratedRegex("uuid:[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}", RegexOptions.None, Matching)]
    private static partial Regex Uuid();

    [GeneratedRegex(@"/ID\[<[0-9A-F]{32}><[0-9A-F]{32}>\]", RegexOptions.None, Matching)]
    private static partial Regex Id();
}
