using System.Globalization;

namespace Hillrow.Imaging;

/// <summary>Reads dates, clocks and zone offsets in the forms that EXIF, GPS and XMP use.</summary>
internal static class TimeText
{
    /// <summary>"2026:03:14 09:26:53", "2026-03-14T09:26:53.25-05:00", "2026-03-14 09:26Z"; null when it is none.</summary>
    public static (DateTime Clock, TimeSpan? Offset, bool HasFraction)? Parse(string text)
    {
        ReadOnlySpan<char> rest = text.AsSpan().Trim();
        if (ParseDate(rest, out int used) is not { } date)
        {
            return null;
        }

        rest = rest[used..];
        if (rest.IsEmpty || rest[0] is not ('T' or 't' or ' '))
        {
            return null;
        }

        rest = rest[1..].TrimStart();
        int zoneAt = rest.IndexOfAny("Zz+-");
        TimeSpan? offset = null;
        if (zoneAt >= 0)
        {
            offset = ParseOffset(rest[zoneAt..]);
            if (offset is null)
            {
                return null;
            }

            rest = rest[..zoneAt];
        }

        return ParseClock(rest.TrimEnd()) is { } clock
            ? (date + clock, offset, rest.Contains('.') || rest.Contains(','))
            : null;
    }

    public static DateTime? ParseDate(string text) => ParseDate(text.AsSpan().Trim(), out _);

    /// <summary>"+02:00", "-0430", "Z", "+2".</summary>
    public static TimeSpan? ParseOffset(ReadOnlySpan<char> text)
    {
        text = text.Trim();
        if (text is "Z" or "z")
        {
            return TimeSpan.Zero;
        }

        if (text.Length < 2 || text[0] is not ('+' or '-'))
        {
            return null;
        }

        ReadOnlySpan<char> digits = text[1..];
        int colon = digits.IndexOf(':');
        ReadOnlySpan<char> hours =
            colon >= 0 ? digits[..colon]
            : digits.Length <= 2 ? digits
            : digits[..2];
        ReadOnlySpan<char> minutes =
            colon >= 0 ? digits[(colon + 1)..]
            : digits.Length <= 2 ? "0"
            : digits[2..];
        if (!Whole(hours, 14, out int hour) || !Whole(minutes, 59, out int minute))
        {
            return null;
        }

        TimeSpan offset = new(hour, minute, 0);
        return text[0] == '-' ? -offset : offset;
    }

    /// <summary>"09:26", "09:26:53.125"; seconds up to 60.</summary>
    public static TimeSpan? ParseClock(ReadOnlySpan<char> text)
    {
        int first = text.IndexOf(':');
        if (first < 0 || !Whole(text[..first], 23, out int hour))
        {
            return null;
        }

        ReadOnlySpan<char> rest = text[(first + 1)..];
        int second = rest.IndexOf(':');
        if (!Whole(second < 0 ? rest : rest[..second], 59, out int minute))
        {
            return null;
        }

        decimal seconds = 0;
        if (second >= 0)
        {
            string digits = rest[(second + 1)..].ToString().Replace(',', '.');
            if (
                !decimal.TryParse(digits, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out seconds)
                || seconds > 60
            )
            {
                return null;
            }
        }

        return Clock(hour, minute, seconds);
    }

    /// <summary>Null when a part is out of its range.</summary>
    public static TimeSpan? Clock(decimal hours, decimal minutes, decimal seconds) =>
        hours is >= 0 and < 24 && minutes is >= 0 and < 60 && seconds is >= 0 and <= 60
            ? TimeSpan.FromTicks(
                (long)decimal.Round(((hours * 3600) + (minutes * 60) + seconds) * TimeSpan.TicksPerSecond)
            )
            : null;

    /// <summary>"125" after the point is 0.125 s.</summary>
    public static TimeSpan? ParseSubSeconds(string text)
    {
        ReadOnlySpan<char> digits = text.AsSpan().Trim();
        return
            digits.Length is > 0 and <= 20
            && digits.IndexOfAnyExceptInRange('0', '9') < 0
            && decimal.TryParse(
                $"0.{digits}",
                NumberStyles.AllowDecimalPoint,
                CultureInfo.InvariantCulture,
                out decimal part
            )
            ? TimeSpan.FromTicks((long)(part * TimeSpan.TicksPerSecond))
            : null;
    }

    private static DateTime? ParseDate(ReadOnlySpan<char> text, out int used)
    {
        used = 10;
        return
            text.Length >= 10
            && text[4] is ':' or '-' or '/'
            && text[7] is ':' or '-' or '/'
            && Whole(text[..4], 9999, out int year)
            && Whole(text[5..7], 12, out int month)
            && Whole(text[8..10], 31, out int day)
            && year >= 1
            && month >= 1
            && day >= 1
            && day <= DateTime.DaysInMonth(year, month)
            ? new DateTime(year, month, day, 0, 0, 0, DateTimeKind.Unspecified)
            : null;
    }

    private static bool Whole(ReadOnlySpan<char> text, int most, out int value) =>
        int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out value) && value <= most;
}
