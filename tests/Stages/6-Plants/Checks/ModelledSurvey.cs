using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Plants;

namespace Hillrow.Checks;

/// <summary>
/// A modelled block as a survey would map it: surface, ground and reflectance with errors of the kind and size of real
/// reconstruction, and told sigmas that know part of them. docs/decisions/0044 lists them all.
/// </summary>
public sealed class ModelledSurvey
{
    private const int SurfaceFactor = 2;
    private const double SmearMetres = 0.10;
    private const double WindowMetres = 0.12;
    private const double WindowNoiseMetres = 0.05;
    private const double CellNoiseMetres = 0.03;
    private const double LostTopShare = 0.02;
    private const double LostTopSpread = 0.015;
    private const double GroundNoiseMetres = 0.04;
    private const double GroundReachMetres = 2;
    private const double GroundLevelMetres = 0.02;
    private const double PatchMetres = 12;
    private const double CommonLight = 0.008;
    private const double OwnLight = 0.012;
    private const double PixelNoise = 0.03;
    private const double ResamplingPixels = 0.6;
    private const double LargestViewSlope = 0.13;
    private const double LeafTexture = 0.08;
    private const double LeafMetres = 0.1;

    private readonly SplittableRandom random;
    private readonly Raster<float> reflectance;
    private readonly Raster<float> sigma;
    private readonly Raster<float> surface;
    private readonly Raster<float> ground;
    private readonly Raster<float> heightSigma;

    private ModelledSurvey(ModelledPlanting planting, ulong seed)
    {
        random = new SplittableRandom(seed).Split("survey");
        Block = ModelledBlock.Make(
            planting with
            {
                HeightNoise = 0,
                PixelNoise = 0,
                StemOffsetMetres = 0.06,
                LobeScale = 1.6,
                KeepOwners = true,
            },
            seed
        );
        Leaves();
        Truth = TrueCrown.Of(Block);
        (surface, ground, heightSigma) = Heights();
        (reflectance, sigma) = Light();
    }

    /// <summary>As it stands, without errors.</summary>
    public ModelledBlock Block { get; }

    /// <summary>One for each plant of the block.</summary>
    public IReadOnlyList<TrueCrown> Truth { get; }

    public PlantsInput Input =>
        new(MapLayer.Of(reflectance), [new PlantBlock("North", Block.Boundary)])
        {
            Sigma = MapLayer.Of(sigma),
            Surface = MapLayer.Of(surface),
            Ground = MapLayer.Of(ground),
            HeightSigma = MapLayer.Of(heightSigma),
        };

    public static ModelledSurvey Make(ModelledPlanting planting, ulong seed) => new(planting, seed);

    private void Leaves()
    {
        Raster<float> map = Block.Reflectance;
        float[] texture = Field("leaves", map.Rows, map.Columns, LeafMetres / map.Grid.CellSizeMetres);
        foreach (BandLabel band in map.Label.Bands)
        {
            Span<float> cells = map.Band(band.Name);
            for (int at = 0; at < cells.Length; at++)
            {
                cells[at] *= 1 + (float)(LeafTexture * texture[at]);
            }
        }
    }

    private (Raster<float> Map, Raster<float> Sigma) Light()
    {
        Raster<float> clean = Block.Reflectance;
        int[] seen = Seen();
        int rows = clean.Rows;
        int columns = clean.Columns;
        Raster<float> map = new(clean.Label);
        Raster<float> told = new(clean.Label);
        double cell = clean.Grid.CellSizeMetres;
        SplittableRandom light = random.Split("light");
        double factor = Math.Exp(0.2 * light.NextGaussian());
        SplittableRandom common = light.Split("common");
        double ratio = Math.Sqrt((CommonLight * CommonLight) + (OwnLight * OwnLight) + (PixelNoise * PixelNoise / 4.5));
        foreach (BandLabel band in clean.Label.Bands)
        {
            SplittableRandom own = light.Split(band.Name);
            float[] noisy = new float[rows * columns];
            ReadOnlySpan<float> from = clean.Band(band.Name);
            for (int at = 0; at < noisy.Length; at++)
            {
                ulong patch = PatchOf(at / columns * cell, at % columns * cell);
                double level =
                    1
                    + (CommonLight * common.Split(patch).NextGaussian())
                    + (OwnLight * own.Split(patch).NextGaussian());
                noisy[at] = (float)(from[seen[at]] * level * (1 + (PixelNoise * own.NextGaussian())));
            }

            GaussianFilter.Smooth<float>(noisy, rows, columns, ResamplingPixels, Border.Nearest, map.Band(band.Name));
            for (int at = 0; at < noisy.Length; at++)
            {
                told.Band(band.Name)[at] = (float)(map.Band(band.Name)[at] * ratio * factor);
            }
        }

        return (map, told);
    }

