using Hillrow.Planning;

namespace Hillrow.Validation.Planning;

/// <summary>Twelve outlines of fields: convex, notched, with holes, strips, in two parts.</summary>
internal static class FieldShapes
{
    public static IEnumerable<(string Name, PlanPolygon[] Parts)> Twelve()
    {
        yield return ("rectangle", [Turned(17, (0, 0), (300, 0), (300, 180), (0, 180))]);
        yield return ("triangle", [Turned(0, (0, 0), (320, 40), (120, 260))]);
        yield return ("pentagon", [Turned(31, (0, 60), (150, 0), (300, 80), (250, 250), (50, 240))]);
        yield return ("parallelogram", [Turned(8, (0, 0), (260, 0), (340, 160), (80, 160))]);
        yield return ("L", [Turned(12, (0, 0), (300, 0), (300, 110), (120, 110), (120, 280), (0, 280))]);
        yield return (
            "U",
            [Turned(24, (0, 0), (300, 0), (300, 240), (200, 240), (200, 100), (100, 100), (100, 240), (0, 240))]
        );
        yield return (
            "T",
            [Turned(-15, (0, 160), (0, 260), (300, 260), (300, 160), (200, 160), (200, 0), (100, 0), (100, 160))]
        );
        yield return (
            "hole",
            [
                WithHole(
                    Turned(40, (0, 0), (300, 0), (300, 240), (0, 240)),
                    Turned(40, (110, 80), (190, 80), (190, 160), (110, 160))
                ),
            ]
        );
        yield return (
            "two holes",
            [
                WithHole(
                    Turned(5, (0, 0), (340, 20), (320, 250), (20, 230)),
                    Turned(5, (60, 70), (120, 80), (110, 140), (70, 150)),
                    Turned(5, (200, 100), (270, 110), (250, 180))
                ),
            ]
        );
        yield return ("strip", [Turned(63, (0, 0), (480, 0), (480, 60), (0, 60))]);
        yield return ("bent strip", [Turned(0, (0, 0), (240, 40), (420, 180), (400, 240), (210, 105), (0, 65))]);
        yield return (
            "two parts",
            [
                Turned(20, (0, 0), (180, 0), (160, 150), (10, 130)),
                Turned(20, (200, 60), (360, 20), (370, 190), (210, 200)),
            ]
        );
    }

    private static PlanPolygon WithHole(PlanPolygon outer, params PlanPolygon[] holes) =>
        new(outer.Outer, [.. holes.Select(hole => hole.Outer)]);

    private static PlanPolygon Turned(double degrees, params (double East, double North)[] corners)
    {
        (double sine, double cosine) = Math.SinCos(degrees * Math.PI / 180);
        return new PlanPolygon([
            .. corners.Select(corner => new PlanPoint(
                ((corner.East - 150) * cosine) - ((corner.North - 120) * sine),
                ((corner.East - 150) * sine) + ((corner.North - 120) * cosine)
            )),
        ]);
    }
}
