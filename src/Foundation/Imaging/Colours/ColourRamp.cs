using System.Globalization;

namespace Hillrow.Imaging;

/// <summary>Colours from low to high, from published families that colour-blind readers can tell apart; straight lines between stops in sRGB.</summary>
/// <param name="Name">As published.</param>
/// <param name="Source">Who made it.</param>
/// <param name="Stops">Evenly spaced, #rrggbb.</param>
public sealed record ColourRamp(string Name, string Source, IReadOnlyList<string> Stops)
{
    /// <summary>Even steps of lightness, dark to light; for values that only grow.</summary>
    public static ColourRamp Viridis { get; } =
        new(
            "viridis",
            "S. van der Walt & N. Smith 2015, released as CC0; 9 of its colours, from memory",
            ["#440154", "#472d7b", "#3b528b", "#2c728e", "#21918c", "#28ae80", "#5ec962", "#addc30", "#fde725"]
        );

    /// <summary>As viridis, tuned to look alike with and without colour-vision deficiency.</summary>
    public static ColourRamp Cividis { get; } =
        new(
            "cividis",
            "J. R. Nuñez, C. R. Anderton & R. S. Renslow 2018, doi 10.1371/journal.pone.0199239; 10 of its colours, from memory",
            [
                "#00224e",
                "#123570",
                "#3b496c",
                "#575d6d",
                "#707173",
                "#8a8678",
                "#a59c74",
                "#c3b369",
                "#e1cc55",
                "#fee838",
            ]
        );

    /// <summary>Two-sided, red below and blue above a middle; for differences.</summary>
    public static ColourRamp RedYellowBlue { get; } =
        new(
            "RdYlBu",
            "C. Brewer, colorbrewer2.org, Apache licence 2.0; 9 classes, from memory",
            ["#d73027", "#f46d43", "#fdae61", "#fee090", "#ffffbf", "#e0f3f8", "#abd9e9", "#74add1", "#4575b4"]
        );

    /// <summary>Two-sided, brown below and blue-green above a middle; for change of vegetation.</summary>
    public static ColourRamp BrownBlueGreen { get; } =
        new(
            "BrBG",
            "C. Brewer, colorbrewer2.org, Apache licence 2.0; 9 classes, from memory",
            ["#8c510a", "#bf812d", "#dfc27d", "#f6e8c3", "#f5f5f5", "#c7eae5", "#80cdc1", "#35978f", "#01665e"]
        );

    /// <summary>Colour at a share of the way, 0 … 1; clamped outside.</summary>
    public (byte Red, byte Green, byte Blue) At(double share)
    {
        double place = Math.Clamp(share, 0, 1) * (Stops.Count - 1);
        int stop = Math.Min((int)place, Stops.Count - 2);
        double between = place - stop;
        return (Mix(1), Mix(3), Mix(5));

        byte Mix(int from)
        {
            int low = int.Parse(Stops[stop].AsSpan(from, 2), NumberStyles.HexNumber, CultureInfo.InvariantCulture);
            int high = int.Parse(Stops[stop + 1].AsSpan(from, 2), NumberStyles.HexNumber, CultureInfo.InvariantCulture);
            return (byte)Math.Round(low + ((high - low) * between));
        }
    }

    /// <summary>256 colours, red, green, blue side by side.</summary>
    public byte[] ToTable()
    {
        byte[] table = new byte[3 * 256];
        for (int at = 0; at < 256; at++)
        {
            (table[3 * at], table[(3 * at) + 1], table[(3 * at) + 2]) = At(at / 255.0);
        }

        return table;
    }
}
