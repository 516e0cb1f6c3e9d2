using Hillrow.Earth;

namespace Hillrow.Imaging;

/// <summary>Everything a raster carries besides its numbers: where it lies and what its bands mean.</summary>
/// <param name="Grid">Rows, columns, cell size, place and reference system.</param>
/// <param name="Bands">One label a band, in storage order; at least one.</param>
public sealed record RasterLabel(GridGeometry Grid, IReadOnlyList<BandLabel> Bands)
{
    /// <summary>Stored value that means "no data"; null when none does. NaN means it in floating point, always.</summary>
    public double? NoData { get; init; }

    /// <summary>What the heights are measured from; null when the raster holds no heights.</summary>
    public VerticalReference? Heights { get; init; }

    /// <summary>Further name = text pairs that travel with the file, such as where it came from.</summary>
    public IReadOnlyDictionary<string, string> Items { get; init; } = new Dictionary<string, string>();

    public int Rows => Grid.Rows;

    public int Columns => Grid.Columns;

    /// <summary>A label with one band of a pure number.</summary>
    public static RasterLabel OfOneBand(GridGeometry grid, string name, string unit = "") =>
        new(grid, [new BandLabel(name, unit)]);

    /// <summary>Index of the band of that name.</summary>
    /// <exception cref="ArgumentException">No band has it (all names are given).</exception>
    public int IndexOf(string bandName)
    {
        for (int band = 0; band < Bands.Count; band++)
        {
            if (string.Equals(Bands[band].Name, bandName, StringComparison.OrdinalIgnoreCase))
            {
                return band;
            }
        }

        throw new ArgumentException(
            $"No band \"{bandName}\"; there are: {string.Join(", ", Bands.Select(band => band.Name))}.",
            nameof(bandName)
        );
    }

    /// <summary>Checks what the type system cannot.</summary>
    /// <exception cref="InvalidOperationException">All broken rules, together.</exception>
    public RasterLabel Checked()
    {
        List<string> broken = [];
        if (Grid.Rows < 1 || Grid.Columns < 1)
        {
            broken.Add($"grid of {Grid.Rows} rows × {Grid.Columns} columns (each at least 1)");
        }

        if (!double.IsFinite(Grid.CellSizeMetres) || Grid.CellSizeMetres <= 0)
        {
            broken.Add($"cell size of {Grid.CellSizeMetres} m (above 0)");
        }

        if (Bands.Count is < 1 or > ushort.MaxValue)
        {
            broken.Add($"{Bands.Count} bands (1 … {ushort.MaxValue})");
        }

        broken.AddRange(
            Bands
                .Where(band => !double.IsFinite(band.Scale) || band.Scale.Equals(0.0) || !double.IsFinite(band.Offset))
                .Select(band => $"band {band.Name}: scale {band.Scale}, offset {band.Offset} (finite, scale not 0)")
        );
        return broken.Count == 0
            ? this
            : throw new InvalidOperationException("Raster: " + string.Join("; ", broken) + ".");
    }
}
