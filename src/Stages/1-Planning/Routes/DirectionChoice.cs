using Hillrow.Numerics;

namespace Hillrow.Planning;

/// <summary>What flying a field in one direction would take; estimated, for comparing directions.</summary>
/// <param name="AzimuthDegrees">Of the lines, clockwise from north, 0 … 180.</param>
/// <param name="LineMetres">On lines.</param>
/// <param name="Lines">Pieces of lines.</param>
/// <param name="LineSeconds">On lines, climbs and wind included.</param>
/// <param name="TurnSeconds">Turns and ways between chains, and from and to home.</param>
/// <param name="ClimbMetres">Sum of all climbs on lines.</param>
/// <param name="WayMetres">Length of turns and ways.</param>
public readonly record struct DirectionCost(
    double AzimuthDegrees,
    double LineMetres,
    int Lines,
    double LineSeconds,
    double TurnSeconds,
    double ClimbMetres,
    double WayMetres
)
{
    public double Metres => LineMetres + WayMetres;

    public double Seconds => LineSeconds + TurnSeconds;
}

/// <summary>Compares directions of lines over a field by the whole time in the air.</summary>
internal sealed class DirectionChoice(
    FlightGround ground,
    FrameReach frame,
    PlanningInput input,
    PlanningSettings settings,
    TurnCost turns,
    KeptOutAreas keptOut
)
{
    private const double SampleMetres = 20;

    /// <summary>By this much estimated and flown times differ from direction to direction.</summary>
    private const double EstimateErrorShare = 0.025;

    private const int LookedAtCloser = 3;

    private static readonly double[] FinerSteps = [-3.5, -2.5, -1.5, -0.75, 0.75, 1.5, 2.5, 3.5];

    /// <summary>Strip width and picture length at the worst of some places spread over the field, on the raised ground.</summary>
    public StripSize SizeIn(PlanField field, double azimuthRadians) => SizeIn(ground, field, azimuthRadians);

    /// <summary>The same on a ground raised otherwise.</summary>
    public StripSize SizeIn(FlightGround on, PlanField field, double azimuthRadians)
    {
        StripSize size = StripSize.Unknown;
        foreach (PlanPolygon polygon in field.Polygons)
        {
            IEnumerable<PlanPoint> places = Thinned(polygon.Outer)
                .Select(corner => polygon.Centroid.Between(corner, 0.8))
                .Append(polygon.Centroid);
            foreach (PlanPoint place in places)
            {
                double up = ground.GroundAt(place) + ground.HeightMetres;
                Reach reach = frame.At(place, up - on.RaiseAt(up), azimuthRadians);
                if (!reach.IsComplete)
                {
                    throw PlanRefusals.Void(input, place);
                }

                size = size.With(reach);
            }
        }

        return size;
    }

    /// <summary>The directions worth laying lines in, the most promising first, and the one along the contour.</summary>
    public (IReadOnlyList<DirectionCost> Best, DirectionCost Contour) Choose(PlanField field, PlanPoint home, int most)
    {
        double contour = ContourDegrees(field);
        DirectionCost along = CostOf(field, contour, home);
        if (settings.Direction == LineDirection.Contour)
        {
            return ([along], along);
        }

        if (settings.Direction == LineDirection.Given)
        {
            return ([CostOf(field, Wrap(settings.DirectionDegrees), home)], along);
        }

        double[] tries =
        [
            .. Enumerable.Range(0, 36).Select(step => 5.0 * step).Concat(EdgeDegrees(field)).Append(contour).Distinct(),
        ];
        DirectionCost[] coarse = CostsOf(field, tries, home);
        // One line more or less makes the cost jump from degree to degree: look closer around the best few.
        double[] near =
        [
            .. Few(coarse)
                .SelectMany(cost => FinerSteps.Select(step => Wrap(cost.AzimuthDegrees + step)))
                .Except(tries)
                .Distinct(),
        ];
        return ([.. Ranked([.. coarse, .. CostsOf(field, near, home)]).Take(most)], along);
    }

    /// <summary>Azimuth at right angles to the mean fall of the field's ground; 90° on level ground.</summary>
    public double ContourDegrees(PlanField field)
    {
        double east = 0;
        double north = 0;
        foreach (PlanPoint place in field.Polygons.SelectMany(one => one.Outer.Append(one.Centroid)))
        {
            Vector3D normal = ground.Terrain.NormalAt(place.EastMetres, place.NorthMetres);
            east += normal.X;
            north += normal.Y;
        }

        return east == 0 && north == 0 ? 90 : Wrap((Math.Atan2(east, north) * 180 / Math.PI) + 90);
    }

    public DirectionCost CostOf(PlanField field, double degrees, PlanPoint home)
    {
        SweepAxes axes = new(degrees * Math.PI / 180);
        StripSize size = SizeIn(field, axes.AzimuthRadians);
        double spacing = (1 - settings.SideOverlap) * size.WidthMetres;
        SweepSlices slices = new(axes, field.Polygons);
        Stretch all = slices.Across(size.Lines(settings, spacing));
        int lines = Math.Max(1, (int)Math.Ceiling((all.Length / spacing) - 1e-9) + 1);
        double across = all.From - ((((lines - 1) * spacing) - all.Length) / 2);
        double fastest = LineSpeeds.Fastest(input, settings, (1 - settings.ForwardOverlap) * size.LengthMetres);
        List<LineSegment> segments = [];
        for (int line = 0; line < lines; line++, across += spacing)
        {
            List<Stretch> pieces = slices.PiecesAt(across, size.Lines(settings, spacing), size.Captures(settings));
            foreach (
                Stretch piece in LineStretches.Without(pieces, LineStretches.Inside(axes, keptOut.LineLimits, across))
            )
            {
                segments.Add(
                    new LineSegment
                    {
                        Field = field.Number,
                        Line = line,
                        Axes = axes,
                        Across = across,
                        Along = piece,
                    }
                );
            }
        }

        return CostOf(degrees, segments, fastest, home);
    }

    /// <summary>What flying these lines of one direction takes.</summary>
    public DirectionCost CostOf(double degrees, IReadOnlyList<LineSegment> segments, double fastest, PlanPoint home)
    {
        double seconds = 0;
        double climbs = 0;
        foreach (LineSegment segment in segments)
        {
            (double slope, double climb) = SteepnessOf(segment.Axes, segment.Across, segment.Along);
            double limit = HeightProfile.ClimbAndDescent(input.Aircraft) / Math.Max(1e-6, slope);
            double azimuth = segment.Axes.AzimuthRadians;
            double own = segment.SpeedMetresPerSecond > 0 ? segment.SpeedMetresPerSecond : fastest;
            double both = Math.Min(own, limit);
            double forward = LineSpeeds.Over(input.Aircraft, settings.Wind, azimuth, both);
            double back = LineSpeeds.Over(input.Aircraft, settings.Wind, azimuth + Math.PI, both);
            double mean = 2 / ((1 / Math.Max(0.1, forward)) + (1 / Math.Max(0.1, back)));
            seconds += segment.Along.Length / mean;
            climbs += climb;
        }

        List<LineChain> chains = LineChain.Of([.. segments]);
        ChainOrder order = new(chains, home, turns.Seconds);
        (IReadOnlyList<(LineSegment Segment, bool Back)> flown, double turning) = order.Best(
            chains.Count <= 12 ? 2 : 0
        );
        return new DirectionCost(
            degrees,
            segments.Sum(segment => segment.Along.Length),
            segments.Count,
            seconds,
            turning,
            climbs,
            WaysOf(flown, home)
        );
    }

    private double WaysOf(IReadOnlyList<(LineSegment Segment, bool Back)> order, PlanPoint home)
    {
        double sum = 0;
        Heading? at = null;
        foreach ((LineSegment, bool) line in order)
        {
            sum += turns.Metres(at, LineChain.BeginOf(line), home);
            at = LineChain.EndOf(line);
        }

        return sum + turns.Metres(at, null, home);
    }

    private (double Slope, double Climb) SteepnessOf(SweepAxes axes, double across, Stretch piece)
    {
        int steps = Math.Max(1, (int)Math.Round(piece.Length / SampleMetres));
        List<double> slopes = [];
        double climb = 0;
        double before = double.NaN;
        for (int at = 0; at <= steps; at++)
        {
            double here = ground.GroundAt(axes.PlaceOf(piece.From + (piece.Length * at / steps), across));
            if (double.IsFinite(here - before))
            {
                slopes.Add(Math.Abs(here - before) * steps / Math.Max(1, piece.Length));
                climb += Math.Max(0, here - before);
            }

            before = here;
        }

        slopes.Sort();
        // A climb shorter than a tenth of the line is flown over, not followed.
        return (slopes.Count == 0 ? 0 : slopes[(int)(0.9 * (slopes.Count - 1))], climb);
    }

    /// <summary>The best directions that lie farther apart than the finer steps reach.</summary>
    private static List<DirectionCost> Few(DirectionCost[] costs)
    {
        List<DirectionCost> few = [];
        foreach (DirectionCost cost in costs.OrderBy(cost => cost.Seconds).ThenBy(cost => cost.AzimuthDegrees))
        {
            if (
                few.Count < LookedAtCloser
                && few.TrueForAll(other =>
                    Math.Abs(Math.IEEERemainder(cost.AzimuthDegrees - other.AzimuthDegrees, 180)) > FinerSteps[^1]
                )
            )
            {
                few.Add(cost);
            }
        }

        return few;
    }

    private DirectionCost[] CostsOf(PlanField field, double[] degrees, PlanPoint home)
    {
        DirectionCost[] costs = new DirectionCost[degrees.Length];
        Parallel.For(
            0,
            degrees.Length,
            new ParallelOptions { MaxDegreeOfParallelism = Math.Max(1, settings.Threads) },
            at => costs[at] = CostOf(field, degrees[at], home)
        );
        return costs;
    }

    public static IEnumerable<DirectionCost> Ranked(IReadOnlyList<DirectionCost> costs)
    {
        // What is as quick within the estimate's own error is chosen by the shorter way; ties by the smaller azimuth.
        double quickest = costs.Min(cost => cost.Seconds);
        return costs
            .Where(cost => cost.Seconds <= (1 + EstimateErrorShare) * quickest)
            .OrderBy(cost => cost.Metres)
            .ThenBy(cost => cost.AzimuthDegrees);
    }

    /// <summary>Directions of the longest edges: the best direction of a convex field is one of its edges'.</summary>
    private static IEnumerable<double> EdgeDegrees(PlanField field) =>
        field
            .Polygons.SelectMany(one =>
                one.Outer.Select((point, at) => (From: point, To: one.Outer[(at + 1) % one.Outer.Count]))
            )
            .OrderByDescending(edge => edge.From.DistanceTo(edge.To))
            .Take(8)
            .Select(edge => Wrap(Math.Round(edge.From.AzimuthTo(edge.To) * 180 / Math.PI, 2)));

    private static IEnumerable<PlanPoint> Thinned(IReadOnlyList<PlanPoint> ring)
    {
        int every = Math.Max(1, ring.Count / 12);
        return ring.Where((_, at) => at % every == 0);
    }

    private static double Wrap(double degrees) => degrees - (180 * Math.Floor(degrees / 180));
}
