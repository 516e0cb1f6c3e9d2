using System.Globalization;

namespace Hillrow.Imaging;

/// <summary>Reads numbers from text in the forms that cameras write.</summary>
public static class NumberText
{
    /// <summary>A decimal ("0.004", "4e-3") or a fraction ("1/250", also of decimals); null when it is neither.</summary>
    public static double? Parse(ReadOnlySpan<char> text)
    {
        text = text.Trim();
        int slash = text.IndexOf('/');
        if (slash < 0)
        {
            return Decimal(text);
        }

        double? top = Decimal(text[..slash].Trim());
        double? bottom = Decimal(text[(slash + 1)..].Trim());
        return bottom is null or 0 ? null : top / bottom;
    }

    /// <summary>
    /// An angle as degrees, minutes, seconds, in any of the usual ways: "11,30.752S" (XMP), "11 30 45.12",
    /// "11° 30' 45.12\" S", "11:30:45.12", "-11.5125". A letter S or W turns the sign. Null when it is none of these.
    /// </summary>
    public static double? ParseSexagesimal(ReadOnlySpan<char> text)
    {
        double sign = 1;
        double sum = 0;
        double unit = 1;
        int parts = 0;
        bool lettered = false;
        text = text.Trim();
        for (int i = 0; i < text.Length; )
        {
            char letter = char.ToUpperInvariant(text[i]);
            if (char.IsAsciiDigit(letter) || letter is '.' || (parts == 0 && letter is '-' or '+'))
            {
                int start = i++;
                while (i < text.Length && (char.IsAsciiDigit(text[i]) || text[i] is '.' or '/'))
                {
                    i++;
                }

                ReadOnlySpan<char> part = text[start..i];
                if (part[0] is '-' or '+')
                {
                    sign = part[0] == '-' ? -sign : sign;
                    part = part[1..];
                }

                if (parts == 3 || Parse(part) is not { } value || value < 0)
                {
                    return null;
                }

                sum += value * unit;
                unit /= 60;
                parts++;
                continue;
            }

            i++;
            if (letter is 'N' or 'S' or 'E' or 'W')
            {
                if (lettered)
                {
                    return null;
                }

                lettered = true;
                sign = letter is 'S' or 'W' ? -sign : sign;
            }
            else if (
                !char.IsWhiteSpace(letter)
                && letter is not (',' or ':' or ';' or '°' or 'º' or '\'' or '"' or '′' or '″' or '’' or '”' or 'D')
            )
            {
                return null;
            }
        }

        return parts == 0 ? null : sign * sum;
    }

    private static double? Decimal(ReadOnlySpan<char> text) =>
        double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
        && double.IsFinite(value)
            ? value
            : null;
}
