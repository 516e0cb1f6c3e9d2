using System.Numerics;
using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Mapping;

/// <summary>The map cut into small square patches of cells, each a whole power of two wide.</summary>
internal sealed class PatchGrid
{
    private readonly GridToLocal toLocal;
    private readonly double nominalHeightMetres;

    public PatchGrid(GridGeometry grid, LocalFrame frame, double patchMetres, double nominalHeightMetres)
    {
        Grid = grid;
        this.nominalHeightMetres = nominalHeightMetres;
        toLocal = new GridToLocal(grid, frame, nominalHeightMetres);
        double cells = Math.Clamp(patchMetres / grid.CellSizeMetres, 4, 64);
        Size = (int)BitOperations.RoundUpToPowerOf2((uint)Math.Ceiling(cells / Math.Sqrt(2)));
        Rows = (grid.Rows + Size - 1) / Size;
        Columns = (grid.Columns + Size - 1) / Size;
    }

    public GridGeometry Grid { get; }

    /// <summary>Cells along a side: 4, 8, 16, 32 or 64, the nearest to what was asked for.</summary>
    public int Size { get; }

    public int Rows { get; }

    public int Columns { get; }

    public int Count => checked(Rows * Columns);

    /// <summary>A place given by fractional row and column of the map and its height above the ellipsoid, in the local frame.</summary>
    public Vector3D ToLocal(double row, double column, double height) => toLocal.ToLocal(row, column, height);

    /// <summary>The patch as an affine piece of the local frame: true to 0.1 mm for heights within 100 m of the nominal.</summary>
    public PatchPlace PlaceOf(int patchRow, int patchColumn)
    {
        double row = (patchRow * Size) + 0.5;
        double column = (patchColumn * Size) + 0.5;
        Vector3D first = ToLocal(row, column, nominalHeightMetres);
        return new PatchPlace(
            first,
            (ToLocal(row, column + Size, nominalHeightMetres) - first) / Size,
            (ToLocal(row + Size, column, nominalHeightMetres) - first) / Size,
            (ToLocal(row, column, nominalHeightMetres + 100) - first) / 100,
            nominalHeightMetres
        );
    }

    /// <summary>Easting of a map column's centre.</summary>
    public double EastingOf(int column) => Grid.WestMetres + ((column + 0.5) * Grid.CellSizeMetres);

    /// <summary>Northing of a map row's centre.</summary>
    public double NorthingOf(int row) => Grid.NorthMetres - ((row + 0.5) * Grid.CellSizeMetres);

    /// <summary>Heights of all Size × Size cell centres of a patch, row-major; cells beyond the map's edge too.</summary>
    public void HeightsOf(SurfaceGrid surface, int patchRow, int patchColumn, Span<float> heights)
    {
        for (int row = 0; row < Size; row++)
        {
            surface.HeightsAlong(
                EastingOf(patchColumn * Size),
                NorthingOf((patchRow * Size) + row),
                Grid.CellSizeMetres,
                heights.Slice(row * Size, Size)
            );
        }
    }
}

/// <summary>Local place of a patch's cell = First + column · PerColumn + row · PerRow + (height − nominal) · PerMetreUp.</summary>
internal readonly record struct PatchPlace(
    Vector3D First,
    Vector3D PerColumn,
    Vector3D PerRow,
    Vector3D PerMetreUp,
    double NominalHeightMetres
)
{
    public Vector3D At(int row, int column, double height) =>
        First + (PerColumn * column) + (PerRow * row) + (PerMetreUp * (height - NominalHeightMetres));
}
