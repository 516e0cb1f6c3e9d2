using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Sight;

namespace Hillrow.Checks;

/// <summary>Published and recomputed numbers for flight planning, asked of the code that plans.</summary>
public static class PlanAnchors
{
    private const double Focal = 5500 / 3.75;

    /// <summary>ANCHORS.md T2, the 15-minute grid's own programme; degrees north and east, metres.</summary>
    private static readonly (double Latitude, double Longitude, double Metres)[] Undulations =
    [
        (38.6281550, 269.7791550 - 360, -31.628),
        (-14.6212170, 305.0211140 - 360, -2.969),
        (46.8743190, 102.4487290, -43.575),
        (-23.6174460, 133.8747120, 15.871),
        (38.6254730, 359.9995000 - 360, 50.066),
        (-0.4667440, 0.0023000, 17.329),
    ];

    public static IEnumerable<(string Id, bool Holds)> All()
    {
        (double width, double length) = LevelReach(1280, 960, Focal, 100);
        yield return ("A1 60 m", Near(VerticalPhoto.GroundSampleMetres(60, 3.75, 5.5), 0.040909, 1e-6));
        yield return ("A1 100 m", Near(VerticalPhoto.GroundSampleMetres(100, 3.75, 5.5), 0.068182, 1e-6));
        yield return ("A1 120 m", Near(VerticalPhoto.GroundSampleMetres(120, 3.75, 5.5), 0.081818, 1e-6));
        yield return ("A2 across", Near(width, 87.273, 1e-3));
        yield return ("A2 along", Near(length, 65.455, 1e-3));
        yield return ("A3 spacing", Near(0.25 * width, 21.818, 1e-3));
        yield return ("A3 base", Near(0.2 * length, 13.091, 1e-3));
        // The terrain rises under a constant-altitude line: the same base on a nearer ground.
        yield return ("A4 20 of 100 m", Near(RisenOverlap(100, 20), 0.75, 1e-4));
        yield return ("A4 16 of 100 m", Near(RisenOverlap(100, 16), 0.7619, 1e-4));
        yield return ("A4 16 of 60 m", Near(RisenOverlap(60, 16), 0.7273, 1e-4));
        Reach slope = SlopeReach(100, 30);
        yield return ("A5 up-slope", Near(slope.RightMetres, 34.855, 2e-3));
        yield return ("A5 down-slope", Near(slope.LeftMetres, 58.332, 2e-3));
        // 80 km/h, 1 ms, 28 mm, 4 µm, 120 m: 4.7 px stands in print; that is km/h taken for m/s.
        double pixel = VerticalPhoto.GroundSampleMetres(120, 4, 28);
        yield return ("A6", Near(MotionBlur.OfTravel(80 / 3.6, 1e-3, pixel), 1.296, 1e-3));
        yield return ("A6 in a plan", Near(FastestAtBlur(1.296, 1e-3, pixel), 80 / 3.6, 0.02));
        yield return ("A7 fast", Near(MotionBlur.OfRotation(0.3, 1e-3, 28e3 / 4), 2.10, 1e-2));
        yield return ("A7 slow", Near(MotionBlur.OfRotation(0.03, 1e-3, 28e3 / 4), 0.21, 1e-2));
        SunPosition sun = SunPosition.At(
            new DateTimeOffset(2003, 10, 17, 12, 30, 30, TimeSpan.FromHours(-7)),
            GeodeticPosition.FromDegrees(39.742476, -105.1786, 1830.14),
            new Atmosphere(820, 11),
            67
        );
        yield return ("A9 zenith", Near(sun.Zenith.Degrees, 50.11162, 1e-5));
        yield return ("A9 azimuth", Near(sun.Azimuth.Degrees, 194.340241, 1e-5));
        yield return (
            "A9 incidence",
            // Azimuth rotation -10 degrees is told from south, west positive: the slope falls towards 170 degrees.
            Near(sun.IncidenceOn(Angle.FromDegrees(30), Angle.FromDegrees(170)).Degrees, 25.187, 1e-5)
        );
        foreach ((double latitude, double longitude, double undulation) in Undulations)
        {
            yield return (
                FormattableString.Invariant($"A10 at {latitude}"),
                Near(UndulationInPlans(latitude, longitude), undulation, 0.005)
            );
        }

        yield return ("A8", Near(TerrainSigma(), 9.727, 1e-3));
    }

    /// <summary>Width and length of a picture over level ground, by the ray casts that lay lines.</summary>
    public static (double Width, double Length) LevelReach(int columns, int rows, double focalPixels, double height)
    {
        Reach reach = new FrameReach(
            PlanScene.Ground(4 * height, height, (_, _) => 0),
            Pinhole(columns, rows, focalPixels)
        ).At(default, height, 0.3);
        return (reach.WidthMetres, reach.ShortestLengthMetres);
    }

    /// <summary>Height above the ellipsoid less height above sea level, as a plan hands places over.</summary>
    private static double UndulationInPlans(double latitude, double longitude)
    {
        WorldPlace at = new PlanPlaces(new LocalFrame(GeodeticPosition.FromDegrees(latitude, longitude, 100))).Of(
            default,
            0
        );
        return at.EllipsoidMetres - at.SeaLevelMetres;
    }

    private static double RisenOverlap(double height, double rise)
    {
        double length = LevelReach(1280, 960, Focal, height).Length;
        double nearer = LevelReach(1280, 960, Focal, height - rise).Length;
        return 1 - (0.2 * length / nearer);
    }

    /// <summary>A slope that rises to the right of the line.</summary>
    private static Reach SlopeReach(double height, double degrees)
    {
        double rise = Math.Tan(degrees * Math.PI / 180);
        HeightField ground = PlanScene.Ground(200, 10, (east, _) => rise * east);
        // A5's half angle is 23.575°: 1280 pixels behind 5.5 mm.
        return new FrameReach(ground, Pinhole(1280, 960, Focal)).At(default, height, 0);
    }

    /// <summary>The speed over ground, metres a second, that the planner allows for a blur.</summary>
    private static double FastestAtBlur(double blur, double seconds, double pixel)
    {
        PlanningSettings settings = new()
        {
            PixelMetres = pixel,
            LongestExposureSeconds = seconds,
            LargestBlurPixels = blur,
        };
        PlanningInput input = PlanScene.Input(PlanScene.Ground(100, 50, (_, _) => 0), 1, [], default(PlanPoint)) with
        {
            Aircraft = PlanScene.Aircraft with { SurveySpeedMetresPerSecond = 1000 },
        };
        return LineSpeeds.Fastest(input, settings, 1e6);
    }

    private static double TerrainSigma() => TerrainTile.DefaultSigmaMetres;

    private static BrownConradyLens Pinhole(int columns, int rows, double focalPixels) =>
        new(rows, columns, new BrownConradyValues(focalPixels, focalPixels, new PixelPoint(columns / 2.0, rows / 2.0)));

    private static bool Near(double value, double wanted, double tolerance) => Math.Abs(value - wanted) <= tolerance;
}
