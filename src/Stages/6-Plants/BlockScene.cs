using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>One block's window of the maps, with what tells canopy from the rest.</summary>
internal sealed class BlockScene
{
    private const double MarginMetres = 2;
    private const double HighestPlantMetres = 40;

    // Surface holes narrower than twice this are trusted to have been filled in well.
    private const double NarrowHoleMetres = 0.2;

    private const double ShadeCellMetres = 0.2;

    // Canopy this wide and far above the crop is a tree of another kind; what lies this near to it is under its branches.
    private const double ShadeTreeSquareMetres = 2.5;
    private const double ShadeReachMetres = 0.8;

    // One canopy's low edges and its tops differ less than this; a crop and the trees that shade it differ more.
    private const double StoreyRatio = 2.2;
    private const double LeastStoreyShare = 0.1;

    // Below the size of a leaf cluster: keeps a noisy pixel from tearing a crown, moves no edge.
    private const double GreenSmoothingMetres = 0.05;

    private BlockScene(GridGeometry map, RasterWindow window)
    {
        Window = window;
        Grid = new GridGeometry(
            map.ReferenceSystem,
            new GridPoint(
                map.WestMetres + (window.Column * map.CellSizeMetres),
                map.NorthMetres - (window.Row * map.CellSizeMetres)
            ),
            map.CellSizeMetres,
            window.Rows,
            window.Columns
        );
        Inside = new byte[checked((int)window.CellCount)];
        Vegetation = [];
        Canopy = [];
        Missing = [];
        Shade = [];
        Tops = [];
        NoHeight = [];
    }

    public RasterWindow Window { get; }

    public GridGeometry Grid { get; }

    /// <summary>1 inside the block.</summary>
    public byte[] Inside { get; }

    /// <summary>NDVI, 0 where missing.</summary>
    public float[] Vegetation { get; private set; }

    /// <summary>Height above ground, metres, 0 where missing; null without surface and ground.</summary>
    public float[]? Height { get; private set; }

    /// <summary>1 over places as large as a crown where the surface was not measured: greenness alone tells there.</summary>
    public byte[] NoHeight { get; private set; }

    /// <summary>1 where the crop's canopy is seen.</summary>
    public byte[] Canopy { get; private set; }

    /// <summary>1 where the map holds no data.</summary>
    public byte[] Missing { get; private set; }

    /// <summary>1 under shade trees.</summary>
    public byte[] Shade { get; private set; }

    /// <summary>Height from which canopy is crop; 0 without heights.</summary>
    public double CanopyFloorMetres { get; private set; }

    /// <summary>Random noise of one cell of canopy height, metres.</summary>
    public double HeightNoiseMetres { get; private set; }

    /// <summary>Cell of the surface that the map was draped over, metres; 0 when it is no coarser than the map or there is none.</summary>
    public double SurfaceCellMetres { get; private set; }

    public double VegetationThreshold { get; private set; }

    /// <summary>Usual NDVI of what is no canopy, between and beside the plants.</summary>
    public double BareGreenness { get; private set; }

    public double TypicalHeightMetres { get; private set; }

    /// <summary>Direction of fall of the ground, x east and y south; north to south where unknown or level.</summary>
    public (double X, double Y)? Downhill { get; private set; }

    /// <summary>
    /// What crowns are told apart by: canopy height, or without it the distance to the canopy's edge, which has its tops
    /// in the middle of crowns and its saddles where they touch. Metres.
    /// </summary>
    public float[] Tops { get; private set; }

    public double MissingShare { get; private set; }

