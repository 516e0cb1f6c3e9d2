using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Planning;

/// <summary>The light at a moment of the day, and whether to fly then.</summary>
/// <param name="Moment">UTC.</param>
/// <param name="SunAltitudeDegrees">Above the horizontal.</param>
/// <param name="SunAzimuthDegrees">Clockwise from north.</param>
/// <param name="TerrainShadowShare">Share of the blocks that ridges keep in shade.</param>
/// <param name="RowShadowShare">Share of the way from row to row that a row shades, mean over the blocks.</param>
/// <param name="HotSpotInPicture">Whether the bright spot opposite the sun falls into pictures of some line.</param>
/// <param name="Recommended">Nothing speaks against it.</param>
/// <param name="Reasons">What speaks against it.</param>
public sealed record LightMoment(
    DateTimeOffset Moment,
    double SunAltitudeDegrees,
    double SunAzimuthDegrees,
    double TerrainShadowShare,
    double RowShadowShare,
    bool HotSpotInPicture,
    bool Recommended,
    IReadOnlyList<string> Reasons
);

/// <summary>Goes through a day in steps and tells the light over the blocks.</summary>
internal static class LightWindows
{
    private const int StepMinutes = 10;

    /// <summary>
    /// Below 30° light is red, weak and mostly skylight; canopies come nearest to even reflection at 40–55° (ANCHORS a5).
    /// </summary>
    private const double LowestSunDegrees = 30;

    private const double MostTerrainShadow = 0.02;

    /// <summary>Above a half most of the ground and the neighbour row's foot lie in shade.</summary>
    private const double MostRowShadow = 0.5;

    /// <summary>The spot has a width, and the aircraft leans a little: kept this far outside the picture.</summary>
    private const double HotSpotMarginDegrees = 4;

    private const double UsualRowSpacingMetres = 2.5;

    private const int MostPlaces = 60;

    public static IReadOnlyList<LightMoment> Of(
        PlanningInput input,
        PlanningSettings settings,
        IReadOnlyList<double> lineAzimuthsDegrees
    )
    {
        if (settings.Date is not { } date)
        {
            return [];
        }

        GeodeticPosition place = input.Frame.Origin;
        HeightField around = input.Surroundings ?? input.Terrain;
        PlanPoint[] places = Places(input, around);
        List<LightMoment> moments = [];
        DateTimeOffset noon = SunDay.Of(date, new GeographicPoint(place.Latitude, place.Longitude)).Transit;
        DateTimeOffset first = noon.AddHours(-9);
        first = first.AddTicks(-(first.Ticks % TimeSpan.FromMinutes(StepMinutes).Ticks));
        for (int step = 0; step <= 18 * 60 / StepMinutes; step++)
        {
            DateTimeOffset moment = first.AddMinutes(step * StepMinutes);
            SunPosition sun = SunPosition.At(moment, place);
            if (sun.Altitude.Degrees > 5)
            {
                moments.Add(At(input, settings, lineAzimuthsDegrees, around, places, moment, sun));
            }
        }

        return moments;
    }

    private static LightMoment At(
        PlanningInput input,
        PlanningSettings settings,
        IReadOnlyList<double> lines,
        HeightField around,
        PlanPoint[] places,
        DateTimeOffset moment,
        SunPosition sun
    )
    {
        int shaded = places.Count(place => Shaded(around, place, sun));
        double terrainShadow = places.Length == 0 ? 0 : (double)shaded / places.Length;
        double rowShadow =
            input.Blocks.Sum(block => block.AreaSquareMetres * RowShadow(input, settings, block, sun.Direction))
            / input.Blocks.Sum(block => block.AreaSquareMetres);
        bool hotSpot = lines.Any(line =>
            HotSpot(input.Camera.Lens, line, sun) || HotSpot(input.Camera.Lens, line + 180, sun)
        );
        List<string> reasons = [];
        if (sun.Altitude.Degrees < LowestSunDegrees)
        {
            reasons.Add(FormattableString.Invariant($"sun low ({sun.Altitude.Degrees:0}°)"));
        }

        if (terrainShadow > MostTerrainShadow)
        {
            reasons.Add(FormattableString.Invariant($"a ridge shades {100 * terrainShadow:0} % of the blocks"));
        }

        if (rowShadow > MostRowShadow)
        {
            reasons.Add(FormattableString.Invariant($"rows shade {100 * rowShadow:0} % of the way to the next row"));
        }

        if (hotSpot)
        {
            reasons.Add("the bright spot opposite the sun lies in the pictures");
        }

        return new LightMoment(
            moment,
            sun.Altitude.Degrees,
            sun.Azimuth.Degrees,
            terrainShadow,
            rowShadow,
            hotSpot,
            reasons.Count == 0,
            reasons
        );
    }

