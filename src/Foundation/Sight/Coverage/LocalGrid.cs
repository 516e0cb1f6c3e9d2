namespace Hillrow.Sight;

/// <summary>Square cells in the local east-north-up frame; row 0 in the north, column 0 in the west.</summary>
/// <param name="WestMetres">Outer west edge.</param>
/// <param name="NorthMetres">Outer north edge.</param>
/// <param name="CellMetres">Edge of a cell, above 0.</param>
/// <param name="Rows">Rows of cells.</param>
/// <param name="Columns">Columns of cells.</param>
public sealed record LocalGrid(double WestMetres, double NorthMetres, double CellMetres, int Rows, int Columns)
{
    public long CellCount => (long)Rows * Columns;

    public double EastOf(int column) => WestMetres + ((column + 0.5) * CellMetres);

    public double NorthOf(int row) => NorthMetres - ((row + 0.5) * CellMetres);
}
