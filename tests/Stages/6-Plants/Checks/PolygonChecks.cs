using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Plants;
using Hillrow.TestSupport;

namespace Hillrow.Checks;

/// <summary>The part of tests/Reference/polygons-zonal that this room's outlines must hold.</summary>
public static class PolygonChecks
{
    /// <summary>Everything but buffers (Planning's margins) and back-and-forth lines (Planning).</summary>
    public static IReadOnlyList<CheckTally> All() => [Polygonise(), Zonal(), Simplify(), Overlay()];

    public static CheckTally Zonal()
    {
        CheckTally tally = new();
        CheckBook book = CheckBook.Open("polygons-zonal", "zonal.json");
        JsonElement raster = book.Common.GetProperty("raster");
        int rows = raster.GetProperty("rows").GetInt32();
        int columns = raster.GetProperty("cols").GetInt32();
        GridGeometry grid = new(
            ReferenceSystem.Utm(18, true),
            new GridPoint(raster.GetProperty("x_left").GetDouble(), raster.GetProperty("y_top").GetDouble()),
            raster.GetProperty("cell").GetDouble(),
            rows,
            columns
        );
        double[] values =
        [
            .. raster
                .GetProperty("values")
                .EnumerateArray()
                .SelectMany(row =>
                    row.EnumerateArray()
                        .Select(value => value.ValueKind == JsonValueKind.Null ? double.NaN : value.GetDouble())
                ),
        ];
        foreach (CheckCase check in book.Cases)
        {
            GridPolygon[] zone = Zone(check.In.GetProperty("geometry"));
            double Want(string name) =>
                check.Out.TryGetProperty(name, out JsonElement value) && value.ValueKind == JsonValueKind.Number
                    ? value.GetDouble()
                    : double.NaN;
            IReadOnlyList<CellShare> shares = ZoneCoverage.Shares(grid, zone);
            ZoneSummary summary = ZoneCoverage.Summarise(values, columns, shares);
            tally.Compare(check.Id, "area", zone.Sum(part => part.AreaSquareMetres), Want("area"), 0, 1e-9);
            tally.Compare(
                check.Id,
                "perimeter",
                zone.Sum(part => RingShape.LengthMetres(part.Outer) + part.Holes.Sum(RingShape.LengthMetres)),
                Want("perimeter"),
                0,
                1e-9
            );
            tally.Compare(check.Id, "covered", summary.CoveredCells, Want("covered_cells"), 1e-7);
            tally.Compare(check.Id, "valid", summary.ValidCells, Want("valid_cells"), 1e-7);
            tally.Compare(check.Id, "missing", summary.CoveredCells - summary.ValidCells, Want("nodata_cells"), 1e-7);
            tally.Compare(check.Id, "touched", summary.TouchedCells, Want("touched_cells"), 0);
            tally.Compare(check.Id, "mean", summary.Mean, Want("weighted_mean"), 0, 1e-8);
            tally.Compare(check.Id, "sum", summary.Sum, Want("weighted_sum"), 0, 1e-8);
            tally.Compare(check.Id, "variance", summary.Variance, Want("weighted_var_population"), 0, 1e-7);
            tally.Compare(check.Id, "least", summary.Least, Want("min"), 0);
            tally.Compare(check.Id, "largest", summary.Largest, Want("max"), 0);
            tally.Compare(
                check.Id,
                "median",
                ZoneCoverage.Quantile(values, columns, shares, 0.5),
                Want("weighted_median_lower"),
                0
            );
            tally.Compare(
                check.Id,
                "q90",
                ZoneCoverage.Quantile(values, columns, shares, 0.9),
                Want("weighted_q90_lower"),
                0
            );
            foreach (JsonElement cell in check.Out.GetProperty("coverage").EnumerateArray())
            {
                CellShare got = shares.FirstOrDefault(share =>
                    share.Row == cell[0].GetInt32() && share.Column == cell[1].GetInt32()
                );
                tally.Compare(check.Id, $"share of {cell[0]}, {cell[1]}", got.Share, cell[2].GetDouble(), 1e-8);
            }

            byte[] centres = new byte[rows * columns];
            foreach (GridPolygon part in zone)
            {
                part.Mark(grid, centres, 1);
            }

            double[] inside =
            [
                .. centres.Select((mark, at) => mark != 0 ? values[at] : double.NaN).Where(double.IsFinite),
            ];
            tally.Compare(check.Id, "centre count", inside.Length, Want("centre_rule_count"), 0);
            tally.Compare(
                check.Id,
                "centre mean",
                inside.Length == 0 ? double.NaN : inside.Average(),
                Want("centre_rule_mean"),
                0,
                1e-9
            );
        }

        return tally;
    }