    private static bool Shaded(HeightField around, PlanPoint place, SunPosition sun)
    {
        double horizon = TerrainHorizon.AngleDegrees(
            around.Heights,
            around.Rows,
            around.Columns,
            around.CellMetres,
            (around.NorthMetres - place.NorthMetres) / around.CellMetres,
            (place.EastMetres - around.WestMetres) / around.CellMetres,
            around.HeightAt(place.EastMetres, place.NorthMetres) + 1,
            sun.Azimuth,
            Math.Min(30, around.CellMetres)
        );
        return horizon > sun.Altitude.Degrees;
    }

    /// <summary>
    /// How far across the rows the shadow of a row's top falls on the slope, as a share of the row spacing. The top
    /// (0, 0, h) goes down the sun's ray until it meets the plane z = g · (x, y): t = h / (s_z − g · s_xy).
    /// </summary>
    internal static double RowShadow(
        PlanningInput input,
        PlanningSettings settings,
        PlanBlock block,
        Vector3D towardsSun
    )
    {
        PlanPoint middle = block.Parts[0].Centroid;
        Vector3D normal = input.Terrain.NormalAt(middle.EastMetres, middle.NorthMetres);
        (double gradientEast, double gradientNorth) = (-normal.X / normal.Z, -normal.Y / normal.Z);
        double sinks = towardsSun.Z - (gradientEast * towardsSun.X) - (gradientNorth * towardsSun.Y);
        if (sinks <= 0)
        {
            return 1;
        }

        double length = settings.CanopyMetres / sinks;
        // Rows follow the contour unless told: across them is the line of fall.
        double fall = Math.Atan2(normal.X, normal.Y);
        double across = block.RowAzimuthDegrees is { } rows ? (rows + 90) * Math.PI / 180 : fall;
        double shift = Math.Abs(length * ((towardsSun.X * Math.Sin(across)) + (towardsSun.Y * Math.Cos(across))));
        return Math.Min(1, shift / (block.RowSpacingMetres ?? UsualRowSpacingMetres));
    }

    /// <summary>Whether the direction opposite the sun, brought nearer to straight down by the margin, falls into the picture.</summary>
    internal static bool HotSpot(Lens lens, double yawDegrees, SunPosition sun)
    {
        double zenith = Math.Max(0, sun.Zenith.Degrees - HotSpotMarginDegrees) * Math.PI / 180;
        Vector3D away = new(
            -Math.Sin(zenith) * sun.Azimuth.Sine,
            -Math.Sin(zenith) * sun.Azimuth.Cosine,
            -Math.Cos(zenith)
        );
        CameraPose pose = CameraPose.FromAttitude(default, Attitude.FromDegrees(yawDegrees, 0, 0));
        return lens.TryProject(pose.ToCamera(away), out PixelPoint pixel) && lens.Contains(pixel);
    }

    private static PlanPoint[] Places(PlanningInput input, HeightField around)
    {
        PlanPoint[] all =
        [
            .. input
                .Blocks.SelectMany(block => block.Parts)
                .SelectMany(part =>
                    part.Outer.Select(corner => part.Centroid.Between(corner, 0.8)).Append(part.Centroid)
                )
                .Where(place => double.IsFinite(around.HeightAt(place.EastMetres, place.NorthMetres))),
        ];
        int every = Math.Max(1, (all.Length + MostPlaces - 1) / MostPlaces);
        return [.. all.Where((_, at) => at % every == 0)];
    }
}
