using Hillrow.Imaging;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Plants;

/// <summary>What a survey shows within a small circle.</summary>
/// <param name="Look">Canopy's height over the typical plant's, or without heights NDVI; mean.</param>
/// <param name="Canopy">Share that is canopy.</param>
/// <param name="Hidden">Why the place cannot be seen; empty when it can.</param>
internal readonly record struct PlaceLook(double Look, double Canopy, string Hidden);

/// <summary>Looks at places of a block, block metres from its north-west corner.</summary>
internal sealed class PlaceLooks
{
    // Ground in shadow is about this much darker than the same ground in the sun, or darker still (common practice, no source).
    private const double ShadowBrightness = 0.5;

    private readonly PlantsInput input;
    private readonly BlockScene scene;
    private readonly int red;
    private readonly int nir;
    private readonly double usualBrightness;
    private readonly double shadowLimit;

    public PlaceLooks(PlantsInput input, BlockScene scene, PlantsSettings settings)
    {
        (this.input, this.scene, shadowLimit) = (input, scene, settings.ShadowLimit);
        red = input.Reflectance.IndexOf("red")!.Value;
        nir = input.Reflectance.IndexOf("nir")!.Value;
        usualBrightness = BareBrightness();
    }

    public PlaceLook At(double x, double y, double radius)
    {
        double cell = scene.Grid.CellSizeMetres;
        int columns = scene.Window.Columns;
        int row0 = Math.Max(0, (int)Math.Floor((y - radius) / cell));
        int row1 = Math.Min(scene.Window.Rows - 1, (int)Math.Floor((y + radius) / cell));
        int column0 = Math.Max(0, (int)Math.Floor((x - radius) / cell));
        int column1 = Math.Min(columns - 1, (int)Math.Floor((x + radius) / cell));
        if (row1 < row0 || column1 < column0)
        {
            return new PlaceLook(double.NaN, 0, "off the map");
        }

        RasterWindow window = new(row0, column0, row1 - row0 + 1, column1 - column0 + 1);
        float[] light = Brightness(window);
        float[] shadow = Shadow(window);
        (int count, int missing, int shade, int canopy, int dark, int seen, int unmeasured) = (0, 0, 0, 0, 0, 0, 0);
        double sum = 0;
        for (int row = row0; row <= row1; row++)
        {
            for (int column = column0; column <= column1; column++)
            {
                double dx = ((column + 0.5) * cell) - x;
                double dy = ((row + 0.5) * cell) - y;
                if ((dx * dx) + (dy * dy) > Math.Max(radius * radius, cell * cell / 2))
                {
                    continue;
                }

                int at = (row * columns) + column;
                int near = ((row - row0) * window.Columns) + column - column0;
                count++;
                shade += scene.Shade[at];
                unmeasured += scene.NoHeight.Length > 0 ? scene.NoHeight[at] : 0;
                if (scene.Missing[at] != 0)
                {
                    missing++;
                    continue;
                }

                seen++;
                canopy += scene.Canopy[at];
                bool isDark =
                    shadow.Length > 0 ? shadow[near] > shadowLimit : light[near] < ShadowBrightness * usualBrightness;
                dark += isDark && scene.Canopy[at] == 0 ? 1 : 0;
                sum += LookOf(at);
            }
        }

        string hidden = BlindPlace.Because(count, missing, shade, unmeasured, dark);
        return seen == 0
            ? new PlaceLook(double.NaN, 0, hidden)
            : new PlaceLook(sum / seen, (double)canopy / seen, hidden);
    }

    private double LookOf(int at) =>
        scene.Height is null ? scene.Vegetation[at]
        : scene.Canopy[at] == 0 ? 0
        : Math.Clamp(scene.Tops[at] / scene.TypicalHeightMetres, 0, 1.6);

    private float[] Brightness(RasterWindow window)
    {
        RasterWindow map = OnMap(window);
        float[] values = input.Reflectance.Read(red, map);
        float[] more = input.Reflectance.Read(nir, map);
        for (int at = 0; at < values.Length; at++)
        {
            values[at] += more[at];
        }

        return values;
    }

    private float[] Shadow(RasterWindow window)
    {
        if (input.Shadow is not { } shadow)
        {
            return [];
        }

        float[] values = new float[(int)window.CellCount];
        shadow.ReadOn(input.Reflectance.Grid, OnMap(window), 0, values);
        return values;
    }

    private RasterWindow OnMap(RasterWindow window) =>
        new(scene.Window.Row + window.Row, scene.Window.Column + window.Column, window.Rows, window.Columns);

    // Of what is no canopy, from some hundred rows of the block.
    private double BareBrightness()
    {
        List<double> light = [];
        int step = Math.Max(1, scene.Window.Rows / 100);
        for (int row = 0; row < scene.Window.Rows; row += step)
        {
            float[] values = Brightness(new RasterWindow(row, 0, 1, scene.Window.Columns));
            for (int column = 0; column < values.Length; column++)
            {
                int at = (row * scene.Window.Columns) + column;
                if (scene.Inside[at] != 0 && scene.Missing[at] == 0 && scene.Canopy[at] == 0)
                {
                    light.Add(values[column]);
                }
            }
        }

        return light.Count == 0 ? 0 : Quantiles.Median([.. light]);
    }
}
