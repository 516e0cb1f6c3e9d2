using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>A map held in memory to be judged, or to judge by: true values, NaN where there are none.</summary>
public sealed class ScoredMap
{
    private readonly float[][] planes;

    public ScoredMap(GridGeometry grid, IReadOnlyList<string> bands, IReadOnlyList<float[]> values)
    {
        ArgumentNullException.ThrowIfNull(grid);
        ArgumentNullException.ThrowIfNull(bands);
        ArgumentNullException.ThrowIfNull(values);
        Grid = grid;
        Bands = bands;
        planes = [.. values];
    }

    public GridGeometry Grid { get; }

    public IReadOnlyList<string> Bands { get; }

    /// <exception cref="InputProblemException">Not a raster on a metric north-up grid.</exception>
    public static ScoredMap Open(string path)
    {
        using RasterFile file = RasterFile.Open(path);
        GridGeometry grid =
            file.TryGrid()
            ?? throw new InputProblemException(path, "does not lie on a metric grid.", "Make the map again.");
        RasterWindow whole = new(0, 0, file.Rows, file.Columns);
        float[][] values = new float[file.BandCount][];
        for (int band = 0; band < values.Length; band++)
        {
            values[band] = new float[checked(file.Rows * file.Columns)];
            file.ReadTrueValues(0, band, whole, values[band]);
        }

        return new ScoredMap(grid, [.. file.Bands.Select(band => band.Name)], values);
    }

    /// <summary>The same map at another place; heights raised. The same map when there is nothing to do.</summary>
    public ScoredMap Moved(double eastMetres, double northMetres, double upMetres)
    {
        if (eastMetres == 0 && northMetres == 0 && upMetres == 0)
        {
            return this;
        }

        GridGeometry moved = Grid with
        {
            OuterTopLeft = new GridPoint(
                Grid.OuterTopLeft.EastingMetres + eastMetres,
                Grid.OuterTopLeft.NorthingMetres + northMetres
            ),
        };
        return new ScoredMap(
            moved,
            Bands,
            upMetres == 0
                ? planes
                : [.. planes.Select(plane => Array.ConvertAll(plane, value => (float)(value + upMetres)))]
        );
    }

    /// <summary>The same map with every value changed, for products that are stored in code.</summary>
    public ScoredMap Decoded(Func<float, float> value) =>
        new(Grid, Bands, [.. planes.Select(plane => Array.ConvertAll(plane, stored => value(stored)))]);

    /// <summary>Rows × columns of a band.</summary>
    public ReadOnlySpan<float> Band(int band) => planes[band];

    /// <summary>Index of a band by name, blanks and case aside; −1 when there is none.</summary>
    public int IndexOf(string name)
    {
        string wanted = Plain(name);
        for (int band = 0; band < Bands.Count; band++)
        {
            if (Plain(Bands[band]) == wanted)
            {
                return band;
            }
        }

        return -1;

        static string Plain(string text)
        {
            string letters = string.Concat(text.Where(char.IsLetterOrDigit).Select(char.ToLowerInvariant));
            return letters == "nir" ? "nearinfrared" : letters;
        }
    }

    /// <summary>Value at a map place, straight lines between cell centres; NaN outside or beside a missing cell.</summary>
    public float At(int band, double easting, double northing)
    {
        double column = Grid.ColumnOf(easting) - 0.5;
        double row = Grid.RowOf(northing) - 0.5;
        int left = (int)Math.Floor(column);
        int top = (int)Math.Floor(row);
        // A place on the last centres needs no neighbour beyond.
        if (left == Grid.Columns - 1 && column <= left + 1e-6)
        {
            left--;
        }

        if (top == Grid.Rows - 1 && row <= top + 1e-6)
        {
            top--;
        }

        if (left < 0 || top < 0 || left >= Grid.Columns - 1 || top >= Grid.Rows - 1)
        {
            return float.NaN;
        }

        float x = (float)(column - left);
        float y = (float)(row - top);
        ReadOnlySpan<float> plane = planes[band];
        int at = (top * Grid.Columns) + left;
        float above = Between(plane[at], plane[at + 1], x);
        float below = Between(plane[at + Grid.Columns], plane[at + Grid.Columns + 1], x);
        return Between(above, below, y);
    }

    /// <summary>Mean over a square of a side about a place: what a coarser cell should hold.</summary>
    public float MeanOver(int band, double easting, double northing, double sideMetres)
    {
        int count = Math.Max(1, (int)Math.Round(sideMetres / Grid.CellSizeMetres));
        double step = sideMetres / count;
        float sum = 0;
        for (int i = 0; i < count; i++)
        {
            for (int j = 0; j < count; j++)
            {
                sum += At(
                    band,
                    easting + ((j + 0.5 - (count / 2.0)) * step),
                    northing + ((i + 0.5 - (count / 2.0)) * step)
                );
            }
        }

        return sum / (count * count);
    }

    /// <summary>Value of the cell that a place lies in; NaN outside.</summary>
    public float Nearest(int band, double easting, double northing)
    {
        int column = (int)Math.Floor(Grid.ColumnOf(easting));
        int row = (int)Math.Floor(Grid.RowOf(northing));
        return column < 0 || row < 0 || column >= Grid.Columns || row >= Grid.Rows
            ? float.NaN
            : planes[band][(row * Grid.Columns) + column];
    }

    /// <summary>Weight 0 must not let a missing neighbour in.</summary>
    private static float Between(float first, float second, float share) =>
        share <= 1e-6f ? first
        : share >= 1 - 1e-6f ? second
        : first + ((second - first) * share);
}
