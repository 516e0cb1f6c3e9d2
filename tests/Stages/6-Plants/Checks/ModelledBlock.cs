using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Plants;

namespace Hillrow.Checks;

/// <summary>A plant of a modelled block, in metres east and north of its south-west corner.</summary>
public sealed record ModelledPlant(double X, double Y, double HeightMetres, double RadiusMetres, int Row);

/// <summary>How a block is modelled.</summary>
public sealed record ModelledPlanting
{
    public double SideMetres { get; init; } = 60;
    public double CellMetres { get; init; } = 0.05;
    public double PlantSpacing { get; init; } = 1.5;
    public double RowSpacing { get; init; } = 2.5;
    public double GapShare { get; init; } = 0.05;
    public double RadiusMean { get; init; } = 0.66;
    public double HeightMean { get; init; } = 1.9;
    public double SlopeDegrees { get; init; } = 25;
    public double BendMetres { get; init; } = 4;
    public double HeadingDegrees { get; init; } = 20;
    public double WeedsPerSquareMetre { get; init; } = 0.15;
    public double HeightNoise { get; init; } = 0.03;
    public double MarginMetres { get; init; } = 3;
    public int ShadeTrees { get; init; }

    /// <summary>Of NDVI and near infrared, cell by cell.</summary>
    public double PixelNoise { get; init; } = 0.04;

    /// <summary>A crown's middle lies off its stem by this, east and north.</summary>
    public double StemOffsetMetres { get; init; }

    /// <summary>Depth of the crowns' lobes, of 4 to 10 % of the radius.</summary>
    public double LobeScale { get; init; } = 1;

    /// <summary>Keeps whose every cell is: four bytes a cell more.</summary>
    public bool KeepOwners { get; init; }
}

/// <summary>
/// A block with known truth: rows that bend with the contours of a slope, crowns with soft lobed edges, weeds between
/// them, noise. Independent of the Rehearsal room, quick, and free of any reconstruction error.
/// </summary>
public sealed class ModelledBlock
{
    public const double West = 500_000;
    public const double South = 4_600_000;

    private ModelledBlock(ModelledPlanting planting)
    {
        Planting = planting;
        int cells = (int)Math.Round(planting.SideMetres / planting.CellMetres);
        Grid = new GridGeometry(
            ReferenceSystem.Utm(18, true),
            new GridPoint(West, South + planting.SideMetres),
            planting.CellMetres,
            cells,
            cells
        );
        Reflectance = new Raster<float>(
            new RasterLabel(
                Grid,
                [
                    new BandLabel("blue"),
                    new BandLabel("green"),
                    new BandLabel("red"),
                    new BandLabel("rededge"),
                    new BandLabel("nir"),
                ]
            )
        );
        Surface = new Raster<float>(RasterLabel.OfOneBand(Grid, "surface", "m"));
        Ground = new Raster<float>(RasterLabel.OfOneBand(Grid, "ground", "m"));
    }

    public ModelledPlanting Planting { get; }
    public GridGeometry Grid { get; }
    public Raster<float> Reflectance { get; }
    public Raster<float> Surface { get; }
    public Raster<float> Ground { get; }
    public List<ModelledPlant> Plants { get; } = [];
    public List<ModelledPlant> Gaps { get; } = [];

    /// <summary>Those of the gaps that lie between two plants of their row.</summary>
    public List<ModelledPlant> InnerGaps { get; } = [];
    public List<ModelledPlant> Hidden { get; } = [];

    /// <summary>True crown area of each plant as drawn, square metres: cells that are its own in the drawn picture.</summary>
    public double[] DrawnAreas { get; private set; } = [];

    /// <summary>Plant of each cell from 1, below 0 for weeds, 0 for ground; empty unless asked for.</summary>
    public int[] Owners { get; private set; } = [];

    public GridPolygon Boundary =>
        new([
            new GridPoint(West + 1, South + 1),
            new GridPoint(West + Planting.SideMetres - 1, South + 1),
            new GridPoint(West + Planting.SideMetres - 1, South + Planting.SideMetres - 1),
            new GridPoint(West + 1, South + Planting.SideMetres - 1),
        ]);

