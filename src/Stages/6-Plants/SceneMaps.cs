using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>Greenness over a block's window.</summary>
/// <param name="Ndvi">0 where missing.</param>
/// <param name="Missing">1 where the map holds no data.</param>
/// <param name="MissingShare">Of the cells inside the block.</param>
internal sealed record SceneGreenness(float[] Ndvi, byte[] Missing, double MissingShare);

/// <summary>Height above ground over a block's window.</summary>
/// <param name="Metres">0 where missing.</param>
/// <param name="Unseen">1 over places as large as a crown where the surface was not measured.</param>
/// <param name="SurfaceCellMetres">Cell of the surface when it is coarser than the map, 0 otherwise.</param>
/// <param name="Downhill">Direction of fall of the ground, x east and y south; null when level.</param>
internal sealed record SceneHeights(
    float[] Metres,
    byte[] Unseen,
    double SurfaceCellMetres,
    (double X, double Y)? Downhill
);

/// <summary>Reads a block's maps strip by strip, so that only what is kept stands in memory as a whole.</summary>
internal static class SceneMaps
{
    // Tiles of the usual files are this high: a strip reads each of them once.
    private const int StripRows = 512;

    private const double HighestPlantMetres = 40;

    // Surface holes narrower than twice this are trusted to have been filled in well.
    private const double NarrowHoleMetres = 0.2;

    // The fall of the ground is read between places this far apart.
    private const double FallMetres = 2;

    /// <param name="window">Of the reflectance map.</param>
    /// <param name="inside">1 inside the block, cells of the window.</param>
    public static SceneGreenness Greenness(PlantsInput input, RasterWindow window, ReadOnlySpan<byte> inside)
    {
        int redBand = input.Reflectance.IndexOf("red")!.Value;
        int nirBand = input.Reflectance.IndexOf("nir")!.Value;
        float[] ndvi = new float[checked((int)window.CellCount)];
        byte[] missing = new byte[ndvi.Length];
        float[] red = StripBuffer(window);
        float[] nir = StripBuffer(window);
        long absentInside = 0;
        long allInside = 0;
        foreach ((RasterWindow strip, int first) in Strips(window))
        {
            input.Reflectance.Read(redBand, strip, red);
            input.Reflectance.Read(nirBand, strip, nir);
            for (int at = 0; at < (int)strip.CellCount; at++)
            {
                float value = (nir[at] - red[at]) / (nir[at] + red[at]);
                bool absent = !float.IsFinite(value);
                missing[first + at] = absent ? (byte)1 : (byte)0;
                ndvi[first + at] = absent ? 0 : Math.Clamp(value, -1, 1);
                absentInside += inside[first + at] & missing[first + at];
                allInside += inside[first + at];
            }
        }

        return new SceneGreenness(ndvi, missing, allInside == 0 ? 1 : (double)absentInside / allInside);
    }

    /// <summary>Bright level of the near infrared over all of the block's canopy, as captures saw it; NaN without canopy.</summary>
    public static double BrightLeaves(PlantsInput input, BlockScene scene)
    {
        const int Steps = 2000;
        const float Most = 1.5f;
        MapLayer seen = input.AsSeen ?? input.Reflectance;
        int nirBand = input.Reflectance.IndexOf("nir")!.Value;
        float[] nir = StripBuffer(scene.Window);
        long[] counts = new long[Steps];
        long all = 0;
        foreach ((RasterWindow strip, int first) in Strips(scene.Window))
        {
            seen.Read(nirBand, strip, nir);
            for (int at = 0; at < (int)strip.CellCount; at++)
            {
                if (scene.Canopy[first + at] != 0 && nir[at] > 0)
                {
                    counts[Math.Min(Steps - 1, (int)(nir[at] / Most * Steps))]++;
                    all++;
                }
            }
        }

        long below = 0;
        for (int step = 0; step < Steps; step++)
        {
            below += counts[step];
            if (all > 0 && below >= LitLeaves.BrightQuantile * all)
            {
                return (step + 0.5) * Most / Steps;
            }
        }

        return double.NaN;
    }

