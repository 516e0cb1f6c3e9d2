using Hillrow.Planning;

namespace Hillrow.Validation.Planning;

/// <summary>
/// The yardstick: in every whole degree, lines across the field at the flat-ground spacing, lengthened so that the edge is
/// seen as often as the middle, parts of neighbouring lines joined to and fro, the parts in the best order found. Plain
/// code of its own.
/// </summary>
internal sealed class PlainSweep
{
    private const double TurnRadiusMetres = 6.4;

    private readonly double spacing;
    private readonly double sideBeyond;
    private readonly double endBeyond;

    private PlainSweep(double spacing, double sideBeyond, double endBeyond)
    {
        this.spacing = spacing;
        this.sideBeyond = sideBeyond;
        this.endBeyond = endBeyond;
    }

    public static PlainSweep For(PlanningSettings settings, double heightMetres, PlanningInput input, double baseMetres)
    {
        // Pinhole of PlanScene's camera on level ground, less the 2.33 standard errors that the plan allows for.
        double sigma = Math.Sqrt(
            (input.TerrainSigmaMetres * input.TerrainSigmaMetres)
                + (input.Aircraft.HeightSigmaMetres * input.Aircraft.HeightSigmaMetres)
        );
        double height = heightMetres - (2.3263 * sigma);
        double width = 1456 * height / 1594.2;
        double length = 1088 * height / 1594.2;
        double apart = width * (1 - settings.SideOverlap);
        return new PlainSweep(
            apart,
            (settings.ViewsAcross * apart) - (width / 2),
            (settings.ViewsAlong * baseMetres) - (length / 2)
        );
    }

    public (double Metres, double Degrees) BestOf180(PlanPolygon[] parts, PlanPoint home)
    {
        double best = double.PositiveInfinity;
        double at = 0;
        for (int degrees = 0; degrees < 180; degrees++)
        {
            double metres = Length(parts, home, degrees * Math.PI / 180);
            if (metres < best)
            {
                (best, at) = (metres, degrees);
            }
        }

        return (best, at);
    }

    private double Length(PlanPolygon[] parts, PlanPoint home, double azimuth)
    {
        (double sine, double cosine) = Math.SinCos(azimuth);
        // s along the line, u across.
        (double S, double U) Turn(PlanPoint point) =>
            (
                (point.EastMetres * sine) + (point.NorthMetres * cosine),
                (point.EastMetres * cosine) - (point.NorthMetres * sine)
            );
        List<(double S, double U)[]> rings = [];
        foreach (PlanPolygon part in parts)
        {
            rings.Add([.. part.Outer.Select(Turn)]);
            rings.AddRange(part.Holes.Select(hole => hole.Select(Turn).ToArray()));
        }

        double low = rings.Min(ring => ring.Min(point => point.U)) - sideBeyond;
        double high = rings.Max(ring => ring.Max(point => point.U)) + sideBeyond;
        int lines = (int)Math.Ceiling((high - low) / spacing) + 1;
        double first = low - ((((lines - 1) * spacing) - (high - low)) / 2);
        List<List<(double U, double From, double To)>> runs = [];
        List<List<(double U, double From, double To)>> open = [];
        for (int line = 0; line < lines; line++)
        {
            double u = first + (line * spacing);
            List<List<(double U, double From, double To)>> next = [];
            foreach ((double from, double to) in Pieces(rings, u))
            {
                List<(double U, double From, double To)>[] beside =
                [
                    .. open.Where(run => run[^1].From <= to && from <= run[^1].To),
                ];
                List<(double U, double From, double To)> run =
                    beside.Length == 1 && !next.Contains(beside[0]) ? beside[0] : [];
                run.Add((u, from, to));
                next.Add(run);
            }

            runs.AddRange(open.Where(run => !next.Contains(run)));
            open = next;
        }

        runs.AddRange(open);
        return runs.Count == 0 ? double.PositiveInfinity : Joined(runs, Turn(home));
    }