    /// <summary>Null when the block lies off the map.</summary>
    public static BlockScene? Load(PlantsInput input, PlantBlock block, PlantsSettings settings)
    {
        GridGeometry map = input.Reflectance.Grid;
        GridPolygon edge = block.Boundary;
        int row0 = Math.Max(0, (int)Math.Floor(map.RowOf(edge.NorthMetres + MarginMetres)));
        int row1 = Math.Min(map.Rows, (int)Math.Ceiling(map.RowOf(edge.SouthMetres - MarginMetres)));
        int column0 = Math.Max(0, (int)Math.Floor(map.ColumnOf(edge.WestMetres - MarginMetres)));
        int column1 = Math.Min(map.Columns, (int)Math.Ceiling(map.ColumnOf(edge.EastMetres + MarginMetres)));
        if (row1 - row0 < 8 || column1 - column0 < 8)
        {
            return null;
        }

        BlockScene scene = new(map, new RasterWindow(row0, column0, row1 - row0, column1 - column0));
        edge.Mark(scene.Grid, scene.Inside, 1);
        scene.ReadVegetation(input);
        scene.ReadHeight(input);
        scene.FindCanopy(settings);
        scene.BareGreenness = scene.MedianOffCanopy();
        return scene;
    }

    /// <summary>Evidence of crop canopy, 0 … about 1.5: height over typical height, or greenness alone; means over cells of about the size given.</summary>
    public FieldGrid Evidence(double cellMetres, bool roundDown = false)
    {
        double cells = cellMetres / Grid.CellSizeMetres;
        int factor = Math.Max(1, (int)(roundDown ? cells : Math.Round(cells)));
        double typical = TypicalHeightMetres;
        return FieldGrid.MeansOf(
            Window.Rows,
            Window.Columns,
            Grid.CellSizeMetres,
            factor,
            at => Canopy[at] == 0 ? 0 : (float)Math.Clamp(Tops[at] / typical, 0, 1.6)
        );
    }

    public GridPoint PlaceOf(double x, double y) => new(Grid.WestMetres + x, Grid.NorthMetres - y);

    private void ReadVegetation(PlantsInput input)
    {
        float[] red = input.Reflectance.Read(input.Reflectance.IndexOf("red")!.Value, Window);
        float[] nir = input.Reflectance.Read(input.Reflectance.IndexOf("nir")!.Value, Window);
        Missing = new byte[red.Length];
        long missing = 0;
        long inside = 0;
        for (int at = 0; at < red.Length; at++)
        {
            float ndvi = (nir[at] - red[at]) / (nir[at] + red[at]);
            bool absent = !float.IsFinite(ndvi);
            Missing[at] = absent ? (byte)1 : (byte)0;
            red[at] = absent ? 0 : Math.Clamp(ndvi, -1, 1);
            missing += Inside[at] & Missing[at];
            inside += Inside[at];
        }

        Vegetation = red;
        MissingShare = inside == 0 ? 1 : (double)missing / inside;
    }

    private void ReadHeight(PlantsInput input)
    {
        if (input.Surface is null || input.Ground is null)
        {
            return;
        }

        float[] height = input.Surface.ReadOn(input.Reflectance.Grid, Window, 0);
        float[] ground = input.Ground.ReadOn(input.Reflectance.Grid, Window, 0);
        Downhill = FallOf(ground);
        bool isCoarser = input.Surface.Grid.CellSizeMetres > 1.01 * Grid.CellSizeMetres;
        SurfaceCellMetres = isCoarser ? input.Surface.Grid.CellSizeMetres : 0;
        float[]? seen = input.HeightSeen?.ReadOn(input.Reflectance.Grid, Window, 0);
        byte[] absent = new byte[height.Length];
        long present = 0;
        for (int at = 0; at < height.Length; at++)
        {
            float above = height[at] - ground[at];
            bool usable = above is > -5 and < (float)HighestPlantMetres;
            present += usable ? 1 : 0;
            height[at] = usable ? above : 0;
            absent[at] = usable && (seen is null || seen[at] >= 0.5f) ? (byte)0 : (byte)1;
        }

        Height = present > height.Length / 2 ? height : null;
        NoHeight = Height is null ? [] : WidePlaces(absent);
    }

    // Holes narrower than a young crown are filled well from around.
    private byte[] WidePlaces(byte[] absent)
    {
        if (absent.AsSpan().IndexOf((byte)1) < 0)
        {
            return absent;
        }

        double radius = NarrowHoleMetres / Grid.CellSizeMetres;
        byte[] core = new byte[absent.Length];
        float[] distance = new float[absent.Length];
        DistanceTransform.Euclidean(absent, Window.Rows, Window.Columns, distance);
        for (int at = 0; at < core.Length; at++)
        {
            core[at] = distance[at] > radius ? (byte)1 : (byte)0;
        }

        byte[] wide = Near(core, Window.Rows, Window.Columns, radius);
        for (int at = 0; at < wide.Length; at++)
        {
            wide[at] &= absent[at];
        }

        return wide;
    }

