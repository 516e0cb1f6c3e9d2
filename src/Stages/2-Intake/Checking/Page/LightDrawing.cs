using System.Globalization;
using System.Text;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>Draws the irradiance series against its middle.</summary>
internal static class LightDrawing
{
    private const double Width = 1000;
    private const double Height = 170;
    private const double Left = 62;
    private const double Bottom = 34;

    /// <summary>A steady day is drawn no larger than this about the middle, so that it looks steady.</summary>
    private const double LeastSpan = 0.2;

    private const int MostPoints = 2000;

    /// <summary>Null without a series.</summary>
    public static string? ToSvg(LightCheck light, CheckTexts texts)
    {
        if (light.Series.Count < 2)
        {
            return null;
        }

        double last = Math.Max(1, light.Series[^1].Seconds);
        double span = Math.Clamp(
            Math.Ceiling(20 * light.Series.Max(point => Math.Abs(point.Level - 1))) / 20,
            LeastSpan,
            1
        );
        double X(double seconds) => Left + ((Width - Left - 10) * seconds / last);
        double Y(double level) =>
            8 + ((Height - Bottom - 8) * (1 + span - Math.Clamp(level, 1 - span, 1 + span)) / (2 * span));
        StringBuilder svg = new();
        svg.Append(
            CultureInfo.InvariantCulture,
            $"<svg viewBox=\"0 0 {Width} {Height}\" role=\"img\" aria-label=\"{FieldCheckPage.Safe(texts["light"])}\">"
        );
        foreach (double level in new[] { 1 - span, 1, 1 + span })
        {
            svg.Append(
                CultureInfo.InvariantCulture,
                $"<path d=\"M{Left} {Y(level):0.#}H{Width - 10}\" stroke=\"#bbb\"/><text x=\"{Left - 6}\" y=\"{Y(level) + 5:0.#}\" font-size=\"15\" text-anchor=\"end\">{FieldCheckPage.Safe(texts.Fill("percent", 100 * level))}</text>"
            );
        }

        double step = RoundLength.Within(last / 60, 0.25);
        for (double minute = 0; minute <= last / 60; minute += step)
        {
            svg.Append(
                CultureInfo.InvariantCulture,
                $"<path d=\"M{X(60 * minute):0.#} 8V{Height - Bottom}\" stroke=\"#ddd\"/><text x=\"{X(60 * minute):0.#}\" y=\"{Height - 14}\" font-size=\"15\" text-anchor=\"middle\">{FieldCheckPage.Safe(texts.Fill("minutes", minute))}</text>"
            );
        }

        svg.Append("<polyline fill=\"none\" stroke=\"#00224e\" stroke-width=\"2\" points=\"");
        int every = Math.Max(1, light.Series.Count / MostPoints);
        for (int at = 0; at < light.Series.Count; at += every)
        {
            svg.Append(
                CultureInfo.InvariantCulture,
                $"{X(light.Series[at].Seconds):0.#},{Y(light.Series[at].Level):0.#} "
            );
        }

        return svg.Append("\"/></svg>").ToString();
    }
}
