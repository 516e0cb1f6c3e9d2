namespace Hillrow.Mapping;

/// <summary>A band that formulas may speak of.</summary>
/// <param name="Name">As in the camera profile, or in an index formula: blue, green, red, rededge, nir.</param>
/// <param name="CentreNanometres">Middle of the band; NaN when unknown.</param>
/// <param name="WidthNanometres">Full width at half maximum; NaN when unknown.</param>
public sealed record FormulaBand(string Name, double CentreNanometres = double.NaN, double WidthNanometres = double.NaN)
{
    /// <summary>Farthest a wavelength in a formula may lie from a band's middle.</summary>
    private const double FarthestNanometres = 30;

    /// <summary>The five usual bands, in rising wavelength; ranges of ANCHORS section k.</summary>
    private static readonly (string Name, double From, double To)[] UsualBands =
    [
        ("blue", 450, 495),
        ("green", 530, 570),
        ("red", 640, 680),
        ("rededge", 700, 740),
        ("nir", 770, 900),
    ];

    /// <summary>Position of the band that a word means, or −1: by its name (case, spaces and hyphens do not count), else by the range of wavelengths the word stands for.</summary>
    public static int Find(IReadOnlyList<FormulaBand> bands, string word)
    {
        ArgumentNullException.ThrowIfNull(bands);
        ArgumentNullException.ThrowIfNull(word);
        string wanted = Plain(word);
        for (int at = 0; at < bands.Count; at++)
        {
            if (Plain(bands[at].Name) == wanted)
            {
                return at;
            }
        }

        foreach ((string name, double from, double to) in UsualBands)
        {
            if (name == wanted)
            {
                return Nearest(bands, (from + to) / 2, (to - from) / 2);
            }
        }

        return -1;
    }

    /// <summary>Position of the band that holds a wavelength (within half its width, or 30 nm when the width is unknown), the nearest of several; or −1.</summary>
    internal static int FindWavelength(IReadOnlyList<FormulaBand> bands, double nanometres) =>
        Nearest(bands, nanometres, double.NaN);

    private static int Nearest(IReadOnlyList<FormulaBand> bands, double nanometres, double within)
    {
        int found = -1;
        double best = double.PositiveInfinity;
        for (int at = 0; at < bands.Count; at++)
        {
            FormulaBand band = bands[at];
            double limit =
                !double.IsNaN(within) ? within
                : double.IsNaN(band.WidthNanometres) ? FarthestNanometres
                : Math.Max(1, band.WidthNanometres / 2);
            double away = Math.Abs(band.CentreNanometres - nanometres);
            if (away <= limit && away < best)
            {
                best = away;
                found = at;
            }
        }

        return found;
    }

    private static string Plain(string name)
    {
        string plain = string.Concat(name.Where(char.IsLetterOrDigit)).ToLowerInvariant();
        return plain is "nearinfrared" ? "nir" : plain;
    }
}
