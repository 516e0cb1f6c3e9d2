using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>What a position looks like: greenness, height and light over discs about it.</summary>
internal static class PositionLooks
{
    private static readonly double[] Radii = [0.12, 0.25, 0.45];

    // Bands are read over so many rows at a time.
    private const int StripRows = 512;

    /// <param name="input">The maps.</param>
    /// <param name="scene">The block.</param>
    /// <param name="places">Block metres.</param>
    /// <param name="spacing">Metres from plant to plant; discs are shares of it.</param>
    /// <returns>For each place as many finite numbers.</returns>
    public static double[][] Of(
        PlantsInput input,
        BlockScene scene,
        IReadOnlyList<(double X, double Y)> places,
        double spacing
    )
    {
        List<double>[] looks = [.. places.Select(_ => new List<double>())];
        Parallel.For(0, places.Count, at => AddShape(scene, places[at].X, places[at].Y, spacing, looks[at]));
        foreach (string _ in input.Reflectance.BandNames)
        {
            foreach (List<double> own in looks)
            {
                own.Add(0);
            }
        }

        AddLight(input, scene, places, spacing, looks);
        return [.. looks.Select(own => own.ToArray())];
    }

    private static void AddShape(BlockScene scene, double x, double y, double spacing, List<double> looks)
    {
        foreach (double radius in Radii)
        {
            double count = 0;
            double green = 0;
            double squares = 0;
            double canopy = 0;
            double tall = 0;
            double highest = 0;
            foreach (int at in Disc(scene, x, y, radius * spacing, 0, scene.Window.Rows))
            {
                count++;
                green += scene.Vegetation[at];
                squares += scene.Vegetation[at] * scene.Vegetation[at];
                canopy += scene.Canopy[at];
                tall += scene.Tops[at];
                highest = Math.Max(highest, scene.Tops[at]);
            }

            count = Math.Max(1, count);
            looks.Add(green / count);
            looks.Add(Math.Sqrt(Math.Max(0, (squares / count) - (green / count * green / count))));
            looks.Add(canopy / count);
            looks.Add(tall / count);
            looks.Add(highest);
        }
    }

    // Each band's mean over the middle disc, of which the last so many numbers of a place are kept free.
    private static void AddLight(
        PlantsInput input,
        BlockScene scene,
        IReadOnlyList<(double X, double Y)> places,
        double spacing,
        List<double>[] looks
    )
    {
        int bands = input.Reflectance.BandNames.Count;
        double radius = Radii[1] * spacing;
        int reach = (int)Math.Ceiling(radius / scene.Grid.CellSizeMetres) + 1;
        for (int first = 0; first < scene.Window.Rows; first += StripRows)
        {
            int end = Math.Min(scene.Window.Rows, first + StripRows);
            int[] own =
            [
                .. Enumerable
                    .Range(0, places.Count)
                    .Where(at => places[at].Y / scene.Grid.CellSizeMetres is double row && row >= first && row < end),
            ];
            int from = Math.Max(0, first - reach);
            int to = Math.Min(scene.Window.Rows, end + reach);
            for (int band = 0; band < bands && own.Length > 0; band++)
            {
                float[] cells = input.Reflectance.Read(
                    band,
                    new RasterWindow(scene.Window.Row + from, scene.Window.Column, to - from, scene.Window.Columns)
                );
                foreach (int place in own)
                {
                    double sum = 0;
                    int count = 0;
                    foreach (int at in Disc(scene, places[place].X, places[place].Y, radius, from, to))
                    {
                        float value = cells[at - (from * scene.Window.Columns)];
                        (sum, count) = float.IsFinite(value) ? (sum + value, count + 1) : (sum, count);
                    }

                    looks[place][^(bands - band)] = count == 0 ? 0 : sum / count;
                }
            }
        }
    }

    private static IEnumerable<int> Disc(BlockScene scene, double x, double y, double radius, int firstRow, int endRow)
    {
        double cell = scene.Grid.CellSizeMetres;
        int reach = (int)Math.Ceiling(radius / cell);
        (int middleRow, int middleColumn) = ((int)(y / cell), (int)(x / cell));
        for (int row = Math.Max(firstRow, middleRow - reach); row <= Math.Min(endRow - 1, middleRow + reach); row++)
        {
            for (
                int column = Math.Max(0, middleColumn - reach);
                column <= Math.Min(scene.Window.Columns - 1, middleColumn + reach);
                column++
            )
            {
                double down = ((row + 0.5) * cell) - y;
                double across = ((column + 0.5) * cell) - x;
                if ((down * down) + (across * across) <= radius * radius)
                {
                    yield return (row * scene.Window.Columns) + column;
                }
            }
        }
    }
}
