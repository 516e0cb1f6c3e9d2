using System.Buffers.Binary;

namespace Hillrow.Earth;

/// <summary>
/// A geoid given as a global grid of undulations: height above the ellipsoid = height above the geoid + undulation.
/// </summary>
/// <remarks>
/// Accuracy of <see cref="Egm96"/>: the default interpolation gives the agency's own programme's test values to 1 mm and
/// the full harmonic synthesis within centimetres; <see cref="BilinearUndulationMetres"/> gives what PROJ gives from the
/// same grid to 0.1 mm, up to 1.15 m from the synthesis in the roughest mountains. EGM96 itself is good to 0.5–1 m.
/// </remarks>
public sealed class GeoidModel
{
    private const int Window = 4;
    private static readonly Lazy<GeoidModel> SharedEgm96 = new(ReadEgm96);

    private readonly float[] undulations;
    private readonly double westDegrees;
    private readonly double stepDegrees;
    private readonly int rows;
    private readonly int columns;

    private GeoidModel(string name, float[] undulations, int rows, int columns, double westDegrees)
    {
        Name = name;
        this.undulations = undulations;
        this.rows = rows;
        this.columns = columns;
        this.westDegrees = westDegrees;
        stepDegrees = 360.0 / columns;
    }

    /// <summary>EGM96 on its 15-minute grid, shipped inside the program (Heights/Grids/README.md).</summary>
    public static GeoidModel Egm96 => SharedEgm96.Value;

    public string Name { get; }

    /// <summary>Undulation by natural cubic splines through the 4 × 4 posts around the place, first east, then north.</summary>
    /// <remarks>
    /// This is the window spline of the agency's interpolation programme, window 4: continuous everywhere, exact at the
    /// posts. Source: NIMA INTPT.F in the EGM96 distribution (method from memory, confirmed on its six test points).
    /// </remarks>
    public double UndulationMetres(GeographicPoint place)
    {
        double row = RowOf(place);
        double column = ColumnOf(place);
        int firstRow = (int)Math.Floor(row) - (Window / 2) + 1;
        int firstColumn = (int)Math.Floor(column) - (Window / 2) + 1;
        double north = row - firstRow - 1;
        double east = column - firstColumn - 1;
        Span<double> alongColumn = stackalloc double[Window];
        for (int i = 0; i < Window; i++)
        {
            alongColumn[i] = MiddleOfSpline(
                Post(firstRow + i, firstColumn),
                Post(firstRow + i, firstColumn + 1),
                Post(firstRow + i, firstColumn + 2),
                Post(firstRow + i, firstColumn + 3),
                east
            );
        }

        return MiddleOfSpline(alongColumn[0], alongColumn[1], alongColumn[2], alongColumn[3], north);
    }

    /// <summary>Undulation by bilinear interpolation of the four posts around the place.</summary>
    public double BilinearUndulationMetres(GeographicPoint place)
    {
        double row = RowOf(place);
        double column = ColumnOf(place);
        int lower = (int)Math.Floor(row);
        int left = (int)Math.Floor(column);
        double north = row - lower;
        double east = column - left;
        double south = (Post(lower, left) * (1 - east)) + (Post(lower, left + 1) * east);
        double far = (Post(lower + 1, left) * (1 - east)) + (Post(lower + 1, left + 1) * east);
        return (south * (1 - north)) + (far * north);
    }

    /// <summary>
    /// The natural cubic spline through four equally spaced values, between the second and the third;
    /// <paramref name="t"/> 0 … 1. Second derivatives m solve 4m₁ + m₂ = 6Δ²₁, m₁ + 4m₂ = 6Δ²₂.
    /// </summary>
    private static double MiddleOfSpline(double y0, double y1, double y2, double y3, double t)
    {
        double bendFirst = 6 * (y0 - (2 * y1) + y2);
        double bendSecond = 6 * (y1 - (2 * y2) + y3);
        double m1 = ((4 * bendFirst) - bendSecond) / 15;
        double m2 = ((4 * bendSecond) - bendFirst) / 15;
        double rest = 1 - t;
        return (y1 * rest) + (y2 * t) - (t * rest / 6 * (((1 + rest) * m1) + ((1 + t) * m2)));
    }

    private double RowOf(GeographicPoint place)
    {
        double latitude = place.Latitude.Degrees;
        return latitude is >= -90.0000001 and <= 90.0000001
            ? Math.Clamp((latitude + 90) / stepDegrees, 0, rows - 1)
            : throw new ArgumentOutOfRangeException(nameof(place), place, "A latitude lies between -90° and 90°.");
    }

    private double ColumnOf(GeographicPoint place) => (place.Longitude.Degrees - westDegrees) / stepDegrees;

    /// <summary>A post; columns wrap round the earth, rows beyond a pole come down on the other side.</summary>
    private double Post(int row, int column)
    {
        if (row < 0)
        {
            row = -row;
            column += columns / 2;
        }
        else if (row >= rows)
        {
            row = (2 * (rows - 1)) - row;
            column += columns / 2;
        }

        column %= columns;
        return undulations[(row * columns) + (column < 0 ? column + columns : column)];
    }

    private static GeoidModel ReadEgm96()
    {
        using Stream stream =
            typeof(GeoidModel).Assembly.GetManifestResourceStream("egm96_15.gtx")
            ?? throw new InvalidOperationException("The geoid grid egm96_15.gtx is missing from Hillrow.Earth.");
        byte[] bytes = new byte[stream.Length];
        stream.ReadExactly(bytes);
        int gridRows = BinaryPrimitives.ReadInt32BigEndian(bytes.AsSpan(32));
        int gridColumns = BinaryPrimitives.ReadInt32BigEndian(bytes.AsSpan(36));
        double west = BinaryPrimitives.ReadDoubleBigEndian(bytes.AsSpan(8));
        if (gridRows != 721 || gridColumns != 1440 || bytes.Length != 40 + (4L * gridRows * gridColumns))
        {
            throw new InvalidOperationException("The built-in geoid grid is not the 15-minute grid of EGM96.");
        }

        float[] posts = new float[gridRows * gridColumns];
        for (int i = 0; i < posts.Length; i++)
        {
            posts[i] = BinaryPrimitives.ReadSingleBigEndian(bytes.AsSpan(40 + (4 * i)));
        }

        return new GeoidModel("EGM96, 15-minute grid", posts, gridRows, gridColumns, west);
    }
}
