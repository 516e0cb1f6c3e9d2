namespace Hillrow.Earth;

/// <summary>What a straight line over the ground goes up and down.</summary>
/// <param name="LengthMetres">Horizontal length.</param>
/// <param name="StartMetres">Height at the start.</param>
/// <param name="EndMetres">Height at the end.</param>
/// <param name="HighestMetres">Highest ground on the line.</param>
/// <param name="LowestMetres">Lowest ground on the line.</param>
/// <param name="AscentMetres">Sum of all climbs.</param>
/// <param name="DescentMetres">Sum of all drops.</param>
/// <param name="SurfaceLengthMetres">Length along the ground.</param>
/// <param name="VoidMetres">Horizontal length over voids or outside; the other figures leave it out.</param>
public sealed record TerrainProfile(
    double LengthMetres,
    double StartMetres,
    double EndMetres,
    double HighestMetres,
    double LowestMetres,
    double AscentMetres,
    double DescentMetres,
    double SurfaceLengthMetres,
    double VoidMetres
)
{
    // Gauss–Legendre, four points: the arc of a parabola over one cell comes out to 1e-9 of its length on real slopes.
    private static readonly double[] Points =
    [
        -0.8611363115940526,
        -0.3399810435848563,
        0.3399810435848563,
        0.8611363115940526,
    ];
    private static readonly double[] Weights =
    [
        0.3478548451374538,
        0.6521451548625461,
        0.6521451548625461,
        0.3478548451374538,
    ];

    /// <summary>Follows the bilinear surface through the posts exactly; rows and columns count posts from 0.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The start lies outside the posts.</exception>
    public static TerrainProfile Along(
        ReadOnlySpan<float> heights,
        int rows,
        int columns,
        double cellMetres,
        double fromRow,
        double fromColumn,
        double toRow,
        double toColumn
    )
    {
        if (!(fromRow >= 0 && fromColumn >= 0 && fromRow <= rows - 1 && fromColumn <= columns - 1))
        {
            throw new ArgumentOutOfRangeException(
                nameof(fromRow),
                FormattableString.Invariant($"row {fromRow}, column {fromColumn}"),
                "A profile starts inside the posts."
            );
        }

        double length = cellMetres * double.Hypot(toRow - fromRow, toColumn - fromColumn);
        double start = PostInterpolation.Bilinear(heights, rows, columns, fromRow, fromColumn);
        if (length == 0)
        {
            return new(0, start, start, start, start, 0, 0, 0, 0);
        }

        double end = double.NaN;
        double highest = double.NegativeInfinity;
        double lowest = double.PositiveInfinity;
        double ascent = 0;
        double descent = 0;
        double along = 0;
        double seen = 0;
        TerrainRay ray = new(
            heights,
            rows,
            columns,
            fromRow,
            fromColumn,
            (toRow - fromRow) / length,
            (toColumn - fromColumn) / length
        );
        while (ray.From < length && ray.MoveNext())
        {
            double from = ray.From;
            double to = Math.Min(ray.To, length);
            double last = Height(ray, to);
            if (double.IsNaN(ray.A) || from >= length)
            {
                continue;
            }

            double turn = -ray.B / (2 * ray.C);
            double middle = turn > from && turn < to ? turn : from;
            Climb(Height(ray, from), Height(ray, middle));
            Climb(Height(ray, middle), last);
            along += ArcLength(ray, from, to);
            seen += to - from;
            end = to >= length ? last : double.NaN;
        }

        return new(length, start, end, highest, lowest, ascent, descent, along, length - seen);

        void Climb(double first, double second)
        {
            highest = Math.Max(highest, Math.Max(first, second));
            lowest = Math.Min(lowest, Math.Min(first, second));
            ascent += Math.Max(0, second - first);
            descent += Math.Max(0, first - second);
        }
    }

    private static double Height(in TerrainRay ray, double t) => ray.A + (t * (ray.B + (t * ray.C)));

    private static double ArcLength(in TerrainRay ray, double from, double to)
    {
        double half = (to - from) / 2;
        double middle = (to + from) / 2;
        double sum = 0;
        for (int i = 0; i < Points.Length; i++)
        {
            double slope = ray.B + (2 * ray.C * (middle + (half * Points[i])));
            sum += Weights[i] * Math.Sqrt(1 + (slope * slope));
        }

        return half * sum;
    }
}