    /// <summary>Pieces of a line near enough to the field sideways: scanned at five offsets, lengthened, joined.</summary>
    private List<(double From, double To)> Pieces(List<(double S, double U)[]> rings, double u)
    {
        List<(double From, double To)> found = [];
        for (int offset = -4; offset <= 4; offset++)
        {
            double at = u + (offset * sideBeyond / 4);
            List<double> crossings = [];
            foreach ((double S, double U)[] ring in rings)
            {
                for (int i = 0; i < ring.Length; i++)
                {
                    (double S, double U) a = ring[i];
                    (double S, double U) b = ring[(i + 1) % ring.Length];
                    if (a.U > at != b.U > at)
                    {
                        crossings.Add(a.S + ((b.S - a.S) * (at - a.U) / (b.U - a.U)));
                    }
                }
            }

            crossings.Sort();
            for (int i = 0; i + 1 < crossings.Count; i += 2)
            {
                found.Add((crossings[i] - endBeyond, crossings[i + 1] + endBeyond));
            }
        }

        found.Sort();
        List<(double From, double To)> joined = [];
        foreach ((double from, double to) in found)
        {
            if (joined.Count > 0 && from <= joined[^1].To)
            {
                joined[^1] = (joined[^1].From, Math.Max(joined[^1].To, to));
            }
            else
            {
                joined.Add((from, to));
            }
        }

        return joined;
    }

    /// <summary>To and fro within each run, turns as half circles; runs by trying all orders up to seven, else nearest first.</summary>
    private static double Joined(List<List<(double U, double From, double To)>> runs, (double S, double U) home)
    {
        double inside = 0;
        List<((double S, double U)[] Begin, (double S, double U)[] End)> ends = [];
        foreach (List<(double U, double From, double To)> run in runs)
        {
            for (int at = 0; at < run.Count; at++)
            {
                inside += run[at].To - run[at].From;
                if (at > 0)
                {
                    double step = Math.Abs(run[at].U - run[at - 1].U);
                    double radius = Math.Min(step / 2, TurnRadiusMetres);
                    double offset = at % 2 == 1 ? run[at].To - run[at - 1].To : run[at].From - run[at - 1].From;
                    inside += (Math.PI * radius) + (step - (2 * radius)) + Math.Abs(offset);
                }
            }

            (double, double) From((double U, double From, double To) line, bool high) =>
                (high ? line.To : line.From, line.U);
            bool even = run.Count % 2 == 0;
            // Four ways: from the first or the last line, from the low or the high end.
            ends.Add(
                (
                    [From(run[0], false), From(run[0], true), From(run[^1], false), From(run[^1], true)],
                    [From(run[^1], !even), From(run[^1], even), From(run[0], !even), From(run[0], even)]
                )
            );
        }

        return inside + Ways(ends, home);
    }

    private static double Ways(
        List<((double S, double U)[] Begin, (double S, double U)[] End)> ends,
        (double S, double U) home
    )
    {
        static double Far((double S, double U) a, (double S, double U) b) =>
            Math.Sqrt(((a.S - b.S) * (a.S - b.S)) + ((a.U - b.U) * (a.U - b.U)));
        bool all = ends.Count <= 7;
        bool[] used = new bool[ends.Count];
        double best = double.PositiveInfinity;
        void Go((double S, double U) at, int left, double sum)
        {
            if (sum >= best)
            {
                return;
            }

            if (left == 0)
            {
                best = Math.Min(best, sum + Far(at, home));
                return;
            }

            IEnumerable<(int Run, int Way)> choices =
                from run in Enumerable.Range(0, ends.Count)
                where !used[run]
                from way in Enumerable.Range(0, 4)
                orderby Far(at, ends[run].Begin[way])
                select (run, way);
            foreach ((int run, int way) in all ? choices : choices.Take(1))
            {
                used[run] = true;
                Go(ends[run].End[way], left - 1, sum + Far(at, ends[run].Begin[way]));
                used[run] = false;
            }
        }

        Go(home, ends.Count, 0);
        return best;
    }
}
