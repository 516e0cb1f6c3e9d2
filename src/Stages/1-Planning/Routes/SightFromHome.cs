using Hillrow.Numerics;

namespace Hillrow.Planning;

/// <summary>Gives each piece of a line to a home whose pilot sees all of it: near enough, and no ridge between.</summary>
internal sealed class SightFromHome(FlightGround ground, PlanningInput input, PlanningSettings settings, TurnCost turns)
{
    public const double EyeMetres = 1.7;

    private const double StepMetres = 12;

    private readonly Vector3D[] eyes =
    [
        .. input.Homes.Select(home => new Vector3D(
            home.Place.EastMetres,
            home.Place.NorthMetres,
            ground.GroundAt(home.Place) + EyeMetres
        )),
    ];

    /// <summary>Whether a pilot at a home sees the aircraft.</summary>
    public bool Sees(int home, Vector3D aircraft, double marginMetres = 0) =>
        (aircraft - eyes[home]).Length <= settings.LineOfSightMetres - marginMetres
        && ground.Terrain.Sees(eyes[home], aircraft, 0.5);

    public double DistanceFrom(int home, Vector3D aircraft) => (aircraft - eyes[home]).Length;

    /// <summary>The pieces with their homes; cut where the home changes, with the capture at the cut in both parts.</summary>
    /// <param name="segments">Captures are spread already.</param>
    /// <param name="leftOutMetres">Length that no home sees and that was left out.</param>
    /// <exception cref="InputProblemException">Something is unseen and may not be left out.</exception>
    public List<LineSegment> Assign(IReadOnlyList<LineSegment> segments, out double leftOutMetres)
    {
        List<LineSegment> assigned = [];
        List<Vector3D> unseen = [];
        double lost = 0;
        ulong[][] seen = new ulong[segments.Count][];
        Parallel.For(
            0,
            segments.Count,
            new ParallelOptions { MaxDegreeOfParallelism = Math.Max(1, settings.Threads) },
            at => seen[at] = SeersAlong(segments[at])
        );
        for (int number = 0; number < segments.Count; number++)
        {
            LineSegment segment = segments[number];
            for (int at = 0; at < segment.Captures; at++)
            {
                if (seen[number][at] == 0)
                {
                    unseen.Add(Aircraft(segment.CaptureAt(at)));
                    lost += segment.BaseMetres;
                }
            }

            Cut(segment, seen[number], assigned);
        }

        if (unseen.Count > 0 && settings.RefuseUnseen)
        {
            Vector3D first = unseen[unseen.Count / 2];
            throw PlanRefusals.Unseen(input, new PlanPoint(first.X, first.Y), lost, Suggestion(unseen));
        }

        leftOutMetres = lost;
        return assigned;
    }

    /// <summary>For each capture the homes that see it, a bit each; looked at anew every few metres.</summary>
    private ulong[] SeersAlong(LineSegment segment)
    {
        ulong[] seers = new ulong[segment.Captures];
        int every = Math.Max(1, (int)Math.Floor(StepMetres / Math.Max(0.1, segment.BaseMetres)));
        for (int at = 0; at < seers.Length; at++)
        {
            seers[at] = at % every == 0 || at == seers.Length - 1 ? SeersOf(segment.CaptureAt(at)) : seers[at - 1];
        }

        return seers;
    }

    private ulong SeersOf(PlanPoint place)
    {
        Vector3D aircraft = Aircraft(place);
        ulong seers = 0;
        for (int home = 0; home < Math.Min(64, eyes.Length); home++)
        {
            // Turns reach beyond the line's end.
            seers |= Sees(home, aircraft, 2 * turns.LargestRadiusMetres) ? 1UL << home : 0;
        }

        return seers;
    }

    private Vector3D Aircraft(PlanPoint place) =>
        new(
            place.EastMetres,
            place.NorthMetres,
            Math.Max(ground.GroundAt(place) + ground.HeightMetres, ground.FloorAt(place))
        );

    private void Cut(LineSegment segment, ulong[] seers, List<LineSegment> assigned)
    {
        int from = 0;
        while (from < seers.Length)
        {
            if (seers[from] == 0)
            {
                from++;
                continue;
            }

            int to = from;
            ulong all = seers[from];
            while (to + 1 < seers.Length && (all & seers[to + 1]) != 0)
            {
                all &= seers[++to];
            }

            PlanPoint middle = segment.CaptureAt((from + to) / 2);
            int home = Enumerable
                .Range(0, Math.Min(64, eyes.Length))
                .Where(one => (all & (1UL << one)) != 0)
                .MinBy(one => input.Homes[one].Place.DistanceTo(middle));
            assigned.Add(Part(segment, from, to, home));
            // The next part begins with this part's last capture when another home takes over at once.
            from = to + 1 < seers.Length && seers[to + 1] != 0 && to > from ? to : to + 1;
            if (from == to && (seers[from] & ~all) == 0)
            {
                from = to + 1;
            }
        }
    }

    private static LineSegment Part(LineSegment segment, int from, int to, int home)
    {
        bool whole = from == 0 && to == segment.Captures - 1;
        Stretch along = whole
            ? segment.Along
            : new Stretch(
                segment.Along.From + (from * segment.BaseMetres),
                segment.Along.From + (to * segment.BaseMetres)
            );
        return new LineSegment
        {
            Field = segment.Field,
            Line = segment.Line,
            Axes = segment.Axes,
            Across = segment.Across,
            Along = along,
            SpeedMetresPerSecond = segment.SpeedMetresPerSecond,
            BaseMetres = segment.BaseMetres,
            Captures = to - from + 1,
            Home = home,
            WidthMetres = segment.WidthMetres,
            LengthMetres = segment.LengthMetres,
        };
    }

    /// <summary>
    /// A place for another home that sees as much as possible of what no home sees; of equal ones the nearest, for the
    /// shortest way there. Null when none sees any of it.
    /// </summary>
    private (PlanPoint Place, double Share)? Suggestion(List<Vector3D> unseen)
    {
        Vector3D[] sample = [.. unseen.Where((_, at) => at % Math.Max(1, unseen.Count / 150) == 0)];
        PlanPoint middle = new(sample.Average(one => one.X), sample.Average(one => one.Y));
        int best = 0;
        PlanPoint place = default;
        for (double east = sample.Min(one => one.X) - 100; east <= sample.Max(one => one.X) + 100; east += 50)
        {
            for (double north = sample.Min(one => one.Y) - 100; north <= sample.Max(one => one.Y) + 100; north += 50)
            {
                PlanPoint here = new(east, north);
                Vector3D eye = new(east, north, ground.Terrain.HeightAt(east, north) + EyeMetres);
                int seen = double.IsFinite(eye.Z)
                    ? sample.Count(one =>
                        (one - eye).Length <= settings.LineOfSightMetres - (2 * turns.LargestRadiusMetres)
                        && ground.Terrain.Sees(eye, one, 0.5)
                    )
                    : 0;
                bool nearer = here.DistanceTo(middle) < place.DistanceTo(middle);
                if (seen > best || (seen == best && best > 0 && nearer))
                {
                    (best, place) = (seen, here);
                }
            }
        }

        return best == 0 ? null : (place, (double)best / sample.Length);
    }
}
