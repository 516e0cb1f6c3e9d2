namespace Hillrow.Earth;

/// <summary>
/// Terrain heights on a regular lattice of posts as one file holds them: latitude/longitude or a metric grid, rows from
/// north to south, columns from west to east. A raster's cell centre is a post.
/// </summary>
public sealed class TerrainTile
{
    /// <summary>The accuracy mission specification of the radar DEM class: 16 m linear error at 90 % (ANCHORS a2, A8).</summary>
    public const double DefaultSigmaMetres = 16 / 1.6449;

    private readonly float[] heights;

    /// <param name="source">File it came from, for messages.</param>
    /// <param name="system">System of the post coordinates.</param>
    /// <param name="firstEast">Easting (metres) or longitude (degrees) of the first column of posts.</param>
    /// <param name="firstNorth">Northing (metres) or latitude (degrees) of the first row of posts.</param>
    /// <param name="stepEast">Distance between columns, same unit, above 0.</param>
    /// <param name="stepNorth">Distance between rows, same unit, above 0; the second row lies south of the first.</param>
    /// <param name="rows">Rows of posts, at least 1.</param>
    /// <param name="columns">Columns of posts, at least 1.</param>
    /// <param name="heights">Rows × Columns, metres, row-major; NaN where void. Kept, not copied.</param>
    /// <param name="verticalReference">What the heights are measured from.</param>
    /// <param name="sigmaMetres">Standard error of a height.</param>
    /// <exception cref="ArgumentException">Sizes do not fit, or a step is not above 0.</exception>
    public TerrainTile(
        string source,
        ReferenceSystem system,
        double firstEast,
        double firstNorth,
        double stepEast,
        double stepNorth,
        int rows,
        int columns,
        float[] heights,
        VerticalReference verticalReference,
        double sigmaMetres = DefaultSigmaMetres
    )
    {
        ArgumentNullException.ThrowIfNull(system);
        ArgumentNullException.ThrowIfNull(heights);
        ArgumentOutOfRangeException.ThrowIfLessThan(rows, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(columns, 1);
        if (heights.Length != (long)rows * columns)
        {
            throw new ArgumentException(
                $"{heights.Length} heights do not fill {rows} × {columns} posts.",
                nameof(heights)
            );
        }

        if (!(stepEast > 0) || !(stepNorth > 0) || !double.IsFinite(stepEast) || !double.IsFinite(stepNorth))
        {
            throw new ArgumentException(
                FormattableString.Invariant($"Steps {stepEast} and {stepNorth} between posts must be above 0."),
                nameof(stepEast)
            );
        }

        if (!(sigmaMetres >= 0))
        {
            throw new ArgumentOutOfRangeException(
                nameof(sigmaMetres),
                sigmaMetres,
                "A standard error is not negative."
            );
        }

        Source = source;
        System = system;
        FirstEast = firstEast;
        FirstNorth = firstNorth;
        StepEast = stepEast;
        StepNorth = stepNorth;
        Rows = rows;
        Columns = columns;
        this.heights = heights;
        VerticalReference = verticalReference;
        SigmaMetres = sigmaMetres;
        Voids = TerrainVoids.Of(heights, rows, columns);
    }

    public string Source { get; }

    public ReferenceSystem System { get; }

    public double FirstEast { get; }

    public double FirstNorth { get; }

    public double StepEast { get; }

    public double StepNorth { get; }

    public int Rows { get; }

    public int Columns { get; }

    public VerticalReference VerticalReference { get; }

    public double SigmaMetres { get; }

    public TerrainVoids Voids { get; }

    /// <summary>Rows × Columns, metres, row-major, NaN where void.</summary>
    public ReadOnlySpan<float> Heights => heights;

    /// <summary>Distance between posts on the ground, metres, the smaller of east and north.</summary>
    public double PostDistanceMetres
    {
        get
        {
            if (System.IsProjected)
            {
                return Math.Min(StepEast, StepNorth);
            }

            double middle = (FirstNorth - (StepNorth * (Rows - 1) / 2)) * (Math.PI / 180);
            double east =
                StepEast * (Math.PI / 180) * Ellipsoid.Wgs84.PrimeVerticalRadiusMetres(middle) * Math.Cos(middle);
            double north = StepNorth * (Math.PI / 180) * Ellipsoid.Wgs84.MeridianRadiusMetres(middle);
            return Math.Min(east, north);
        }
    }

    /// <summary>Where a coordinate lies among the posts: the first post is (0, 0), not its cell's corner.</summary>
    internal double ColumnOf(double east) => (east - FirstEast) / StepEast;

    internal double RowOf(double north) => (FirstNorth - north) / StepNorth;

    internal float Post(int row, int column) =>
        row >= 0 && row < Rows && column >= 0 && column < Columns ? heights[(row * Columns) + column] : float.NaN;
}
