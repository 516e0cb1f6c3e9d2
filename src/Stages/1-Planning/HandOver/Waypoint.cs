namespace Hillrow.Planning;

/// <summary>A place where a sortie's route bends, in plan or in height; straight between two of them.</summary>
/// <param name="Sample">Place, height, speed of what follows.</param>
/// <param name="TriggerBaseMetres">From here on a capture every so many metres; 0 for none.</param>
public readonly record struct Waypoint(RouteSample Sample, double TriggerBaseMetres)
{
    private const double PlanToleranceMetres = 0.4;

    /// <summary>Below what the floor was raised by, so straight pieces keep the clearance.</summary>
    private const double HeightToleranceMetres = 0.4;

    /// <summary>The fewest waypoints whose straight pieces stay within the tolerances of the route (Douglas and Peucker 1973, DOI 10.3138/FM57-6770-U75U-7727).</summary>
    public static IReadOnlyList<Waypoint> Of(Sortie sortie)
    {
        ArgumentNullException.ThrowIfNull(sortie);
        List<RouteSample> route = WithLineEnds(sortie);
        bool[] keep = new bool[route.Count];
        keep[0] = true;
        keep[^1] = true;
        for (int at = 1; at < route.Count; at++)
        {
            keep[at] |= route[at].Line != route[at - 1].Line;
        }

        int from = 0;
        for (int at = 1; at < route.Count; at++)
        {
            if (keep[at])
            {
                Thin(route, keep, from, at);
                from = at;
            }
        }

        List<Waypoint> waypoints = [];
        for (int at = 0; at < route.Count; at++)
        {
            if (keep[at])
            {
                RouteSample sample = route[at];
                double trigger = sample.Line > 0 ? sortie.Lines[sample.Line - 1].BaseMetres : 0;
                waypoints.Add(new Waypoint(sample, trigger));
            }
        }

        return waypoints;
    }

    /// <summary>The samples lie at equal steps; the exact ends of lines, where triggering starts and stops, are put in.</summary>
    private static List<RouteSample> WithLineEnds(Sortie sortie)
    {
        List<RouteSample> route = [];
        int line = 0;
        IEnumerable<IGrouping<int, PlannedTrigger>> groups = sortie.Captures.GroupBy(capture => capture.Line);
        Dictionary<int, (PlannedTrigger First, PlannedTrigger Last)> ends = groups.ToDictionary(
            group => group.Key,
            group => (group.First(), group.Last())
        );
        foreach (RouteSample sample in sortie.Route)
        {
            if (sample.Line != line)
            {
                if (line > 0)
                {
                    // The line is over; what follows belongs to the turn.
                    route.Add(End(ends[line].Last, sample with { Line = 0 }));
                }

                if (sample.Line > 0)
                {
                    route.Add(End(ends[sample.Line].First, sample));
                }

                line = sample.Line;
            }

            route.Add(sample);
        }

        if (line > 0)
        {
            route.Add(End(ends[line].Last, sortie.Route[^1] with { Line = 0 }));
        }

        return route;
    }

    private static RouteSample End(PlannedTrigger capture, RouteSample like) =>
        like with
        {
            Seconds = capture.Seconds,
            Place = new PlanPoint(capture.PositionLocalMetres.X, capture.PositionLocalMetres.Y),
            UpMetres = capture.PositionLocalMetres.Z,
            AzimuthRadians = capture.YawDegrees * Math.PI / 180,
        };

    private static void Thin(List<RouteSample> route, bool[] keep, int from, int to)
    {
        // A stack of its own: a route of thousands of samples would nest too deep.
        Stack<(int From, int To)> spans = new([(from, to)]);
        while (spans.TryPop(out (int From, int To) span))
        {
            double worst = 0;
            int at = -1;
            for (int i = span.From + 1; i < span.To; i++)
            {
                double off = Off(route[span.From], route[span.To], route[i]);
                if (off > worst)
                {
                    (worst, at) = (off, i);
                }
            }

            if (worst > 1)
            {
                keep[at] = true;
                spans.Push((span.From, at));
                spans.Push((at, span.To));
            }
        }
    }

    /// <summary>Distance from the straight piece, in tolerances.</summary>
    private static double Off(RouteSample a, RouteSample b, RouteSample at)
    {
        double east = b.Place.EastMetres - a.Place.EastMetres;
        double north = b.Place.NorthMetres - a.Place.NorthMetres;
        double square = (east * east) + (north * north);
        double share =
            square > 0
                ? Math.Clamp(
                    (
                        ((at.Place.EastMetres - a.Place.EastMetres) * east)
                        + ((at.Place.NorthMetres - a.Place.NorthMetres) * north)
                    ) / square,
                    0,
                    1
                )
                : 0;
        double plan = at.Place.DistanceTo(a.Place.Between(b.Place, share));
        double height = Math.Abs(at.UpMetres - a.UpMetres - ((b.UpMetres - a.UpMetres) * share));
        return Math.Max(plan / PlanToleranceMetres, height / HeightToleranceMetres);
    }
}
