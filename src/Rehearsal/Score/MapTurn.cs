using Hillrow.Earth;

namespace Hillrow.Rehearsal;

/// <summary>
/// Tells how much of a map's shifts a turn and a scale explain, which a flight without control leaves as it leaves the
/// rigid shift; nothing is taken off for it.
/// </summary>
internal static class MapTurn
{
    public static string[] Names { get; } = ["mapTurnDegrees", "mapScaleShare", "orthoShiftPx.rmsAfterTurnAndScale"];

    private const int FewestWindows = 6;

    public static void Add(ScoreSheet sheet, ShiftField field)
    {
        (GridPoint At, double East, double North)[] all =
        [
            .. field
                .Shifts.Zip(field.Middles)
                .Where(pair => pair.First is not null)
                .Select(pair =>
                    (pair.Second, pair.First!.Value.East * field.CellMetres, pair.First.Value.North * field.CellMetres)
                ),
        ];
        if (all.Length < FewestWindows)
        {
            sheet.MissAll(Names, "too few windows show the same ground");
            return;
        }

        double middleEast = all.Average(window => window.At.EastingMetres);
        double middleNorth = all.Average(window => window.At.NorthingMetres);
        double eastShift = all.Average(window => window.East);
        double northShift = all.Average(window => window.North);
        double turn = 0;
        double scale = 0;
        double weight = 0;
        foreach ((GridPoint at, double east, double north) in all)
        {
            double x = at.EastingMetres - middleEast;
            double y = at.NorthingMetres - middleNorth;
            // Least squares of (east, north) = scale · (x, y) + turn · (−y, x), turn against the clock.
            scale += (x * (east - eastShift)) + (y * (north - northShift));
            turn += (x * (north - northShift)) - (y * (east - eastShift));
            weight += (x * x) + (y * y);
        }

        scale /= weight;
        turn /= weight;
        double[] left =
        [
            .. all.Select(window =>
            {
                double x = window.At.EastingMetres - middleEast;
                double y = window.At.NorthingMetres - middleNorth;
                double east = window.East - eastShift - (scale * x) + (turn * y);
                double north = window.North - northShift - (scale * y) - (turn * x);
                return ((east * east) + (north * north)) / (field.CellMetres * field.CellMetres);
            }),
        ];
        // Clockwise, as headings go.
        sheet.Add(Names[0], -turn * 180 / Math.PI);
        sheet.Add(Names[1], scale);
        sheet.Add(Names[2], Math.Sqrt(left.Average()));
    }
}
