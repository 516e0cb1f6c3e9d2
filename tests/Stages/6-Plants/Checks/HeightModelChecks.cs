using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Plants;
using Hillrow.TestSupport;

namespace Hillrow.Checks;

/// <summary>
/// The plant part of tests/Reference/height-models: plants and their heights on synthetic slopes. The true ground is
/// given to this room (filtering ground is Reconstruction's); the reflectance is what canopy higher than 0.1 m would give.
/// </summary>
public static class HeightModelChecks
{
    public static CheckTally Plants()
    {
        CheckTally tally = new();
        CheckBook book = CheckBook.Open("height-models", "scenes.json");
        foreach (CheckCase check in book.Cases)
        {
            string dsm = check.In.GetProperty("dsm").GetString()!;
            string scene = dsm.Replace("_dsm.csv", "", StringComparison.Ordinal);
            double cell = check.In.GetProperty("dsm_cell_m").GetDouble();
            double[][] surface = Table(dsm);
            double[][] ground = Table(scene + "_dtm_true.csv");
            var plants = File.ReadLines(RepositoryFiles.Reference("height-models", scene + "_plants.csv"))
                .Skip(1)
                .Select(line => line.Split(','))
                .Select(parts =>
                    (
                        X: double.Parse(parts[0]),
                        Y: double.Parse(parts[1]),
                        Height: double.Parse(parts[2]),
                        Crop: parts[4] == "crop"
                    )
                )
                .ToList();
            BlockPlants found = Find(surface, ground, cell);
            var parameters = check.In.GetProperty("ground_formula_parameters");
            double reach =
                Math.Min(parameters.GetProperty("row").GetDouble(), parameters.GetProperty("plant").GetDouble()) / 2;
            GridPoint[] truth = [.. plants.Where(plant => plant.Crop).Select(plant => new GridPoint(plant.X, plant.Y))];
            double[] heights = [.. plants.Where(plant => plant.Crop).Select(plant => plant.Height)];
            GridPoint[] seen = [.. found.Plants.Select(plant => plant.Place)];
            int[] pair = PlantScore.Match(truth, seen, reach);
            int hits = pair.Count(at => at >= 0);
            double f1 = 2.0 * hits / (truth.Length + seen.Length);
            double bound = check.Out.GetProperty("detection_f1_bound").GetDouble();
            tally.IsTrue(
                check.Id,
                $"F1 {f1:F3} of at least {bound} ({hits} of {truth.Length}, {seen.Length} found, {found.Rows.Count} rows, {found.RowSpacingMetres:F2} × {found.PlantSpacingMetres:F2} m, {found.Gaps.Count} gaps)",
                f1 >= bound
            );
            double[] off =
            [
                .. pair.Select(
                        (at, index) =>
                            at < 0 ? double.NaN : Math.Abs(found.Plants[at].TopHeightMetres.Value - heights[index])
                    )
                    .Where(double.IsFinite),
            ];
            double most = check.Out.GetProperty("plant_height_mean_abs_error_bound_m").GetDouble();
            tally.IsTrue(
                check.Id,
                $"mean height error {off.Average():F3} m of at most {most} m",
                off.Average() <= most
            );
        }

        return tally;
    }

    private static BlockPlants Find(double[][] surface, double[][] ground, double cell)
    {
        GridGeometry grid = new(
            ReferenceSystem.Utm(18, true),
            new GridPoint(0, surface.Length * cell),
            cell,
            surface.Length,
            surface[0].Length
        );
        Raster<float> top = new(RasterLabel.OfOneBand(grid, "surface", "m"));
        Raster<float> bare = new(RasterLabel.OfOneBand(grid, "ground", "m"));
        Raster<float> reflectance = new(new RasterLabel(grid, [new BandLabel("red"), new BandLabel("nir")]));
        for (int row = 0; row < grid.Rows; row++)
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                // Relative to the first cell: float keeps millimetres.
                top[0, row, column] = (float)(surface[row][column] - ground[0][0]);
                bare[0, row, column] = (float)(ground[row][column] - ground[0][0]);
                bool canopy = surface[row][column] - ground[row][column] > 0.1;
                reflectance[0, row, column] = canopy ? 0.04f : 0.2f;
                reflectance[1, row, column] = canopy ? 0.45f : 0.3f;
            }
        }

        double side = surface.Length * cell;
        GridPolygon all = new([new(0, 0), new(side, 0), new(side, side), new(0, side)]);
        PlantsInput input = new(MapLayer.Of(reflectance), [new PlantBlock("scene", all)])
        {
            Surface = MapLayer.Of(top),
            Ground = MapLayer.Of(bare),
        };
        return PlantsStage.Run(input, new PlantsSettings(), null, default).Blocks[0];
    }

    private static double[][] Table(string file) =>
        [
            .. File.ReadLines(RepositoryFiles.Reference("height-models", file))
                .Where(line => line.Length > 0)
                .Select(line => line.Split(',').Select(double.Parse).ToArray()),
        ];
}