    // 1 within a distance (in cells) of a set cell.
    private static byte[] Near(byte[] mask, int rows, int columns, double cells)
    {
        byte[] near = new byte[mask.Length];
        if (mask.AsSpan().IndexOf((byte)1) < 0)
        {
            return near;
        }

        for (int at = 0; at < near.Length; at++)
        {
            near[at] = (byte)(mask[at] ^ 1);
        }

        float[] distance = new float[mask.Length];
        DistanceTransform.Euclidean(near, rows, columns, distance);
        for (int at = 0; at < near.Length; at++)
        {
            near[at] = distance[at] <= cells ? (byte)1 : (byte)0;
        }

        return near;
    }

    private (double X, double Y)? FallOf(float[] ground)
    {
        double x = 0;
        double y = 0;
        int step = Math.Max(1, (int)(2 / Grid.CellSizeMetres));
        for (int row = 0; row + step < Window.Rows; row += step)
        {
            for (int column = 0; column + step < Window.Columns; column += step)
            {
                int at = (row * Window.Columns) + column;
                float east = ground[at] - ground[at + step];
                float south = ground[at] - ground[at + (step * Window.Columns)];
                if (Inside[at] != 0 && float.IsFinite(east) && float.IsFinite(south))
                {
                    x += east;
                    y += south;
                }
            }
        }

        double length = Math.Sqrt((x * x) + (y * y));
        return length > 0 ? (x / length, y / length) : null;
    }

