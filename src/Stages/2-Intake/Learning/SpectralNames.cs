namespace Hillrow.Intake;

/// <summary>Ordinary names of bands, and the middle of the light they usually mean (common practice, no source).</summary>
internal static class SpectralNames
{
    private static readonly (string Words, double Nanometres, double Width)[] Known =
    [
        ("blue blu b azul blau bleu", 475, 30),
        ("green grn g verde grun gruen vert", 560, 25),
        ("red r rojo vermelho rot rouge", 668, 15),
        ("rededge redge re edge reg rede bordorojo", 717, 12),
        ("nir infrared nearinfrared n ir nearir infrarrojo", 840, 50),
        ("thermal lwir tir heat", 10500, 5000),
        ("coastal violet", 444, 28),
        ("cyan", 500, 25),
        ("yellow amarillo", 590, 25),
    ];

    /// <summary>Middle and width that a name usually means; null for other names.</summary>
    public static (double Nanometres, double Width)? Usual(string name)
    {
        string plain = string.Concat(name.ToLowerInvariant().Where(char.IsLetterOrDigit));
        foreach ((string words, double nanometres, double width) in Known)
        {
            if (words.Split(' ').Contains(plain))
            {
                return (nanometres, width);
            }
        }

        return null;
    }

    public static string Of(double nanometres) =>
        nanometres switch
        {
            < 500 => "blue",
            < 600 => "green",
            < 695 => "red",
            < 750 => "red edge",
            < 1400 => "nir",
            < 6000 => "short-wave infrared",
            _ => "thermal",
        };
}