    /// <summary>
    /// What each map cell shows: the map is draped over the told surface, and a capture that looks aslant sees past its
    /// errors to another place. Marched down each cell's line of sight to the true surface.
    /// </summary>
    private int[] Seen()
    {
        GridGeometry fine = Block.Grid;
        double cell = fine.CellSizeMetres;
        float[] told = MapLayer.Of(surface).ReadOn(fine, new RasterWindow(0, 0, fine.Rows, fine.Columns), 0);
        ReadOnlySpan<float> real = Block.Surface.Band(0);
        SplittableRandom views = random.Split("views");
        int[] seen = new int[told.Length];
        for (int at = 0; at < seen.Length; at++)
        {
            (int row, int column) = (at / fine.Columns, at % fine.Columns);
            SplittableRandom view = views.Split(PatchOf(row * cell, column * cell));
            double across = LargestViewSlope * ((2 * view.NextDouble()) - 1);
            double down = LargestViewSlope * ((2 * view.NextDouble()) - 1);
            seen[at] = at;
            double start = float.IsFinite(told[at]) ? told[at] : real[at];
            for (double rise = 1; rise >= -3; rise -= 0.03)
            {
                int r = Math.Clamp((int)Math.Floor(row + 0.5 + (down * rise / cell)), 0, fine.Rows - 1);
                int c = Math.Clamp((int)Math.Floor(column + 0.5 + (across * rise / cell)), 0, fine.Columns - 1);
                seen[at] = (r * fine.Columns) + c;
                if (real[seen[at]] >= start + rise)
                {
                    break;
                }
            }
        }

        return seen;
    }

    /// <summary>Number of the patch that one capture gave the map.</summary>
    private ulong PatchOf(double southMetres, double eastMetres)
    {
        SplittableRandom start = random.Split("patches");
        int column = (int)((eastMetres + (PatchMetres * start.NextDouble())) / PatchMetres);
        int row = (int)((southMetres + (PatchMetres * start.NextDouble())) / PatchMetres);
        return (ulong)((row * 1000) + column);
    }

    private (Raster<float> Surface, Raster<float> Ground, Raster<float> Sigma) Heights()
    {
        GridGeometry fine = Block.Grid;
        int rows = fine.Rows / SurfaceFactor;
        int columns = fine.Columns / SurfaceFactor;
        double cell = SurfaceFactor * fine.CellSizeMetres;
        GridGeometry grid = new(
            fine.ReferenceSystem,
            new GridPoint(fine.WestMetres, fine.NorthMetres),
            cell,
            rows,
            columns
        );
        SplittableRandom level = random.Split("heights");
        double kept = 1 - LostTopShare + (LostTopSpread * level.NextGaussian());
        double groundLevel = GroundLevelMetres * level.NextGaussian();
        double factor = Math.Exp(0.15 * level.NextGaussian());
        float[] bare = Coarse(Block.Ground, rows, columns);
        float[] tall = Coarse(Block.Surface, rows, columns);
        for (int at = 0; at < tall.Length; at++)
        {
            tall[at] -= bare[at];
        }

        float[] smeared = new float[tall.Length];
        GaussianFilter.Smooth<float>(tall, rows, columns, SmearMetres / cell, Border.Nearest, smeared);
        float[] windows = Field("windows", rows, columns, WindowMetres / cell);
        float[] below = Field("ground", rows, columns, GroundReachMetres / cell);
        float[] doubt = Field("doubt", rows, columns, 0.3 / cell);
        SplittableRandom noise = random.Split("cells");
        Raster<float> top = new(RasterLabel.OfOneBand(grid, "surface", "m"));
        Raster<float> bottom = new(RasterLabel.OfOneBand(grid, "ground", "m"));
        Raster<float> told = new(RasterLabel.OfOneBand(grid, "sigma", "m"));
        for (int at = 0; at < tall.Length; at++)
        {
            top.Band(0)[at] = (float)(
                bare[at]
                + (kept * smeared[at])
                + (WindowNoiseMetres * windows[at])
                + (CellNoiseMetres * noise.NextGaussian())
            );
            bottom.Band(0)[at] = (float)(bare[at] + groundLevel + (GroundNoiseMetres * below[at]));
            double lost = smeared[at] * Math.Sqrt((LostTopShare * LostTopShare) + (LostTopSpread * LostTopSpread));
            double variance =
                (WindowNoiseMetres * WindowNoiseMetres)
                + (CellNoiseMetres * CellNoiseMetres)
                + (GroundNoiseMetres * GroundNoiseMetres)
                + (GroundLevelMetres * GroundLevelMetres)
                + (lost * lost);
            told.Band(0)[at] = (float)(Math.Sqrt(variance) * factor * Math.Exp(0.25 * doubt[at]));
        }

        return (top, bottom, told);
    }

    private static float[] Coarse(Raster<float> fine, int rows, int columns)
    {
        float[] means = new float[rows * columns];
        for (int at = 0; at < means.Length; at++)
        {
            double sum = 0;
            for (int part = 0; part < SurfaceFactor * SurfaceFactor; part++)
            {
                sum += fine[
                    0,
                    (at / columns * SurfaceFactor) + (part / SurfaceFactor),
                    (at % columns * SurfaceFactor) + (part % SurfaceFactor)
                ];
            }

            means[at] = (float)(sum / (SurfaceFactor * SurfaceFactor));
        }

        return means;
    }

    /// <summary>Noise of spread 1, smooth over a distance in cells.</summary>
    private float[] Field(string name, int rows, int columns, double reachCells)
    {
        SplittableRandom draw = random.Split(name);
        float[] white = new float[rows * columns];
        foreach (ref float value in white.AsSpan())
        {
            value = (float)draw.NextGaussian();
        }

        float[] smooth = new float[white.Length];
        GaussianFilter.Smooth<float>(white, rows, columns, reachCells, Border.Reflect, smooth);
        double spread = Math.Sqrt(smooth.Average(value => (double)value * value));
        foreach (ref float value in smooth.AsSpan())
        {
            value = (float)(value / spread);
        }

        return smooth;
    }
}
