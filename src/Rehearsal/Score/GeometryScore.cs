using Hillrow.Numerics.Statistics;

namespace Hillrow.Rehearsal;

/// <summary>Judges where maps lie: bands against each other, the map against the truth, heights.</summary>
internal static class GeometryScore
{
    public static string[] ShiftNames { get; } =
    ["bandShiftPx.rms", "bandShiftPx.p95", "orthoShiftPx.rms", "orthoShiftPx.p95"];

    private const string ReferenceBand = "near infrared";

    /// <summary>Shift of the reference band by window, for the estate's registration; null when there is no map.</summary>
    public static ShiftField? Add(ScoreSheet sheet, SurveyProducts found, SurveyTruth truth, int threads)
    {
        Heights(sheet, "surfaceRmseMetres", found.Surface, truth, "surface");
        Heights(sheet, "groundRmseMetres", found.Ground, truth, "ground");
        int reference = found.Reflectance?.IndexOf(ReferenceBand) ?? -1;
        if (found.Reflectance is not { } map || reference < 0)
        {
            sheet.MissAll(ShiftNames.Concat(MapTurn.Names), "there is no reflectance map with a near infrared band");
            return null;
        }

        int trueReference = truth.Reflectance.IndexOf(ReferenceBand);
        ShiftField middle = ShiftField.Of(map, reference, truth, trueReference, threads);
        List<double> between = [];
        foreach (string band in truth.Flight.Bands.Where(band => band != ReferenceBand))
        {
            int own = map.IndexOf(band);
            if (own >= 0)
            {
                between.AddRange(
                    ShiftField.Of(map, own, truth, truth.Reflectance.IndexOf(band), threads).Differences(middle)
                );
            }
        }

        Lengths(sheet, "bandShiftPx", between);
        Lengths(sheet, "orthoShiftPx", [.. middle.Lengths()]);
        MapTurn.Add(sheet, middle);
        return middle;
    }

    public static void Lengths(ScoreSheet sheet, string name, IReadOnlyList<double> lengths)
    {
        const string None = "too few windows show the same ground";
        sheet.Add(
            name + ".rms",
            lengths.Count > 0 ? Math.Sqrt(lengths.Sum(length => length * length) / lengths.Count) : double.NaN,
            None
        );
        sheet.Add(name + ".p95", lengths.Count > 0 ? Quantiles.Quantile([.. lengths], 0.95) : double.NaN, None);
    }

    private static void Heights(ScoreSheet sheet, string name, ScoredMap? map, SurveyTruth truth, string what)
    {
        if (map is null)
        {
            sheet.Miss(name, $"there is no {what} map");
            return;
        }

        int trueBand = truth.Heights.IndexOf(what);
        double squares = 0;
        long count = 0;
        foreach ((double easting, double northing, float value) in ReflectanceScore.Judged(map, 0, truth))
        {
            float real = truth.Heights.MeanOver(trueBand, easting, northing, map.Grid.CellSizeMetres);
            if (!float.IsNaN(real))
            {
                squares += (value - real) * (double)(value - real);
                count++;
            }
        }

        sheet.Add(name, count > 0 ? Math.Sqrt(squares / count) : double.NaN);
    }
}
