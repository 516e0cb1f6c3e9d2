using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Words for the bands of a map that is brought.</summary>
internal static class BandWords
{
    private const int LongestWord = 40;

    /// <summary>Names that files give to bands, bare of spaces and hyphens, and our word for them.</summary>
    private static readonly Dictionary<string, string> Known = new(StringComparer.OrdinalIgnoreCase)
    {
        ["blue"] = "blue",
        ["green"] = "green",
        ["red"] = "red",
        ["rededge"] = "rededge",
        ["nir"] = "nir",
        ["nearinfrared"] = "nir",
        ["infrared"] = "nir",
        ["mask"] = BroughtBands.Mask,
        ["alpha"] = BroughtBands.Mask,
    };

    /// <summary>A word that can stand in survey.toml and name a band of our map.</summary>
    public static bool IsOne(string word) =>
        word == BroughtBands.LeftOut
        || (
            word.Length is > 0 and <= LongestWord
            && word.All(c => char.IsAsciiLetterLower(c) || char.IsAsciiDigit(c) || c == '_')
        );

    /// <summary>"red,green,blue,nir" as a person gives it.</summary>
    /// <exception cref="InputProblemException">A word that is none.</exception>
    public static IReadOnlyList<string> Parse(string text)
    {
        string[] words = [.. text.Split(',').Select(word => Plain(word.Trim()))];
        return Array.Find(words, word => !IsOne(word)) is { } wrong
            ? throw new InputProblemException(
                "--bands",
                $"\"{wrong}\" is no name for a band.",
                "Name every band in order, commas between: red,green,blue,nir; mask for an alpha band, - for one to leave out."
            )
            : words;
    }

    /// <summary>As the file names its bands itself.</summary>
    /// <exception cref="InputProblemException">The file does not name them.</exception>
    public static IReadOnlyList<string> Of(RasterFile file)
    {
        string[] words = [.. file.Bands.Select(band => Plain(band.Name))];
        return words.All(Known.ContainsValue) && words.Distinct(StringComparer.Ordinal).Count() == words.Length
            ? words
            : throw new InputProblemException(
                file.Name,
                $"does not say what its {file.BandCount} bands are ({string.Join(", ", file.Bands.Select(band => band.Name))}).",
                "Name every band in order with --bands: red,green,blue,nir; mask for an alpha band, - for one to leave out."
            );
    }

    private static string Plain(string word)
    {
        string bare = string.Concat(word.Where(char.IsLetterOrDigit));
        return Known.TryGetValue(bare, out string? known) ? known : word.ToLowerInvariant();
    }
}
