using System.Globalization;
using System.Text;

namespace Hillrow.Planning;

/// <summary>Tables of a plan as comma-separated text (RFC 4180), units in the column names.</summary>
public static class PlanCsv
{
    public static string Captures(PlanningResult plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        PlanPlaces places = new(plan.Input.Frame);
        StringBuilder text = new(
            "number,sortie,line,seconds,latitude_degrees,longitude_degrees,above_ellipsoid_metres,above_sea_level_metres,above_home_metres,yaw_degrees\r\n"
        );
        foreach (Sortie sortie in plan.Sorties)
        {
            foreach (PlannedTrigger capture in sortie.Captures)
            {
                WorldPlace at = places.Of(
                    new PlanPoint(capture.PositionLocalMetres.X, capture.PositionLocalMetres.Y),
                    capture.PositionLocalMetres.Z,
                    sortie
                );
                text.Append(
                    CultureInfo.InvariantCulture,
                    $"{capture.Number},{sortie.Number},{capture.Line},{capture.Seconds:0.00},{at.LatitudeDegrees:0.00000000},{at.LongitudeDegrees:0.00000000},{at.EllipsoidMetres:0.00},{at.SeaLevelMetres:0.00},{at.AboveHomeMetres:0.00},{capture.YawDegrees:0.00}\r\n"
                );
            }
        }

        return text.ToString();
    }

    public static string Sorties(PlanningResult plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        StringBuilder text = new(
            "sortie,home,lines,captures,minutes,energy_watt_hours,budget_watt_hours,line_metres,turn_metres,transit_metres,climb_metres,highest_above_home_metres,highest_above_ground_metres,least_clearance_metres,farthest_metres,shortest_interval_seconds\r\n"
        );
        foreach (Sortie sortie in plan.Sorties)
        {
            text.Append(
                CultureInfo.InvariantCulture,
                $"{sortie.Number},{Quoted(sortie.Home.Name)},{sortie.Lines.Count},{sortie.Captures.Count},{sortie.Seconds / 60:0.0},{sortie.EnergyWattHours:0.0},{sortie.BudgetWattHours:0.0},{sortie.LineMetres:0},{sortie.TurnMetres:0},{sortie.TransitMetres:0},{sortie.ClimbMetres:0},{sortie.HighestAboveHomeMetres:0.0},{sortie.HighestAboveGroundMetres:0.0},{sortie.LeastClearanceMetres:0.0},{sortie.FarthestMetres:0},{sortie.Lines.Min(line => line.IntervalSeconds):0.00}\r\n"
            );
        }

        return text.ToString();
    }

    public static string Light(PlanningResult plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        StringBuilder text = new(
            "utc,sun_altitude_degrees,sun_azimuth_degrees,terrain_shadow_share,row_shadow_share,bright_spot_in_picture,recommended,reasons\r\n"
        );
        foreach (LightMoment moment in plan.Light)
        {
            text.Append(
                CultureInfo.InvariantCulture,
                $"{moment.Moment:yyyy-MM-ddTHH:mmZ},{moment.SunAltitudeDegrees:0.0},{moment.SunAzimuthDegrees:0.0},{moment.TerrainShadowShare:0.00},{moment.RowShadowShare:0.00},{(moment.HotSpotInPicture ? 1 : 0)},{(moment.Recommended ? 1 : 0)},{Quoted(string.Join("; ", moment.Reasons))}\r\n"
            );
        }

        return text.ToString();
    }

    private static string Quoted(string text) => $"\"{text.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";
}
