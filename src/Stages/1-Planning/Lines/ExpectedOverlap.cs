using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Numerics.Distributions;

namespace Hillrow.Planning;

/// <summary>What is expected of a field's lines when the terrain's heights are uncertain.</summary>
/// <param name="Share">Of the places, mean probability that the asked overlap is kept, 0 … 1.</param>
/// <param name="LeastMetres">How much higher than nominal the ground may lie with the overlap kept, at the worst place.</param>
internal readonly record struct OverlapPromise(double Share, double LeastMetres);

/// <summary>
/// The share of a field's places that keep the asked overlap although the terrain's heights are uncertain: as many lines
/// as asked, each with as many captures as asked, must still see a place when the ground there lies higher.
/// </summary>
/// <remarks>
/// Each capture sees a place as long as the ground there is not higher than some height error; the error that leaves
/// just the asked captures on just the asked lines is the place's own, and the normal distribution says how probable it is
/// to stay below. Pinhole geometry within the frame's inner rectangle; sight lines are taken as free.
/// </remarks>
internal sealed class ExpectedOverlap
{
    /// <summary>Places looked at in a field; more change the share by less than a thousandth.</summary>
    private const double MostPlaces = 2000;

    private readonly FlightGround ground;
    private readonly PlanningSettings settings;
    private readonly double acrossTangent;
    private readonly double alongTangent;

    public ExpectedOverlap(FlightGround ground, PlanningInput input, PlanningSettings settings)
    {
        this.ground = ground;
        this.settings = settings;
        (acrossTangent, alongTangent) = Tangents(input.Camera.Lens);
    }

    public OverlapPromise Of(PlanField field, IReadOnlyList<LineSegment> segments)
    {
        Line[] lines =
        [
            .. segments
                .GroupBy(segment => segment.Line)
                .Select(group => new Line([.. group]))
                .OrderBy(one => one.Across),
        ];
        (List<PlanPoint> inside, List<PlanPoint> edge) = Places(field);
        if (lines.Length == 0)
        {
            return new OverlapPromise(0, double.NegativeInfinity);
        }

        SweepAxes axes = segments[0].Axes;
        double[] errors = new double[inside.Count + edge.Count];
        Parallel.For(
            0,
            errors.Length,
            new ParallelOptions { MaxDegreeOfParallelism = Math.Max(1, settings.Threads) },
            at => errors[at] = HighestError(axes, lines, at < inside.Count ? inside[at] : edge[at - inside.Count])
        );
        double sigma = Math.Max(1e-3, ground.SigmaMetres);
        double share =
            inside.Count == 0
                ? 1
                : errors.Take(inside.Count).Average(error => NormalDistribution.LowerTail(error / sigma));
        return new OverlapPromise(share, errors.Min());
    }

    /// <summary>How much higher than nominal the ground may lie at a place with the overlap kept, metres.</summary>
    private double HighestError(SweepAxes axes, Line[] lines, PlanPoint place)
    {
        double top = ground.GroundAt(place) + settings.CanopyMetres;
        double along = axes.AlongOf(place);
        double across = axes.AcrossOf(place);
        // Beyond this a capture sees a place only where the ground lies a whole flying height lower.
        double most = 2 * ground.HeightMetres;
        Span<double> best = stackalloc double[settings.ViewsAcross];
        Span<double> captures = stackalloc double[settings.ViewsAlong];
        best.Fill(double.NegativeInfinity);
        foreach (Line line in lines)
        {
            double sideways = Math.Abs(line.Across - across) / acrossTangent;
            if (sideways > most)
            {
                continue;
            }

            captures.Fill(double.NegativeInfinity);
            double last = along + (most * alongTangent);
            for (
                int at = line.FirstFrom(along - (most * alongTangent));
                at < line.Along.Length && line.Along[at] <= last;
                at++
            )
            {
                double ahead = Math.Abs(line.Along[at] - along) / alongTangent;
                Keep(captures, line.Up[at] - top - ground.ClimbLossAt(line.Up[at]) - Math.Max(sideways, ahead));
            }

            Keep(best, captures[^1]);
        }

        return best[^1];
    }

    /// <summary>Keeps the greatest values, in falling order.</summary>
    private static void Keep(Span<double> greatest, double value)
    {
        if (!(value > greatest[^1]))
        {
            return;
        }

        int at = greatest.Length - 1;
        while (at > 0 && greatest[at - 1] < value)
        {
            greatest[at] = greatest[at - 1];
            at--;
        }

        greatest[at] = value;
    }

    /// <summary>Places on a grid, and at the edges, where views are fewest.</summary>
    private static (List<PlanPoint> Inside, List<PlanPoint> Edge) Places(PlanField field)
    {
        const double FromEdge = 0.5;
        double area = field.Polygons.Sum(polygon => polygon.AreaSquareMetres);
        double cell = Math.Max(2, Math.Sqrt(area / MostPlaces));
        SweepAxes plain = new(Math.PI / 2);
        IEnumerable<PlanPoint> corners = field.Polygons.SelectMany(polygon => polygon.Outer);
        double south = corners.Min(corner => corner.NorthMetres);
        double north = corners.Max(corner => corner.NorthMetres);
        List<PlanPoint> places = [];
        List<PlanPoint> edge = [];
        for (double at = south + (cell / 2); at < north; at += cell)
        {
            foreach (Stretch row in LineStretches.Inside(plain, field.Polygons, -at))
            {
                edge.Add(new PlanPoint(Math.Min(row.To, row.From + FromEdge), at));
                edge.Add(new PlanPoint(Math.Max(row.From, row.To - FromEdge), at));
                for (double east = row.From + (cell / 2); east < row.To; east += cell)
                {
                    places.Add(new PlanPoint(east, at));
                }
            }
        }

        return (places, edge);
    }

    /// <summary>Tangents of the half angles that the frame surely sees across and along, the lesser side of each.</summary>
    private static (double Across, double Along) Tangents(Lens lens)
    {
        double across = double.PositiveInfinity;
        double along = double.PositiveInfinity;
        for (int step = 0; step <= 4; step++)
        {
            foreach (double side in new[] { 0.0, 1.0 })
            {
                Vector3D beside = lens.RayOf(new PixelPoint(side * lens.Columns, step * lens.Rows / 4.0));
                Vector3D ahead = lens.RayOf(new PixelPoint(step * lens.Columns / 4.0, side * lens.Rows));
                across = Math.Min(across, Math.Abs(beside.X / beside.Z));
                along = Math.Min(along, Math.Abs(ahead.Y / ahead.Z));
            }
        }

        return (across, along);
    }

    /// <summary>The captures of one line, in order along it.</summary>
    private sealed class Line
    {
        public Line(IReadOnlyList<LineSegment> segments)
        {
            Across = segments[0].Across;
            (double Along, double Up)[] captures =
            [
                .. segments
                    .SelectMany(segment =>
                        Enumerable.Range(0, segment.Captures).Select(at => (segment, Along: segment.AlongAt(at)))
                    )
                    .Select(one => (one.Along, one.segment.UpAt(one.Along)))
                    .OrderBy(one => one.Along),
            ];
            Along = [.. captures.Select(one => one.Along)];
            Up = [.. captures.Select(one => one.Up)];
        }

        public double Across { get; }

        public double[] Along { get; }

        public double[] Up { get; }

        public int FirstFrom(double along)
        {
            int at = Array.BinarySearch(Along, along);
            return at < 0 ? ~at : at;
        }
    }
}