    public PlantsInput Input(bool withHeight, bool spacingsGiven = false) =>
        new(
            MapLayer.Of(Reflectance),
            [
                new PlantBlock("North", Boundary)
                {
                    PlantSpacingMetres = spacingsGiven ? Planting.PlantSpacing : null,
                    RowSpacingMetres = spacingsGiven ? Planting.RowSpacing : null,
                },
            ]
        )
        {
            Surface = withHeight ? MapLayer.Of(Surface) : null,
            Ground = withHeight ? MapLayer.Of(Ground) : null,
        };

    public static ModelledBlock Make(ModelledPlanting planting, ulong seed)
    {
        ModelledBlock block = new(planting);
        SplittableRandom random = new(seed);
        block.Plant(random.Split("plants"));
        block.Draw(random.Split("picture"));
        return block;
    }

    /// <summary>The same block drawn again with other plants (another date).</summary>
    public static ModelledBlock Redraw(ModelledPlanting planting, IEnumerable<ModelledPlant> plants, ulong seed)
    {
        ModelledBlock block = new(planting);
        block.Plants.AddRange(plants);
        block.Draw(new SplittableRandom(seed).Split("picture"));
        return block;
    }

    private void Plant(SplittableRandom random)
    {
        double side = Planting.SideMetres;
        double turn = Planting.HeadingDegrees * Math.PI / 180;
        double half = side / 2;
        int rows = (int)(side / Planting.RowSpacing) + 4;
        int number = 0;
        for (int row = -rows; row <= rows; row++)
        {
            double v = (row * Planting.RowSpacing) + (Planting.RowSpacing * 0.03 * random.NextGaussian());
            double start = random.NextDouble() * Planting.PlantSpacing;
            int placed = 0;
            bool first = true;
            List<ModelledPlant> sinceLast = [];
            for (double u = -side + start; u < side; u += Planting.PlantSpacing)
            {
                double across = v + (Planting.BendMetres * Math.Sin(u / 17)) + (0.06 * random.NextGaussian());
                double along = u + (0.08 * random.NextGaussian());
                double x = half + (along * Math.Cos(turn)) - (across * Math.Sin(turn));
                double y = half + (along * Math.Sin(turn)) + (across * Math.Cos(turn));
                double vigour = Math.Max(0.35, 1 + (0.16 * random.NextGaussian()));
                bool gap = random.NextDouble() < Planting.GapShare;
                if (
                    x < Planting.MarginMetres
                    || y < Planting.MarginMetres
                    || x > side - Planting.MarginMetres
                    || y > side - Planting.MarginMetres
                )
                {
                    continue;
                }

                placed++;
                ModelledPlant plant = new(
                    x,
                    y,
                    Planting.HeightMean * vigour,
                    Planting.RadiusMean * Math.Sqrt(vigour),
                    number
                );
                if (gap)
                {
                    // All missing plants are the truth; those between two plants of their row are also kept apart.
                    Gaps.Add(plant);
                    sinceLast.Add(plant);
                    continue;
                }

                InnerGaps.AddRange(first ? [] : sinceLast);
                sinceLast.Clear();
                first = false;
                Plants.Add(plant);
            }

            number += placed > 0 ? 1 : 0;
        }
    }

    public double GroundAt(double x, double y)
    {
        double turn = Planting.HeadingDegrees * Math.PI / 180;
        double across =
            ((y - (Planting.SideMetres / 2)) * Math.Cos(turn)) - ((x - (Planting.SideMetres / 2)) * Math.Sin(turn));
        double along =
            ((x - (Planting.SideMetres / 2)) * Math.Cos(turn)) + ((y - (Planting.SideMetres / 2)) * Math.Sin(turn));
        return 1500
            + (
                Math.Tan(Planting.SlopeDegrees * Math.PI / 180)
                * (across - (Planting.BendMetres * Math.Sin(along / 17)))
            )
            + (0.3 * Math.Sin(x / 4.1) * Math.Cos(y / 5.3));
    }

