namespace Hillrow.Earth;

/// <summary>Where the square cells of a north-up grid lie in a projected (metric) reference system.</summary>
/// <param name="ReferenceSystem">The projected system of the eastings and northings.</param>
/// <param name="OuterTopLeft">North-west outer corner of the first cell (row 0, column 0).</param>
/// <param name="CellSizeMetres">Edge of a cell, above 0.</param>
/// <param name="Rows">Rows, the first in the north.</param>
/// <param name="Columns">Columns, the first in the west.</param>
public sealed record GridGeometry(
    ReferenceSystem ReferenceSystem,
    GridPoint OuterTopLeft,
    double CellSizeMetres,
    int Rows,
    int Columns
)
{
    public double WestMetres => OuterTopLeft.EastingMetres;

    public double NorthMetres => OuterTopLeft.NorthingMetres;

    public double EastMetres => WestMetres + (Columns * CellSizeMetres);

    public double SouthMetres => NorthMetres - (Rows * CellSizeMetres);

    public long CellCount => (long)Rows * Columns;

    /// <summary>Centre of a cell.</summary>
    public GridPoint CentreOf(int row, int column) =>
        new(WestMetres + ((column + 0.5) * CellSizeMetres), NorthMetres - ((row + 0.5) * CellSizeMetres));

    /// <summary>Fractional column of an easting: 0 at the west outer edge, 0.5 at the first cell's centre.</summary>
    public double ColumnOf(double eastingMetres) => (eastingMetres - WestMetres) / CellSizeMetres;

    /// <summary>Fractional row of a northing: 0 at the north outer edge, 0.5 at the first cell's centre.</summary>
    public double RowOf(double northingMetres) => (NorthMetres - northingMetres) / CellSizeMetres;
}
