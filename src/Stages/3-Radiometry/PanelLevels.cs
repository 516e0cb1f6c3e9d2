using Hillrow.Imaging;

namespace Hillrow.Radiometry;

/// <summary>Finds a panel's other grey fields beside its brightest one, by where the profile says they lie.</summary>
internal static class PanelLevels
{
    /// <summary>Seen from the side, distances shrink and one side is nearer.</summary>
    private const double LeastDistance = 0.5;
    private const double LargestDistance = 1.6;
    private const double LargestAreaRatio = 2;

    /// <summary>Brightness over the brightest's, against the certificates': dirt, stray light and an odd certificate together.</summary>
    private const double LargestRatio = 1.3;
    private const double StrayAllowed = 0.08;

    /// <summary>Brightest field first, as its certificate says.</summary>
    public static IReadOnlyList<PanelLevel> InOrder(PanelDescription panel) =>
        [.. panel.Levels.OrderByDescending(level => level.ReflectanceByBand.Values.Average())];

    /// <param name="level">The field wanted.</param>
    /// <param name="brightest">The panel's brightest level.</param>
    /// <param name="found">Where that was found.</param>
    /// <param name="candidates">Even fields of the same picture.</param>
    /// <param name="band">The picture's band.</param>
    /// <param name="sensor">Its frame.</param>
    /// <returns>Null when there is none, or nothing is known of where it lies.</returns>
    public static EvenField? Find(
        PanelLevel level,
        PanelLevel brightest,
        EvenField found,
        IReadOnlyList<EvenField> candidates,
        string band,
        BandSensor sensor
    )
    {
        if (
            level.CornersMetres.Count != 4
            || brightest.CornersMetres.Count != 4
            || !level.ReflectanceByBand.TryGetValue(band, out double certified)
            || !brightest.ReflectanceByBand.TryGetValue(band, out double bright)
        )
        {
            return null;
        }

        double ratio = certified / bright;
        double pixelsPerMetre = Math.Sqrt(found.AreaShare * sensor.Rows * sensor.Columns / Area(brightest));
        double expected = pixelsPerMetre * Distance(level, brightest);
        double area = Area(level) / Area(brightest) * found.AreaShare;
        EvenField? best = null;
        double bestOff = double.MaxValue;
        foreach (EvenField field in candidates)
        {
            double far = double.Hypot(
                (field.Row - found.Row) * sensor.Rows,
                (field.Column - found.Column) * sensor.Columns
            );
            double seen = field.Mean / found.Mean;
            bool fits =
                far > LeastDistance * expected
                && far < LargestDistance * expected
                && Math.Max(field.AreaShare, area) < LargestAreaRatio * Math.Min(field.AreaShare, area)
                && seen > (ratio / LargestRatio) - StrayAllowed
                && seen < (ratio * LargestRatio) + StrayAllowed;
            double off = Math.Abs(seen - ratio) + (0.1 * Math.Abs((far / expected) - 1));
            if (fits && off < bestOff)
            {
                (best, bestOff) = (field, off);
            }
        }

        return best;
    }

    private static double Area(PanelLevel level)
    {
        double twice = 0;
        for (int at = 0; at < 4; at++)
        {
            (PanelPoint a, PanelPoint b) = (level.CornersMetres[at], level.CornersMetres[(at + 1) % 4]);
            twice += (a.XMetres * b.YMetres) - (b.XMetres * a.YMetres);
        }

        return Math.Max(1e-9, Math.Abs(twice) / 2);
    }

    private static double Distance(PanelLevel one, PanelLevel other) =>
        double.Hypot(
            one.CornersMetres.Average(corner => corner.XMetres) - other.CornersMetres.Average(corner => corner.XMetres),
            one.CornersMetres.Average(corner => corner.YMetres) - other.CornersMetres.Average(corner => corner.YMetres)
        );
}
