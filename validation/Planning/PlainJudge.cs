using Hillrow.Planning;

namespace Hillrow.Validation.Planning;

/// <summary>
/// Judges a finished plan on the true site by plain arithmetic: what each capture sees (a pinhole, a march along the line
/// of sight), and how near the aircraft comes to what stands there. Shares no code with the planner or the room Sight.
/// </summary>
public static class PlainJudge
{
    /// <summary>Share of the 2 m cells inside blocks that enough lines see often enough (docs/decisions/0030).</summary>
    public static double ShareAtOverlap(
        PlanningResult plan,
        TrueGround site,
        IReadOnlyList<double> heightErrors,
        out int cells
    )
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(site);
        ArgumentNullException.ThrowIfNull(heightErrors);
        List<Picture>[] lines = Lines(plan, heightErrors);
        List<(double East, double North)> places = [];
        double half = site.HalfMetres - 10;
        for (double east = -half; east <= half; east += 2)
        {
            for (double north = -half; north <= half; north += 2)
            {
                if (plan.Input.Blocks.Any(block => block.Parts.Any(part => Inside(part, east, north))))
                {
                    places.Add((east, north));
                }
            }
        }

        int kept = 0;
        Parallel.ForEach(
            places,
            new ParallelOptions { MaxDegreeOfParallelism = 2 },
            place =>
            {
                if (HasOverlap(plan.Settings, site, lines, place.East, place.North))
                {
                    Interlocked.Increment(ref kept);
                }
            }
        );
        cells = places.Count;
        return (double)kept / places.Count;
    }

    /// <summary>Share of places, a metre apart on the straight pieces between waypoints, that keep the asked clearance.</summary>
    public static (double Share, double LeastMetres) Clearance(
        PlanningResult plan,
        TrueGround site,
        IReadOnlyList<double> heightErrors
    )
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(site);
        ArgumentNullException.ThrowIfNull(heightErrors);
        long places = 0;
        long kept = 0;
        double least = double.PositiveInfinity;
        foreach (Sortie sortie in plan.Sorties)
        {
            IReadOnlyList<Waypoint> way = Waypoint.Of(sortie);
            for (int at = 1; at < way.Count; at++)
            {
                RouteSample a = way[at - 1].Sample;
                RouteSample b = way[at].Sample;
                double east = b.Place.EastMetres - a.Place.EastMetres;
                double north = b.Place.NorthMetres - a.Place.NorthMetres;
                int steps = Math.Max(1, (int)Math.Ceiling(Math.Sqrt((east * east) + (north * north))));
                for (int step = 0; step < steps; step++)
                {
                    double share = (double)step / steps;
                    double x = a.Place.EastMetres + (share * east);
                    double y = a.Place.NorthMetres + (share * north);
                    double up = a.UpMetres + (share * (b.UpMetres - a.UpMetres)) + heightErrors[sortie.Number - 1];
                    double above = up - Math.Max(site.TopAt(x, y), ObstacleTop(plan, site, x, y));
                    least = Math.Min(least, above);
                    places++;
                    kept += above >= plan.Settings.ClearanceMetres ? 1 : 0;
                }
            }
        }

        return ((double)kept / places, least);
    }

    private static double ObstacleTop(PlanningResult plan, TrueGround site, double east, double north)
    {
        double top = double.NegativeInfinity;
        foreach (Obstacle obstacle in plan.Input.Obstacles)
        {
            for (int at = 0; at < obstacle.Points.Count; at++)
            {
                PlanPoint a = obstacle.Points[at];
                PlanPoint b = obstacle.Points[Math.Min(at + 1, obstacle.Points.Count - 1)];
                double dx = b.EastMetres - a.EastMetres;
                double dy = b.NorthMetres - a.NorthMetres;
                double square = (dx * dx) + (dy * dy);
                double along =
                    square == 0 ? 0 : (((east - a.EastMetres) * dx) + ((north - a.NorthMetres) * dy)) / square;
                along = Math.Clamp(along, 0, 1);
                double offEast = east - a.EastMetres - (along * dx);
                double offNorth = north - a.NorthMetres - (along * dy);
                if ((offEast * offEast) + (offNorth * offNorth) < 9)
                {
                    double groundA = site.GroundAt(a.EastMetres, a.NorthMetres);
                    double groundB = site.GroundAt(b.EastMetres, b.NorthMetres);
                    top = Math.Max(top, groundA + (along * (groundB - groundA)) + obstacle.HeightAboveGroundMetres);
                }
            }
        }

        return top;
    }

    private static bool HasOverlap(
        PlanningSettings settings,
        TrueGround site,
        List<Picture>[] lines,
        double east,
        double north
    )
    {
        double top = site.TopAt(east, north);
        int across = (int)Math.Floor((1 / (1 - settings.SideOverlap)) + 1e-9);
        int along = (int)Math.Floor((1 / (1 - settings.ForwardOverlap)) + 1e-9);
        int linesSeeing = 0;
        foreach (List<Picture> line in lines)
        {
            int captures = 0;
            foreach (Picture picture in line)
            {
                captures += picture.Sees(site, east, north, top) ? 1 : 0;
                if (captures >= along)
                {
                    linesSeeing++;
                    break;
                }
            }

            if (linesSeeing >= across)
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>Captures by line: the same direction, give or take a half turn, and the same place across it.</summary>
    private static List<Picture>[] Lines(PlanningResult plan, IReadOnlyList<double> heightErrors)
    {
        Dictionary<(long, long), List<Picture>> lines = [];
        foreach (Sortie sortie in plan.Sorties)
        {
            foreach (PlannedTrigger capture in sortie.Captures)
            {
                double yaw = capture.YawDegrees * Math.PI / 180;
                double half = capture.YawDegrees % 180;
                half = half > 179.99 ? 0 : half;
                (double sine, double cosine) = Math.SinCos(half * Math.PI / 180);
                double across = (capture.PositionLocalMetres.X * cosine) - (capture.PositionLocalMetres.Y * sine);
                (long, long) key = ((long)Math.Round(half * 50), (long)Math.Round(across * 5));
                if (!lines.TryGetValue(key, out List<Picture>? line))
                {
                    lines[key] = line = [];
                }

                // The pinhole of PlanScene's camera, written out.
                line.Add(
                    new Picture(
                        capture.PositionLocalMetres.X,
                        capture.PositionLocalMetres.Y,
                        capture.PositionLocalMetres.Z + heightErrors[sortie.Number - 1],
                        Math.Sin(yaw),
                        Math.Cos(yaw)
                    )
                );
            }
        }

        return [.. lines.Values];
    }

    private static bool Inside(PlanPolygon polygon, double east, double north)
    {
        bool inside = Crossings(polygon.Outer, east, north);
        foreach (IReadOnlyList<PlanPoint> hole in polygon.Holes)
        {
            inside ^= Crossings(hole, east, north);
        }

        return inside;
    }

    private static bool Crossings(IReadOnlyList<PlanPoint> ring, double east, double north)
    {
        bool inside = false;
        for (int at = 0; at < ring.Count; at++)
        {
            PlanPoint a = ring[at];
            PlanPoint b = ring[(at + 1) % ring.Count];
            if (
                a.NorthMetres > north != b.NorthMetres > north
                && east
                    < a.EastMetres
                        + ((north - a.NorthMetres) * (b.EastMetres - a.EastMetres) / (b.NorthMetres - a.NorthMetres))
            )
            {
                inside = !inside;
            }
        }

        return inside;
    }

    private readonly record struct Picture(double East, double North, double Up, double Sine, double Cosine)
    {
        private const double FocalPixels = 1594.2;
        private const double HalfColumns = 728;
        private const double HalfRows = 544;

        public bool Sees(TrueGround site, double east, double north, double top)
        {
            double dx = east - East;
            double dy = north - North;
            double depth = Up - top;
            double right = (dx * Cosine) - (dy * Sine);
            double ahead = (dx * Sine) + (dy * Cosine);
            if (
                depth <= 0
                || Math.Abs(right) * FocalPixels > HalfColumns * depth
                || Math.Abs(ahead) * FocalPixels > HalfRows * depth
            )
            {
                return false;
            }

            // March up the line of sight in steps of a metre in plan; 40 m on, nothing reaches up to it any more.
            double length = Math.Sqrt((dx * dx) + (dy * dy));
            for (double at = 1; at < Math.Min(length, 40); at++)
            {
                double share = at / length;
                if (site.TopAt(east - (share * dx), north - (share * dy)) > top + (share * depth) + 0.02)
                {
                    return false;
                }
            }

            return true;
        }
    }
}
