using System.Numerics;
using Hillrow.Earth;

namespace Hillrow.Imaging;

/// <summary>
/// A raster in memory: one row-major plane of numbers a band, with its place on the earth and its meaning.
/// Rooms hand these to each other; larger ones travel as files, window by window (<see cref="RasterFile"/>).
/// </summary>
/// <typeparam name="T">byte, sbyte, short, ushort, int, uint, float or double.</typeparam>
public sealed class Raster<T>
    where T : unmanaged, INumber<T>
{
    private readonly T[][] planes;
    private readonly T? noData;

    /// <summary>A raster of zeros.</summary>
    /// <exception cref="ArgumentException">The label breaks a rule, the no-data value does not fit T, or a band has more cells than an array.</exception>
    public Raster(RasterLabel label)
        : this(label, NewPlanes(label)) { }

    /// <summary>Takes over planes without copying: one of Rows × Columns numbers for each band.</summary>
    /// <exception cref="ArgumentException">Count or length of the planes does not agree with the label.</exception>
    public Raster(RasterLabel label, IReadOnlyList<T[]> planes)
    {
        Label = label.Checked();
        SampleTypes.Of<T>();
        if (planes.Count != label.Bands.Count || planes.Any(plane => plane.LongLength != label.Grid.CellCount))
        {
            throw new ArgumentException(
                $"{planes.Count} planes of {string.Join(", ", planes.Select(plane => plane.LongLength).Distinct())} cells for {label.Bands.Count} bands of {label.Grid.CellCount} cells.",
                nameof(planes)
            );
        }

        this.planes = [.. planes];
        noData = SampleTypes.NoDataAs<T>(label.NoData);
    }

    public RasterLabel Label { get; }

    public GridGeometry Grid => Label.Grid;

    public int Rows => Label.Rows;

    public int Columns => Label.Columns;

    public int BandCount => planes.Length;

    /// <summary>Stored value that means "no data", besides NaN; null when none does.</summary>
    public T? NoData => noData;

    /// <summary>Value of one cell.</summary>
    public ref T this[int band, int row, int column]
    {
        get
        {
            ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual((uint)column, (uint)Columns, nameof(column));
            return ref Row(band, row)[column];
        }
    }

    /// <summary>One band: Rows × Columns, row-major, first row in the north.</summary>
    public Span<T> Band(int band) => planes[band];

    /// <summary>One band by the name in its label.</summary>
    /// <exception cref="ArgumentException">No band has that name.</exception>
    public Span<T> Band(string name) => planes[Label.IndexOf(name)];

    /// <summary>One band's memory, for work spread over threads.</summary>
    public Memory<T> BandMemory(int band) => planes[band];

    /// <summary>One row of a band, west to east.</summary>
    public Span<T> Row(int band, int row) => planes[band].AsSpan(checked(row * Columns), Columns);

    /// <summary>True for NaN and for the no-data value.</summary>
    public bool IsMissing(T value) => T.IsNaN(value) || (noData is T missing && value == missing);

    /// <summary>Sets every cell of every band.</summary>
    public void Fill(T value)
    {
        foreach (T[] plane in planes)
        {
            plane.AsSpan().Fill(value);
        }
    }

    private static T[][] NewPlanes(RasterLabel label)
    {
        label.Checked();
        if (label.Grid.CellCount > Array.MaxLength)
        {
            throw new ArgumentException(
                $"A band of {label.Rows} × {label.Columns} cells does not fit in memory: use a file, window by window.",
                nameof(label)
            );
        }

        return [.. label.Bands.Select(_ => new T[label.Grid.CellCount])];
    }
}