    private void Draw(SplittableRandom random)
    {
        int n = Grid.Columns;
        int[] owner = new int[n * n];
        float[] height = new float[n * n];
        float[] green = new float[n * n];
        double side = Planting.SideMetres;
        int weeds = (int)(Planting.WeedsPerSquareMetre * side * side);
        for (int weed = 0; weed < weeds; weed++)
        {
            Blob(
                random.NextDouble() * side,
                random.NextDouble() * side,
                0.05 + (0.25 * random.NextDouble()),
                0.1 + (0.35 * random.NextDouble()),
                -1,
                0.55 + (0.25 * random.NextDouble())
            );
        }

        SplittableRandom stems = random.Split("stems");
        for (int plant = 0; plant < Plants.Count; plant++)
        {
            ModelledPlant who = Plants[plant];
            double east = Planting.StemOffsetMetres * stems.NextGaussian();
            double north = Planting.StemOffsetMetres * stems.NextGaussian();
            Blob(
                who.X + east,
                who.Y + north,
                who.HeightMetres,
                who.RadiusMetres,
                plant + 1,
                0.82 + (0.04 * random.NextGaussian())
            );
        }

        Owners = Planting.KeepOwners ? owner : [];
        DrawnAreas = new double[Plants.Count];
        double cellArea = Planting.CellMetres * Planting.CellMetres;
        for (int at = 0; at < owner.Length; at++)
        {
            int row = at / n;
            int column = at % n;
            double x = (column + 0.5) * Planting.CellMetres;
            double y = side - ((row + 0.5) * Planting.CellMetres);
            if (owner[at] > 0)
            {
                DrawnAreas[owner[at] - 1] += cellArea;
            }

            double ground = GroundAt(x, y);
            Ground.Band(0)[at] = (float)ground;
            Surface.Band(0)[at] = (float)(ground + height[at] + (Planting.HeightNoise * random.NextGaussian()));
            double ndvi = (owner[at] != 0 ? green[at] : 0.18) + (Planting.PixelNoise * random.NextGaussian());
            double nir =
                owner[at] > 0 ? 0.45 + (Planting.PixelNoise * random.NextGaussian())
                : owner[at] < 0 ? 0.38
                : 0.3;
            double red = nir * (1 - ndvi) / (1 + ndvi);
            Reflectance.Band("nir")[at] = (float)nir;
            Reflectance.Band("red")[at] = (float)red;
            Reflectance.Band("blue")[at] = (float)(0.6 * red);
            Reflectance.Band("green")[at] = (float)(0.4 * red + 0.05);
            Reflectance.Band("rededge")[at] = (float)(0.5 * (nir + red));
        }

        void Blob(double cx, double cy, double tall, double radius, int who, double ndvi)
        {
            double phase = random.NextDouble() * Math.Tau;
            double lobes = Planting.LobeScale * (0.04 + (0.06 * random.NextDouble()));
            int reach = (int)Math.Ceiling(1.2 * radius / Planting.CellMetres) + 1;
            int centreColumn = (int)(cx / Planting.CellMetres);
            int centreRow = (int)((side - cy) / Planting.CellMetres);
            for (int r = Math.Max(0, centreRow - reach); r <= Math.Min(n - 1, centreRow + reach); r++)
            {
                for (int c = Math.Max(0, centreColumn - reach); c <= Math.Min(n - 1, centreColumn + reach); c++)
                {
                    double dx = ((c + 0.5) * Planting.CellMetres) - cx;
                    double dy = side - ((r + 0.5) * Planting.CellMetres) - cy;
                    double edge = radius * (1 + (lobes * Math.Sin((3 * Math.Atan2(dy, dx)) + phase)));
                    double share = Math.Sqrt((dx * dx) + (dy * dy)) / edge;
                    if (share >= 1)
                    {
                        continue;
                    }

                    double z = tall * (0.3 + (0.7 * Math.Sqrt(1 - (share * share))));
                    int at = (r * n) + c;
                    if (z > height[at])
                    {
                        height[at] = (float)z;
                        owner[at] = who;
                        green[at] = (float)ndvi;
                    }
                }
            }
        }
    }
}
