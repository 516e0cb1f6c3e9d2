using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>Where a block's crop is: told from weeds by height, from shade trees by size, from bare ground by greenness.</summary>
internal sealed class CanopyMask
{
    private const double ShadeCellMetres = 0.2;

    // Canopy this wide and far above the crop is a tree of another kind; what lies this near to it is under its branches.
    private const double ShadeTreeSquareMetres = 2.5;
    private const double ShadeReachMetres = 0.8;

    // One canopy's low edges and its tops differ less than this; a crop and the trees that shade it differ more.
    private const double StoreyRatio = 2.2;
    private const double LeastStoreyShare = 0.1;

    // Below the size of a leaf cluster: keeps a noisy pixel from tearing a crown, moves no edge.
    private const double GreenSmoothingMetres = 0.05;

    private readonly GridGeometry grid;
    private readonly byte[] inside;
    private readonly float[] ndvi;
    private readonly byte[] missing;
    private readonly byte[] unseen;

    private CanopyMask(GridGeometry grid, byte[] inside, SceneGreenness greenness, SceneHeights? heights)
    {
        this.grid = grid;
        this.inside = inside;
        (ndvi, missing) = (greenness.Ndvi, greenness.Missing);
        unseen = heights?.Unseen ?? [];
        Cells = new byte[ndvi.Length];
        Shade = new byte[ndvi.Length];
        Tops = [];
    }

    /// <summary>1 where the crop's canopy is seen.</summary>
    public byte[] Cells { get; }

    /// <summary>1 under shade trees.</summary>
    public byte[] Shade { get; }

    /// <summary>What crowns are told apart by, metres: see <see cref="BlockScene.Tops"/>.</summary>
    public float[] Tops { get; private set; }

    /// <summary>Random noise of one cell of the surface, metres; 0 without heights.</summary>
    public double HeightNoiseMetres { get; private set; }

    /// <summary>Usual NDVI of what is no canopy.</summary>
    public double BareGreenness { get; private set; }

    /// <summary>Upper quartile of the crop's height, or without heights of the depth of its tops; metres.</summary>
    public double TypicalHeightMetres { get; private set; }

    private double VegetationThreshold { get; set; }

    /// <param name="grid">Of the block's window.</param>
    /// <param name="inside">1 inside the block.</param>
    /// <param name="greenness">Of the same cells.</param>
    /// <param name="heights">Of the same cells; null: told by greenness alone.</param>
    /// <param name="settings">Thresholds.</param>
    public static CanopyMask Find(
        GridGeometry grid,
        byte[] inside,
        SceneGreenness greenness,
        SceneHeights? heights,
        PlantsSettings settings
    )
    {
        CanopyMask mask = new(grid, inside, greenness, heights);
        mask.FindThreshold(settings);
        if (heights is null)
        {
            mask.FindByGreenness();
        }
        else
        {
            mask.FindByHeight(heights, settings);
        }

        mask.BareGreenness = mask.MedianOffCanopy();
        return mask;
    }

    private void FindThreshold(PlantsSettings settings)
    {
        List<float> greens = [];
        int stride = Math.Max(1, ndvi.Length / 400_000);
        for (int at = 0; at < ndvi.Length; at += stride)
        {
            if (inside[at] != 0 && missing[at] == 0)
            {
                greens.Add(ndvi[at]);
            }
        }

        float[] sample = [.. greens];
        VegetationThreshold =
            sample.Length > 10 && sample.Max() > sample.Min()
                ? Math.Clamp(
                    OtsuThreshold.Of<float>(sample),
                    settings.LeastVegetationNdvi,
                    settings.LargestVegetationNdvi
                )
                : settings.LeastVegetationNdvi;
    }

    private void FindByHeight(SceneHeights heights, PlantsSettings settings)
    {
        float[] height = heights.Metres;
        int stride = Math.Max(1, ndvi.Length / 400_000);
        // Weeds are green too: with heights, greenness only has to exclude what is not alive, height does the rest.
        double green = Math.Min(VegetationThreshold, 0.45);
        List<float> tall = [];
        for (int at = 0; at < height.Length; at += stride)
        {
            if (
                inside[at] != 0
                && missing[at] == 0
                && unseen[at] == 0
                && ndvi[at] > green
                && height[at] > settings.LeastCanopyHeightMetres
            )
            {
                tall.Add(height[at]);
            }
        }

        TypicalHeightMetres = TypicalOf(tall);
        double floor = Math.Clamp(0.22 * TypicalHeightMetres, 0.2, settings.LeastCanopyHeightMetres);
        for (int at = 0; at < Cells.Length; at++)
        {
            Cells[at] = missing[at] == 0 && ndvi[at] > green && height[at] > floor ? (byte)1 : (byte)0;
        }

        HeightNoiseMetres = NoiseOf(heights);
        MaskShadeTrees(settings, height);
        Tops = WithGreenTops(height);
    }

    // The upper quartile of canopy; of the lower storey where there are two, since shade trees may cover most of a block.
    private static double TypicalOf(List<float> tall)
    {
        if (tall.Count <= 20)
        {
            return 1;
        }

        tall.Sort();
        float[] all = [.. tall];
        int split = all.Length;
        if (all[^1] > all[0])
        {
            double between = OtsuThreshold.Of<float>(all);
            split = Array.FindIndex(all, height => height > between);
        }

        bool twoStoreys =
            split >= LeastStoreyShare * all.Length
            && split < all.Length
            && all[(split + all.Length) / 2] > StoreyRatio * all[(int)(0.75 * (split - 1))];
        return all[(int)(0.75 * ((twoStoreys ? split : all.Length) - 1))];
    }

