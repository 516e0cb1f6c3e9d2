using System.Globalization;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Splits the captures into sorties where a long pause lies between them.</summary>
internal static class SortieSplit
{
    public static IReadOnlyList<Capture> Split(IReadOnlyList<Capture> captures, double gapSeconds)
    {
        List<Capture> named = [];
        int sortie = 1;
        DateTimeOffset? last = null;
        foreach (Capture capture in captures)
        {
            if (last is { } before && capture.TimeUtc is { } now && (now - before).TotalSeconds > gapSeconds)
            {
                sortie++;
            }

            last = capture.TimeUtc ?? last;
            named.Add(capture with { Sortie = sortie.ToString("'sortie-'0", CultureInfo.InvariantCulture) });
        }

        return named;
    }

    public static IReadOnlyList<SortieSummary> Summaries(IReadOnlyList<Capture> captures) =>
        [
            .. captures
                .GroupBy(capture => capture.Sortie)
                .Select(sortie => new SortieSummary(
                    sortie.Key,
                    sortie.Count(),
                    sortie.Min(capture => capture.TimeUtc),
                    sortie.Max(capture => capture.TimeUtc)
                )),
        ];
}
