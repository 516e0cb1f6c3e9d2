using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>One block's window of the maps, with what tells canopy from the rest.</summary>
internal sealed class BlockScene
{
    private const double MarginMetres = 2;

    private readonly SceneGreenness greenness;
    private readonly SceneHeights? heights;
    private readonly CanopyMask canopy;

    private BlockScene(PlantsInput input, PlantBlock block, PlantsSettings settings, RasterWindow window)
    {
        GridGeometry map = input.Reflectance.Grid;
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
        block.Boundary.Mark(Grid, Inside, 1);
        greenness = SceneMaps.Greenness(input, window, Inside);
        heights = SceneMaps.Heights(input, window, Inside);
        canopy = CanopyMask.Find(Grid, Inside, greenness, heights, settings);
    }

    public RasterWindow Window { get; }

    public GridGeometry Grid { get; }

    /// <summary>1 inside the block.</summary>
    public byte[] Inside { get; }

    /// <summary>NDVI, 0 where missing.</summary>
    public float[] Vegetation => greenness.Ndvi;

    /// <summary>Height above ground, metres, 0 where missing; null without surface and ground.</summary>
    public float[]? Height => heights?.Metres;

    /// <summary>1 over places as large as a crown where the surface was not measured: greenness alone tells there. Empty without heights.</summary>
    public byte[] NoHeight => heights?.Unseen ?? [];

    /// <summary>1 where the crop's canopy is seen.</summary>
    public byte[] Canopy => canopy.Cells;

    /// <summary>1 where the map holds no data.</summary>
    public byte[] Missing => greenness.Missing;

    /// <summary>1 under shade trees.</summary>
    public byte[] Shade => canopy.Shade;

    /// <summary>Random noise of one cell of the surface (or of the map, where the surface is no coarser), metres.</summary>
    public double HeightNoiseMetres => canopy.HeightNoiseMetres;

    /// <summary>Cell of the surface that the map was draped over, metres; 0 when it is no coarser than the map or there is none.</summary>
    public double SurfaceCellMetres => heights?.SurfaceCellMetres ?? 0;

    /// <summary>Usual NDVI of what is no canopy, between and beside the plants.</summary>
    public double BareGreenness => canopy.BareGreenness;

    public double TypicalHeightMetres => canopy.TypicalHeightMetres;

    /// <summary>Direction of fall of the ground, x east and y south; null where unknown or level.</summary>
    public (double X, double Y)? Downhill => heights?.Downhill;

    /// <summary>
    /// What crowns are told apart by: canopy height, or without it the distance to the canopy's edge, which has its tops
    /// in the middle of crowns and its saddles where they touch. Metres.
    /// </summary>
    public float[] Tops => canopy.Tops;

    public double MissingShare => greenness.MissingShare;

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

        return new BlockScene(input, block, settings, new RasterWindow(row0, column0, row1 - row0, column1 - column0));
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
}
