namespace Hillrow.Imaging;

/// <summary>A rectangle of whole cells of a raster, or of one of its coarser levels.</summary>
/// <param name="Row">First row.</param>
/// <param name="Column">First column.</param>
/// <param name="Rows">Rows, at least 1.</param>
/// <param name="Columns">Columns, at least 1.</param>
public readonly record struct RasterWindow(int Row, int Column, int Rows, int Columns)
{
    public long CellCount => (long)Rows * Columns;

    public override string ToString() =>
        FormattableString.Invariant($"{Rows} × {Columns} cells from row {Row}, column {Column}");
}