    private void FindCanopy(PlantsSettings settings)
    {
        List<float> greens = [];
        int stride = Math.Max(1, Vegetation.Length / 400_000);
        for (int at = 0; at < Vegetation.Length; at += stride)
        {
            if (Inside[at] != 0 && Missing[at] == 0)
            {
                greens.Add(Vegetation[at]);
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
        Canopy = new byte[Vegetation.Length];
        Shade = new byte[Vegetation.Length];
        if (Height is not { } height)
        {
            FindCanopyByGreenness();
            return;
        }

        // Weeds are green too: with heights, greenness only has to exclude what is not alive, height does the rest.
        double green = Math.Min(VegetationThreshold, 0.45);
        List<float> tall = [];
        for (int at = 0; at < height.Length; at += stride)
        {
            if (
                Inside[at] != 0
                && Missing[at] == 0
                && NoHeight[at] == 0
                && Vegetation[at] > green
                && height[at] > settings.LeastCanopyHeightMetres
            )
            {
                tall.Add(height[at]);
            }
        }

        TypicalHeightMetres = TypicalOf(tall);
        CanopyFloorMetres = Math.Clamp(0.22 * TypicalHeightMetres, 0.2, settings.LeastCanopyHeightMetres);
        for (int at = 0; at < Canopy.Length; at++)
        {
            Canopy[at] =
                Missing[at] == 0 && Vegetation[at] > green && height[at] > CanopyFloorMetres ? (byte)1 : (byte)0;
        }

        HeightNoiseMetres = NoiseOf(height);
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
        if (NoHeight.AsSpan().IndexOf((byte)1) < 0)
        {
            return height;
        }

        (byte[] green, float[] depth, double typical) = GreenCanopy();
        float[] tops = [.. height];
        for (int at = 0; at < tops.Length; at++)
        {
            if (NoHeight[at] != 0)
            {
                Canopy[at] = (byte)(green[at] & (Missing[at] ^ 1) & (Shade[at] ^ 1));
                tops[at] = (float)(TypicalHeightMetres * Math.Min(1.3, depth[at] / typical));
            }
        }

        return tops;
    }

    private void FindCanopyByGreenness()
    {
        (byte[] green, Tops, TypicalHeightMetres) = GreenCanopy();
        for (int at = 0; at < green.Length; at++)
        {
            Canopy[at] = (byte)(green[at] & (Missing[at] ^ 1));
        }
    }

    // Canopy by greenness alone, the distance to its edge in metres, and what that distance usually reaches in crowns.
    private (byte[] Green, float[] Depth, double Typical) GreenCanopy()
    {
        float[] smooth = new float[Vegetation.Length];
        GaussianFilter.Smooth<float>(
            Vegetation,
            Window.Rows,
            Window.Columns,
            Math.Max(0.5, GreenSmoothingMetres / Grid.CellSizeMetres),
            Border.Nearest,
            smooth
        );
        byte[] green = new byte[smooth.Length];
        for (int at = 0; at < green.Length; at++)
        {
            green[at] = Missing[at] == 0 && smooth[at] > VegetationThreshold ? (byte)1 : (byte)0;
        }

        // Holes in the foliage would be edges; for telling crowns apart they are closed, the canopy itself keeps them.
        byte[] closed = new byte[green.Length];
        BinaryMorphology.FillHoles(green, Window.Rows, Window.Columns, closed);
        float[] depth = new float[green.Length];
        DistanceTransform.Euclidean(closed, Window.Rows, Window.Columns, depth);
        List<float> sample = [];
        for (int at = 0; at < green.Length; at++)
        {
            // The distance transform of a picture without background has no number.
            depth[at] = float.IsFinite(depth[at]) ? (float)(depth[at] * Grid.CellSizeMetres) : 0;
            if (at % 7 == 0 && green[at] != 0 && Missing[at] == 0 && Inside[at] != 0)
            {
                sample.Add(depth[at]);
            }
        }

        sample.Sort();
        double typical = sample.Count > 0 ? Math.Max(Grid.CellSizeMetres, sample[(int)(0.9 * (sample.Count - 1))]) : 1;
        return (green, depth, typical);
    }

    private double MedianOffCanopy()
    {
        List<float> off = [];
        int stride = Math.Max(1, Vegetation.Length / 400_000);
        for (int at = 0; at < Vegetation.Length; at += stride)
        {
            if (Inside[at] != 0 && Missing[at] == 0 && Canopy[at] == 0 && Shade[at] == 0)
            {
                off.Add(Vegetation[at]);
            }
        }

        off.Sort();
        return off.Count == 0 ? 0 : off[off.Count / 2];
    }

    // On cells of a quarter of a crown: a shade tree is many of them, and the work and memory are a sixteenth.
    private void MaskShadeTrees(PlantsSettings settings, float[] height)
    {
        double limit = settings.ShadeTreeHeightRatio * TypicalHeightMetres;
        int factor = Math.Max(1, (int)Math.Round(ShadeCellMetres / Grid.CellSizeMetres));
        FieldGrid share = FieldGrid.MeansOf(
            Window.Rows,
            Window.Columns,
            Grid.CellSizeMetres,
            factor,
            at => height[at] > limit && NoHeight[at] == 0 ? 1 : 0
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

        byte[] near = Near(high, share.Rows, share.Columns, ShadeReachMetres / share.CellMetres);
        for (int row = 0; row < Window.Rows; row++)
        {
            for (int column = 0; column < Window.Columns; column++)
            {
                int at = (row * Window.Columns) + column;
                Shade[at] = near[(row / factor * share.Columns) + (column / factor)];
                Canopy[at] = Shade[at] != 0 ? (byte)0 : Canopy[at];
            }
        }
    }

    // Spread of a cell against the mean of its four neighbours, robust; on ground and canopy alike.
    private double NoiseOf(float[] height)
    {
        List<float> off = [];
        int stride = Math.Max(1, height.Length / 200_000);
        for (int at = Window.Columns + 1; at < height.Length - Window.Columns - 1; at += stride)
        {
            if (Inside[at] != 0 && Missing[at] == 0)
            {
                float mean =
                    (height[at - 1] + height[at + 1] + height[at - Window.Columns] + height[at + Window.Columns]) / 4;
                off.Add(Math.Abs(height[at] - mean));
            }
        }

        off.Sort();
        return off.Count == 0 ? 0.05 : 1.4826 * off[off.Count / 2] / Math.Sqrt(1.25);
    }
}