    // Where no height was measured the canopy is where it is green, and its tops are as far above the edge as usual.
    private float[] WithGreenTops(float[] height)
    {
        if (unseen.AsSpan().IndexOf((byte)1) < 0)
        {
            return height;
        }

        (byte[] green, float[] depth, double typical) = GreenCanopy();
        float[] tops = [.. height];
        for (int at = 0; at < tops.Length; at++)
        {
            if (unseen[at] != 0)
            {
                Cells[at] = (byte)(green[at] & (missing[at] ^ 1) & (Shade[at] ^ 1));
                tops[at] = (float)(TypicalHeightMetres * Math.Min(1.3, depth[at] / typical));
            }
        }

        return tops;
    }

    private void FindByGreenness()
    {
        (byte[] green, Tops, TypicalHeightMetres) = GreenCanopy();
        for (int at = 0; at < green.Length; at++)
        {
            Cells[at] = (byte)(green[at] & (missing[at] ^ 1));
        }
    }

    // Canopy by greenness alone, the distance to its edge in metres, and what that distance usually reaches in crowns.
    private (byte[] Green, float[] Depth, double Typical) GreenCanopy()
    {
        float[] smooth = new float[ndvi.Length];
        GaussianFilter.Smooth<float>(
            ndvi,
            grid.Rows,
            grid.Columns,
            Math.Max(0.5, GreenSmoothingMetres / grid.CellSizeMetres),
            Border.Nearest,
            smooth
        );
        byte[] green = new byte[smooth.Length];
        for (int at = 0; at < green.Length; at++)
        {
            green[at] = missing[at] == 0 && smooth[at] > VegetationThreshold ? (byte)1 : (byte)0;
        }

        // Holes in the foliage would be edges; for telling crowns apart they are closed, the canopy itself keeps them.
        byte[] closed = new byte[green.Length];
        BinaryMorphology.FillHoles(green, grid.Rows, grid.Columns, closed);
        float[] depth = new float[green.Length];
        DistanceTransform.Euclidean(closed, grid.Rows, grid.Columns, depth);
        List<float> sample = [];
        for (int at = 0; at < green.Length; at++)
        {
            // The distance transform of a picture without background has no number.
            depth[at] = float.IsFinite(depth[at]) ? (float)(depth[at] * grid.CellSizeMetres) : 0;
            if (at % 7 == 0 && green[at] != 0 && missing[at] == 0 && inside[at] != 0)
            {
                sample.Add(depth[at]);
            }
        }

        sample.Sort();
        double typical = sample.Count > 0 ? Math.Max(grid.CellSizeMetres, sample[(int)(0.9 * (sample.Count - 1))]) : 1;
        return (green, depth, typical);
    }

    private double MedianOffCanopy()
    {
        List<float> off = [];
        int stride = Math.Max(1, ndvi.Length / 400_000);
        for (int at = 0; at < ndvi.Length; at += stride)
        {
            if (inside[at] != 0 && missing[at] == 0 && Cells[at] == 0 && Shade[at] == 0)
            {
                off.Add(ndvi[at]);
            }
        }

        off.Sort();
        return off.Count == 0 ? 0 : off[off.Count / 2];
    }

    // On cells of a quarter of a crown: a shade tree is many of them, and the work and memory are a sixteenth.
    private void MaskShadeTrees(PlantsSettings settings, float[] height)
    {
        double limit = settings.ShadeTreeHeightRatio * TypicalHeightMetres;
        int factor = Math.Max(1, (int)Math.Round(ShadeCellMetres / grid.CellSizeMetres));
        FieldGrid share = FieldGrid.MeansOf(
            grid.Rows,
            grid.Columns,
            grid.CellSizeMetres,
            factor,
            at => height[at] > limit && unseen[at] == 0 ? 1 : 0
        );
        byte[] high = [.. share.Values.Select(value => value > 0.5f ? (byte)1 : (byte)0)];
        if (high.AsSpan().IndexOf((byte)1) < 0)
        {
            return;
        }

        int[] labels = new int[high.Length];
        int count = Labelling.Label(high, share.Rows, share.Columns, Connectivity.Eight, labels);
        int[] size = new int[count + 1];
        foreach (int label in labels)
        {
            size[label]++;
        }

        double least = ShadeTreeSquareMetres / (share.CellMetres * share.CellMetres);
        for (int at = 0; at < high.Length; at++)
        {
            high[at] = labels[at] > 0 && size[labels[at]] >= least ? (byte)1 : (byte)0;
        }

        byte[] near = MaskReach.Near(high, share.Rows, share.Columns, ShadeReachMetres / share.CellMetres);
        for (int row = 0; row < grid.Rows; row++)
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                int at = (row * grid.Columns) + column;
                Shade[at] = near[(row / factor * share.Columns) + (column / factor)];
                Cells[at] = Shade[at] != 0 ? (byte)0 : Cells[at];
            }
        }
    }

    // Spread of a cell against the mean of its four neighbours, robust; on ground and canopy alike. Where the surface is
    // coarser than the map, its own cells are compared: those between them are no noise of their own.
    private double NoiseOf(SceneHeights heights)
    {
        float[] height = heights.Metres;
        int reach = Math.Max(1, (int)Math.Round(heights.SurfaceCellMetres / grid.CellSizeMetres));
        int down = reach * grid.Columns;
        List<float> off = [];
        int stride = Math.Max(1, height.Length / 200_000);
        for (int at = down + reach; at < height.Length - down - reach; at += stride)
        {
            if (inside[at] != 0 && missing[at] == 0)
            {
                float mean = (height[at - reach] + height[at + reach] + height[at - down] + height[at + down]) / 4;
                off.Add(Math.Abs(height[at] - mean));
            }
        }

        off.Sort();
        return off.Count == 0 ? 0.05 : 1.4826 * off[off.Count / 2] / Math.Sqrt(1.25);
    }
}