    public static CheckTally Simplify()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("polygons-zonal", "simplify.json").Cases)
        {
            GridPoint[] ring = Ring(check.In.GetProperty("exterior"));
            double Want(string name) => check.Out.GetProperty(name).GetDouble();
            tally.Compare(check.Id, "area", new GridPolygon(ring).AreaSquareMetres, Want("area"), 0, 1e-9);
            tally.Compare(check.Id, "perimeter", RingShape.LengthMetres(ring), Want("perimeter"), 0, 1e-9);
            tally.Compare(
                check.Id,
                "hull",
                new GridPolygon(RingShape.Hull(ring)).AreaSquareMetres,
                Want("convex_hull_area"),
                0,
                1e-9
            );
            tally.Compare(
                check.Id,
                "rectangle",
                RingShape.SmallestRectangleArea(ring),
                Want("min_rotated_rect_area"),
                0,
                1e-9
            );
            GridPoint middle = RingShape.Centroid(ring);
            tally.Compare(
                check.Id,
                "centroid x",
                middle.EastingMetres,
                check.Out.GetProperty("centroid")[0].GetDouble(),
                1e-9
            );
            tally.Compare(
                check.Id,
                "centroid y",
                middle.NorthingMetres,
                check.Out.GetProperty("centroid")[1].GetDouble(),
                1e-9
            );
            foreach (
                JsonProperty entry in check
                    .Out.EnumerateObject()
                    .Where(entry => entry.Name.StartsWith("dp_", StringComparison.Ordinal))
            )
            {
                IReadOnlyList<GridPoint> simple = RingShape.Simplify(ring, double.Parse(entry.Name[3..]));
                double area = new GridPolygon(simple).AreaSquareMetres;
                tally.Compare(check.Id, entry.Name, simple.Count, entry.Value.GetProperty("vertices").GetDouble(), 0);
                tally.Compare(
                    check.Id,
                    entry.Name + " area",
                    area,
                    entry.Value.GetProperty("area").GetDouble(),
                    0,
                    1e-6
                );
                tally.Compare(
                    check.Id,
                    entry.Name + " distance",
                    RingShape.LargestDistance(ring, simple),
                    entry.Value.GetProperty("hausdorff").GetDouble(),
                    0,
                    1e-6
                );
                double shared = PolygonOverlay.SharedArea(new GridPolygon(ring), new GridPolygon(simple));
                double apart = new GridPolygon(ring).AreaSquareMetres + area - (2 * shared);
                tally.Compare(
                    check.Id,
                    entry.Name + " apart",
                    apart,
                    entry.Value.GetProperty("symmetric_difference_area").GetDouble(),
                    0,
                    1e-6
                );
            }
        }

        return tally;
    }

    public static CheckTally Overlay()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("polygons-zonal", "overlay.json").Cases)
        {
            GridPolygon a = new(Ring(check.In.GetProperty("a")));
            GridPolygon b = new(Ring(check.In.GetProperty("b")));
            double shared = PolygonOverlay.SharedArea(a, b);
            double areaA = a.AreaSquareMetres;
            double areaB = b.AreaSquareMetres;
            (string Name, double Got)[] values =
            [
                ("area_a", areaA),
                ("area_b", areaB),
                ("intersection", shared),
                ("union", areaA + areaB - shared),
                ("difference", areaA - shared),
                ("symmetric_difference", areaA + areaB - (2 * shared)),
                ("iou", shared / (areaA + areaB - shared)),
            ];
            foreach ((string name, double got) in values)
            {
                tally.Compare(check.Id, name, got, check.Out.GetProperty(name).GetDouble(), 1e-9, 1e-9);
            }
        }

        return tally;
    }

    private static GridPoint[] Ring(JsonElement ring)
    {
        GridPoint[] places =
        [
            .. ring.EnumerateArray().Select(place => new GridPoint(place[0].GetDouble(), place[1].GetDouble())),
        ];
        return places.Length > 1 && places[0] == places[^1] ? places[..^1] : places;
    }

    private static GridPolygon[] Zone(JsonElement geometry)
    {
        JsonElement coordinates = geometry.GetProperty("coordinates");
        return geometry.GetProperty("type").GetString() == "Polygon"
            ? [Polygon(coordinates)]
            : [.. coordinates.EnumerateArray().Select(Polygon)];

        static GridPolygon Polygon(JsonElement rings) =>
            new(Ring(rings[0]), [.. rings.EnumerateArray().Skip(1).Select(Ring)]);
    }

    public static CheckTally Polygonise()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("polygons-zonal", "polygonise.json").Cases)
        {
            int[][] classes =
            [
                .. check
                    .In.GetProperty("classes")
                    .EnumerateArray()
                    .Select(row => row.EnumerateArray().Select(value => value.GetInt32()).ToArray()),
            ];
            double cell = check.In.GetProperty("cell").GetDouble();
            int[] flat = [.. classes.SelectMany(row => row)];
            foreach (
                (Connectivity connectivity, string name) in new[]
                {
                    (Connectivity.Four, "4"),
                    (Connectivity.Eight, "8"),
                }
            )
            {
                ClassRegion[] regions =
                [
                    .. RasterOutlines
                        .Of(flat, classes.Length, classes[0].Length, connectivity)
                        .OrderBy(region => region.Value)
                        .ThenBy(region => region.Area)
                        .ThenBy(region => region.Perimeter),
                ];
                tally.Compare(
                    check.Id,
                    "polygons_" + name,
                    regions.Length,
                    check.Out.GetProperty("polygons_" + name).GetInt32(),
                    0
                );
                JsonElement[] wanted =
                [
                    .. check
                        .Out.GetProperty($"value_area_perimeter_holes_{name}")
                        .EnumerateArray()
                        .OrderBy(row => row[0].GetInt32())
                        .ThenBy(row => row[1].GetDouble())
                        .ThenBy(row => row[2].GetDouble()),
                ];
                for (int at = 0; at < Math.Min(wanted.Length, regions.Length); at++)
                {
                    tally.Compare(check.Id, $"value {name}", regions[at].Value, wanted[at][0].GetInt32(), 0);
                    tally.Compare(
                        check.Id,
                        $"area {name}",
                        regions[at].Area * cell * cell,
                        wanted[at][1].GetDouble(),
                        1e-9
                    );
                    tally.Compare(
                        check.Id,
                        $"perimeter {name}",
                        regions[at].Perimeter * cell,
                        wanted[at][2].GetDouble(),
                        1e-9
                    );
                    tally.Compare(check.Id, $"holes {name}", regions[at].Holes.Count, wanted[at][3].GetInt32(), 0);
                }

                foreach (JsonProperty value in check.Out.GetProperty("area_by_value").EnumerateObject())
                {
                    double area = regions
                        .Where(region => region.Value == int.Parse(value.Name))
                        .Sum(region => region.Area);
                    tally.Compare(check.Id, $"area of {value.Name}", area * cell * cell, value.Value.GetDouble(), 1e-9);
                }
            }
        }

        return tally;
    }
}
