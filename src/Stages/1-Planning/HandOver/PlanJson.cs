using System.Text.Json;

namespace Hillrow.Planning;

/// <summary>The plan as one JSON document: every capture's planned place and attitude, and how each sortie is flown.</summary>
/// <remarks>What it holds is told in docs/stages/1-planning.md#planjson; the rehearsal flies it.</remarks>
public static class PlanJson
{
    public const string Schema = "hillrow-plan/1";

    private static readonly JsonSerializerOptions Options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        WriteIndented = false,
    };

    public static string Of(PlanningResult plan, string name)
    {
        ArgumentNullException.ThrowIfNull(plan);
        PlanPlaces places = new(plan.Input.Frame);
        var origin = plan.Input.Frame.Origin;
        object document = new
        {
            schema = Schema,
            name,
            date = plan.Settings.Date?.ToString("yyyy-MM-dd"),
            camera = new { plan.Input.Camera.Name, Band = plan.Input.Camera.BandName },
            aircraft = plan.Input.Aircraft.Name,
            frame = new
            {
                originLatitudeDegrees = origin.Latitude.Degrees,
                originLongitudeDegrees = origin.Longitude.Degrees,
                originHeightAboveEllipsoidMetres = origin.HeightAboveEllipsoidMetres,
                axes = "east, north, up on the plane that touches the ellipsoid's level surface at the origin, metres",
            },
            asked = new
            {
                plan.Settings.PixelMetres,
                plan.Settings.ForwardOverlap,
                plan.Settings.SideOverlap,
                plan.Settings.Views,
                plan.Settings.OverlapProbability,
                plan.Settings.ClearanceMetres,
                plan.Settings.ClearanceProbability,
                plan.Settings.CanopyMetres,
                plan.Settings.CeilingMetres,
                plan.Settings.LongestExposureSeconds,
                heightMetres = plan.HeightMetres,
            },
            sorties = plan.Sorties.Select(sortie => Shape(sortie, places)),
            plan.Cautions,
        };
        return JsonSerializer.Serialize(document, Options);
    }

    private static object Shape(Sortie sortie, PlanPlaces places)
    {
        WorldPlace home = places.Of(sortie.Home.Place, sortie.HomeUpMetres, sortie);
        return new
        {
            sortie.Number,
            home = new
            {
                sortie.Home.Name,
                home.LatitudeDegrees,
                home.LongitudeDegrees,
                heightAboveEllipsoidMetres = Round(home.EllipsoidMetres),
            },
            seconds = Round(sortie.Seconds),
            energyWattHours = Round(sortie.EnergyWattHours),
            captures = sortie.Captures.Select(capture =>
            {
                WorldPlace at = places.Of(
                    new PlanPoint(capture.PositionLocalMetres.X, capture.PositionLocalMetres.Y),
                    capture.PositionLocalMetres.Z,
                    sortie
                );
                return new
                {
                    capture.Number,
                    capture.Line,
                    seconds = Round(capture.Seconds),
                    eastMetres = Round(capture.PositionLocalMetres.X),
                    northMetres = Round(capture.PositionLocalMetres.Y),
                    upMetres = Round(capture.PositionLocalMetres.Z),
                    latitudeDegrees = Math.Round(at.LatitudeDegrees, 9),
                    longitudeDegrees = Math.Round(at.LongitudeDegrees, 9),
                    heightAboveEllipsoidMetres = Round(at.EllipsoidMetres),
                    heightAboveSeaLevelMetres = Round(at.SeaLevelMetres),
                    heightAboveHomeMetres = Round(at.AboveHomeMetres),
                    yawDegrees = Round(capture.YawDegrees),
                    pitchDegrees = 0,
                    rollDegrees = 0,
                    speedMetresPerSecond = Round(sortie.Lines[capture.Line - 1].SpeedMetresPerSecond),
                };
            }),
        };
    }

    private static double Round(double value) => Math.Round(value, 3);
}
