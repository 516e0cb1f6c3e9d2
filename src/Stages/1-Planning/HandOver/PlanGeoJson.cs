using System.Text.Json;

namespace Hillrow.Planning;

/// <summary>The plan as GeoJSON (RFC 7946), longitude before latitude, heights above the WGS 84 ellipsoid as the standard asks.</summary>
public static class PlanGeoJson
{
    public static string Of(PlanningResult plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        PlanPlaces places = new(plan.Input.Frame);
        List<object> features = [];
        foreach (Sortie sortie in plan.Sorties)
        {
            features.Add(
                Feature(
                    "LineString",
                    Waypoint
                        .Of(sortie)
                        .Select(point => Position(places.Of(point.Sample.Place, point.Sample.UpMetres)))
                        .ToArray(),
                    new
                    {
                        kind = "route",
                        sortie = sortie.Number,
                        home = sortie.Home.Name,
                        minutes = Math.Round(sortie.Seconds / 60, 1),
                        captures = sortie.Captures.Count,
                        wattHours = Math.Round(sortie.EnergyWattHours, 1),
                    }
                )
            );
            foreach (PlannedTrigger capture in sortie.Captures)
            {
                PlanPoint place = new(capture.PositionLocalMetres.X, capture.PositionLocalMetres.Y);
                features.Add(
                    Feature(
                        "Point",
                        Position(places.Of(place, capture.PositionLocalMetres.Z)),
                        new
                        {
                            kind = "capture",
                            sortie = sortie.Number,
                            capture.Number,
                            capture.Line,
                            yawDegrees = Math.Round(capture.YawDegrees, 2),
                        }
                    )
                );
            }
        }

        foreach (ProposedMark mark in plan.Marks)
        {
            features.Add(
                Feature(
                    "Point",
                    Position(places.Of(mark.Place, mark.UpMetres)),
                    new
                    {
                        kind = mark.IsCheckpoint ? "checkpoint" : "ground-control",
                        mark.Name,
                        mark.Views,
                    }
                )
            );
        }

        return JsonSerializer.Serialize(
            new { type = "FeatureCollection", features },
            new JsonSerializerOptions { PropertyNamingPolicy = JsonNamingPolicy.CamelCase }
        );
    }

    private static object Feature(string type, object coordinates, object properties) =>
        new
        {
            type = "Feature",
            geometry = new { type, coordinates },
            properties,
        };

    private static double[] Position(WorldPlace at) =>
        [Math.Round(at.LongitudeDegrees, 8), Math.Round(at.LatitudeDegrees, 8), Math.Round(at.EllipsoidMetres, 2)];
}
