using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Places of the local frame → fractional row and column of a map grid and ellipsoidal height, fast.</summary>
/// <remarks>
/// Starts from an affine map about the grid's middle and corrects it with the exact lattice of
/// <see cref="GridToLocal"/>: two corrections are good to a millimetre within some kilometres.
/// </remarks>
internal sealed class MapLattice
{
    private readonly GridToLocal toLocal;
    private readonly double middleRow;
    private readonly double middleColumn;
    private readonly Vector3D middle;
    private readonly double rowByEast;
    private readonly double rowByNorth;
    private readonly double columnByEast;
    private readonly double columnByNorth;
    private readonly double nominal;

    public MapLattice(GridGeometry grid, LocalFrame frame, double nominalHeightMetres)
    {
        toLocal = new GridToLocal(grid, frame, nominalHeightMetres);
        nominal = nominalHeightMetres;
        middleRow = grid.Rows / 2.0;
        middleColumn = grid.Columns / 2.0;
        middle = toLocal.ToLocal(middleRow, middleColumn, nominal);
        double reach = Math.Max(1, Math.Min(grid.Rows, grid.Columns) / 4.0);
        Vector3D down = (toLocal.ToLocal(middleRow + reach, middleColumn, nominal) - middle) / reach;
        Vector3D right = (toLocal.ToLocal(middleRow, middleColumn + reach, nominal) - middle) / reach;
        double determinant = (right.X * down.Y) - (right.Y * down.X);
        columnByEast = down.Y / determinant;
        columnByNorth = -down.X / determinant;
        rowByEast = -right.Y / determinant;
        rowByNorth = right.X / determinant;
    }

    /// <param name="place">Local metres.</param>
    /// <returns>Fractional row and column, 0 at the outer corner; ellipsoidal height in metres.</returns>
    public (double Row, double Column, double Height) ToMap(Vector3D place)
    {
        double row = middleRow;
        double column = middleColumn;
        double height = nominal;
        Vector3D at = middle;
        for (int pass = 0; pass < 3; pass++)
        {
            Vector3D off = place - at;
            row += (rowByEast * off.X) + (rowByNorth * off.Y);
            column += (columnByEast * off.X) + (columnByNorth * off.Y);
            height += off.Z;
            if (pass < 2)
            {
                at = toLocal.ToLocal(row, column, height);
            }
        }

        return (row, column, height);
    }
}
