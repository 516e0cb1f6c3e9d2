using System.Globalization;
using System.Text.Json;
using System.Xml.Linq;
using Hillrow.Checks;
using Xunit;

namespace Hillrow.Planning.Tests;

/// <summary>What KML 2.3 (OGC 12-007r2), GPX 1.1, GeoJSON (RFC 7946) and the MAVLink common message set ask for.</summary>
public sealed class HandOver_OpenStandardsTests
{
    private static readonly Lazy<PlanningResult> Made = new(() =>
        PlanningStage.Run(
            PlanScene.Input(
                PlanScene.Ground(400, 20, (east, _) => 0.2 * east),
                1,
                [PlanScene.Rectangle(-80, -60, 160, 120)],
                new PlanPoint(-90, -70)
            ),
            new PlanningSettings { Date = new DateOnly(2026, 4, 12) }
        )
    );

    [Fact]
    public void Waypoints_StraightBetweenThem_StayWithinHalfAMetreOfTheRoute()
    {
        foreach (Sortie sortie in Made.Value.Sorties)
        {
            IReadOnlyList<Waypoint> way = Waypoint.Of(sortie);
            Assert.True(way.Count < sortie.Route.Count);
            foreach (RouteSample sample in sortie.Route)
            {
                double nearest = double.PositiveInfinity;
                for (int at = 1; at < way.Count; at++)
                {
                    RouteSample a = way[at - 1].Sample;
                    RouteSample b = way[at].Sample;
                    for (int step = 0; step <= 200; step++)
                    {
                        double share = step / 200.0;
                        double plan = sample.Place.DistanceTo(a.Place.Between(b.Place, share));
                        double up = Math.Abs(sample.UpMetres - a.UpMetres - (share * (b.UpMetres - a.UpMetres)));
                        nearest = Math.Min(nearest, Math.Max(plan - 0.6, up));
                    }
                }

                Assert.True(nearest < FlightGround.WaypointToleranceMetres, $"{nearest}");
            }
        }
    }

    [Fact]
    public void Kml_Route_HasLongitudeFirstAndHeightsAboveSeaLevel()
    {
        XNamespace kml = "http://www.opengis.net/kml/2.3";
        XDocument document = XDocument.Parse(PlanKml.Of(Made.Value, "test"));
        XElement route = document.Descendants(kml + "LineString").First();
        Assert.Equal("absolute", route.Element(kml + "altitudeMode")!.Value);
        double[] first = [.. route.Element(kml + "coordinates")!.Value.Split(' ')[0].Split(',').Select(Number)];
        RouteSample sample = Waypoint.Of(Made.Value.Sorties[0])[0].Sample;
        WorldPlace at = new PlanPlaces(PlanScene.Frame).Of(sample.Place, sample.UpMetres);
        Assert.Equal(at.LongitudeDegrees, first[0], 7);
        Assert.Equal(at.LatitudeDegrees, first[1], 7);
        Assert.Equal(at.SeaLevelMetres, first[2], 2);
        Assert.True(Math.Abs(at.SeaLevelMetres - at.EllipsoidMetres) > 5, "the geoid lies tens of metres off here");
    }

    [Fact]
    public void Gpx_Order_IsMetadataWaypointsRoutes()
    {
        XDocument document = XDocument.Parse(PlanGpx.Of(Made.Value, "test"));
        string[] order = [.. document.Root!.Elements().Select(one => one.Name.LocalName).Distinct()];
        Assert.Equal(["metadata", "wpt", "rte"], order);
        Assert.Equal("1.1", document.Root!.Attribute("version")!.Value);
        Assert.Equal(Made.Value.Sorties.Count, document.Root!.Elements().Count(one => one.Name.LocalName == "rte"));
    }

    [Fact]
    public void GeoJson_Captures_AreAllThere()
    {
        using JsonDocument document = JsonDocument.Parse(PlanGeoJson.Of(Made.Value));
        int captures = document
            .RootElement.GetProperty("features")
            .EnumerateArray()
            .Count(one => one.GetProperty("properties").GetProperty("kind").GetString() == "capture");
        Assert.Equal(Made.Value.CaptureCount, captures);
    }

    [Fact]
    public void MissionItems_Commands_AreTheCommonSetsNumbers()
    {
        string[][] rows =
        [
            .. MissionItems
                .Of(Made.Value.Sorties[0], new PlanPlaces(PlanScene.Frame))
                .Split("\r\n", StringSplitOptions.RemoveEmptyEntries)
                .Skip(1)
                .Select(row => row.Split(',')),
        ];
        Assert.Equal("22", rows[0][2]);
        Assert.Equal("21", rows[^1][2]);
        Assert.All(rows, row => Assert.Contains(row[2], new[] { "16", "21", "22", "178", "206" }));
        // Triggering starts once a line and stops once a line.
        int lines = Made.Value.Sorties[0].Lines.Count;
        Assert.Equal(lines, rows.Count(row => row[2] == "206" && Number(row[5]) > 0));
        Assert.Equal(lines, rows.Count(row => row[2] == "206" && Number(row[5]) == 0));
        Assert.Equal(
            [.. Enumerable.Range(0, rows.Length)],
            rows.Select(row => int.Parse(row[0], CultureInfo.InvariantCulture))
        );
        Assert.All(rows.Where(row => row[2] == "16"), row => Assert.Equal("6", row[1]));
    }

    [Fact]
    public void FlightCard_Page_LoadsNothingAndPutsCautionsFirst()
    {
        string page = FlightCard.Of(Made.Value, "test", "Invented <estate>");
        Assert.DoesNotContain("http", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<estate>", page, StringComparison.Ordinal);
        Assert.True(
            page.IndexOf("pilot's judgement", StringComparison.Ordinal)
                < page.IndexOf("What is asked", StringComparison.Ordinal)
        );
        Assert.Contains("National flight rules", page, StringComparison.Ordinal);
        Assert.Equal(2 * Made.Value.Sorties.Count, page.Split("<svg").Length - 1);
    }

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);
}
