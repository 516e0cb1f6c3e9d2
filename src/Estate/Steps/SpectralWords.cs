using Hillrow.Imaging;

namespace Hillrow.Estate;

/// <summary>
/// The spectral words that stages ask bands by ("red", "nir"), found by wavelength: a camera profile may call its
/// bands anything.
/// </summary>
internal static class SpectralWords
{
    public const double RedNanometres = 660;

    private static readonly (string Word, double From, double To)[] Ranges =
    [
        ("blue", 440, 510),
        ("green", 520, 600),
        ("red", 620, 690),
        ("rededge", 695, 750),
        ("nir", 760, 950),
    ];

    /// <summary>A word for each band; a band outside all ranges, or second in one, keeps its own name.</summary>
    public static IReadOnlyList<string> Of(CameraProfile profile, IReadOnlyList<string> bands)
    {
        List<string> words = [];
        foreach (string band in bands)
        {
            double centre = profile.Band(band).CentreNanometres;
            string word = Ranges.FirstOrDefault(range => centre >= range.From && centre <= range.To).Word ?? band;
            words.Add(words.Contains(word) ? band : word);
        }

        return words;
    }
}