    /// <returns>Null without surface and ground, or where they cover less than half of the window.</returns>
    public static SceneHeights? Heights(PlantsInput input, RasterWindow window, ReadOnlySpan<byte> inside)
    {
        if (input.Surface is not { } surface || input.Ground is not { } ground)
        {
            return null;
        }

        GridGeometry map = input.Reflectance.Grid;
        float[] height = new float[checked((int)window.CellCount)];
        byte[] absent = new byte[height.Length];
        float[] below = StripBuffer(window);
        float[] above = StripBuffer(window);
        float[] seen = input.HeightSeen is null ? [] : StripBuffer(window);
        GroundFall fall = new(Math.Max(1, (int)(FallMetres / map.CellSizeMetres)), window);
        long present = 0;
        foreach ((RasterWindow strip, int first) in Strips(window))
        {
            surface.ReadOn(map, strip, 0, above);
            ground.ReadOn(map, strip, 0, below);
            input.HeightSeen?.ReadOn(map, strip, 0, seen);
            fall.Take(below, strip);
            for (int at = 0; at < (int)strip.CellCount; at++)
            {
                float metres = above[at] - below[at];
                bool usable = metres is > -5 and < (float)HighestPlantMetres;
                present += usable ? 1 : 0;
                height[first + at] = usable ? metres : 0;
                absent[first + at] = usable && (seen.Length == 0 || seen[at] >= 0.5f) ? (byte)0 : (byte)1;
            }
        }

        if (present <= height.Length / 2)
        {
            return null;
        }

        // Holes narrower than a young crown are filled well from around.
        MaskReach.KeepWide(absent, window.Rows, window.Columns, NarrowHoleMetres / map.CellSizeMetres);
        double cell = surface.Grid.CellSizeMetres;
        return new SceneHeights(height, absent, cell > 1.01 * map.CellSizeMetres ? cell : 0, fall.Of(inside));
    }

    /// <summary>Strips of a window and the index of their first cell in it.</summary>
    private static IEnumerable<(RasterWindow Strip, int First)> Strips(RasterWindow window)
    {
        int row = 0;
        while (row < window.Rows)
        {
            // They end where the map's tiles end.
            int rows = Math.Min(window.Rows - row, StripRows - ((window.Row + row) % StripRows));
            yield return (
                new RasterWindow(window.Row + row, window.Column, rows, window.Columns),
                row * window.Columns
            );
            row += rows;
        }
    }

    private static float[] StripBuffer(RasterWindow window) =>
        new float[Math.Min(StripRows, window.Rows) * window.Columns];

    /// <summary>Ground heights at every so many rows and columns, and the way they fall.</summary>
    private sealed class GroundFall(int step, RasterWindow window)
    {
        private readonly int rows = ((window.Rows - 1) / step) + 1;
        private readonly int columns = ((window.Columns - 1) / step) + 1;
        private readonly float[] posts = new float[
            (((window.Rows - 1) / step) + 1) * (((window.Columns - 1) / step) + 1)
        ];

        public void Take(float[] ground, RasterWindow strip)
        {
            for (int row = 0; row < strip.Rows; row++)
            {
                int own = strip.Row - window.Row + row;
                for (int column = 0; own % step == 0 && column < columns; column++)
                {
                    posts[(own / step * columns) + column] = ground[(row * window.Columns) + (column * step)];
                }
            }
        }

        public (double X, double Y)? Of(ReadOnlySpan<byte> inside)
        {
            double x = 0;
            double y = 0;
            for (int row = 0; row + 1 < rows; row++)
            {
                for (int column = 0; column + 1 < columns; column++)
                {
                    int at = (row * columns) + column;
                    float east = posts[at] - posts[at + 1];
                    float south = posts[at] - posts[at + columns];
                    bool isIn = inside[(row * step * window.Columns) + (column * step)] != 0;
                    if (isIn && float.IsFinite(east) && float.IsFinite(south))
                    {
                        x += east;
                        y += south;
                    }
                }
            }

            double length = Math.Sqrt((x * x) + (y * y));
            return length > 0 ? (x / length, y / length) : null;
        }
    }
}
