using Hillrow.Numerics;
using Hillrow.Planning;

namespace Hillrow.Validation.Planning;

/// <summary>Outlines of the families of <see cref="FieldShapes"/>, drawn: docs/decisions/0034.</summary>
internal static class DrawnShapes
{
    private const double SquareMetresPerHectare = 10_000;

    /// <summary>Three convex, three notched, three with holes, three strips, each with a home outside.</summary>
    public static IEnumerable<(string Name, PlanPolygon[] Parts, PlanPoint Home)> Twelve(ulong seed)
    {
        SplittableRandom random = new(seed);
        for (int at = 0; at < 3; at++)
        {
            yield return Placed("convex", new PlanPolygon(Convex(random)), random);
            yield return Placed("notched " + "LUT"[at], new PlanPolygon(Notched(at, random)), random);
            yield return Placed(at == 0 ? "hole" : "holes", Holed(at == 0 ? 1 : 2, random), random);
            yield return Placed("strip", new PlanPolygon(Strip(at, random)), random);
        }
    }

    private static List<PlanPoint> Convex(SplittableRandom random)
    {
        int corners = 6 + random.NextInt32(4);
        double wide = random.NextDouble(0.6, 1);
        List<PlanPoint> points =
        [
            .. Enumerable
                .Range(0, corners)
                .Select(_ =>
                {
                    double reach = 100 * Math.Sqrt(random.NextDouble(0.2, 1));
                    double angle = random.NextDouble(0, Math.Tau);
                    return new PlanPoint(reach * Math.Cos(angle), wide * reach * Math.Sin(angle));
                }),
        ];
        List<PlanPoint> hull = Hull(points);
        double scale = Math.Sqrt(random.NextDouble(3, 10) * SquareMetresPerHectare / Area(hull));
        return [.. hull.Select(point => new PlanPoint(scale * point.EastMetres, scale * point.NorthMetres))];
    }

    private static List<PlanPoint> Notched(int kind, SplittableRandom random)
    {
        double wide = random.NextDouble(220, 360);
        double high = random.NextDouble(200, 320);
        double arm = random.NextDouble(0.3, 0.45) * wide;
        double foot = random.NextDouble(0.3, 0.5) * high;
        (double, double)[] corners = kind switch
        {
            0 => [(0, 0), (wide, 0), (wide, foot), (arm, foot), (arm, high), (0, high)],
            1 =>
            [
                (0, 0),
                (wide, 0),
                (wide, high),
                (wide - (0.8 * arm), high),
                (wide - (0.8 * arm), foot),
                (0.8 * arm, foot),
                (0.8 * arm, high),
                (0, high),
            ],
            _ =>
            [
                (0, high - foot),
                (0, high),
                (wide, high),
                (wide, high - foot),
                (arm + (0.3 * wide), high - foot),
                (arm + (0.3 * wide), 0),
                (0.3 * wide, 0),
                (0.3 * wide, high - foot),
            ],
        };
        return [.. corners.Select(corner => new PlanPoint(corner.Item1, corner.Item2))];
    }

    private static PlanPolygon Holed(int holes, SplittableRandom random)
    {
        List<PlanPoint> outer = Convex(random);
        PlanPoint middle = new PlanPolygon(outer).Centroid;
        double inside = Inradius(outer, middle);
        double turn = random.NextDouble(0, Math.Tau);
        List<IReadOnlyList<PlanPoint>> rings = [];
        for (int hole = 0; hole < holes; hole++)
        {
            double apart = holes == 1 ? random.NextDouble(0, 0.3) : 0.5;
            PlanPoint centre = middle.Towards(turn + (Math.PI * hole), apart * inside);
            double radius = random.NextDouble(0.2, 0.4) * inside;
            double start = random.NextDouble(0, Math.Tau);
            int corners = 3 + random.NextInt32(3);
            rings.Add([
                .. Enumerable.Range(0, corners).Select(at => centre.Towards(start + (Math.Tau * at / corners), radius)),
            ]);
        }

        return new PlanPolygon(outer, [.. rings]);
    }

    private static List<PlanPoint> Strip(int kind, SplittableRandom random)
    {
        double length = random.NextDouble(300, 550);
        double wide = random.NextDouble(45, 90);
        double bend = random.NextDouble(0.3, 0.8);
        double narrow = random.NextDouble(0.5, 1) * wide;
        (double, double)[] corners = kind switch
        {
            0 => [(0, 0), (length, 0), (length, wide), (0, wide)],
            1 =>
            [
                (0, 0),
                (0.5 * length, 0),
                (length, bend * 0.5 * length),
                (length - (bend * 0.6 * wide), (bend * 0.5 * length) + wide),
                (0.5 * length, wide),
                (0, wide),
            ],
            _ => [(0, 0), (length, 0), (length, narrow), (0, wide)],
        };
        return [.. corners.Select(corner => new PlanPoint(corner.Item1, corner.Item2))];
    }

    /// <summary>Turned by a drawn angle, centroid at the origin, and a home outside.</summary>
    private static (string Name, PlanPolygon[] Parts, PlanPoint Home) Placed(
        string name,
        PlanPolygon polygon,
        SplittableRandom random
    )
    {
        (double sine, double cosine) = Math.SinCos(random.NextDouble(0, Math.Tau));
        PlanPoint middle = polygon.Centroid;
        PlanPoint Turned(PlanPoint point)
        {
            double east = point.EastMetres - middle.EastMetres;
            double north = point.NorthMetres - middle.NorthMetres;
            return new PlanPoint((east * cosine) - (north * sine), (east * sine) + (north * cosine));
        }

        PlanPolygon placed = new(
            [.. polygon.Outer.Select(Turned)],
            [.. polygon.Holes.Select(hole => (IReadOnlyList<PlanPoint>)[.. hole.Select(Turned)])]
        );
        double circle = placed.Outer.Max(point => point.DistanceTo(default));
        PlanPoint home = default(PlanPoint).Towards(
            random.NextDouble(0, Math.Tau),
            circle + random.NextDouble(100, 250)
        );
        return (name, [placed], home);
    }

    private static double Area(List<PlanPoint> ring)
    {
        double twice = 0;
        for (int at = 0; at < ring.Count; at++)
        {
            PlanPoint a = ring[at];
            PlanPoint b = ring[(at + 1) % ring.Count];
            twice += (a.EastMetres * b.NorthMetres) - (b.EastMetres * a.NorthMetres);
        }

        return Math.Abs(twice) / 2;
    }

    private static double Inradius(List<PlanPoint> ring, PlanPoint middle)
    {
        double least = double.PositiveInfinity;
        for (int at = 0; at < ring.Count; at++)
        {
            PlanPoint a = ring[at];
            PlanPoint b = ring[(at + 1) % ring.Count];
            double twice = Math.Abs(Side(a, b, middle));
            least = Math.Min(least, twice / a.DistanceTo(b));
        }

        return least;
    }

    private static double Side(PlanPoint a, PlanPoint b, PlanPoint c) =>
        ((b.EastMetres - a.EastMetres) * (c.NorthMetres - a.NorthMetres))
        - ((b.NorthMetres - a.NorthMetres) * (c.EastMetres - a.EastMetres));

    /// <summary>Convex hull, counter-clockwise (monotone chain; Andrew 1979).</summary>
    private static List<PlanPoint> Hull(List<PlanPoint> points)
    {
        List<PlanPoint> sorted = [.. points.OrderBy(point => point.EastMetres).ThenBy(point => point.NorthMetres)];
        List<PlanPoint> Half(IEnumerable<PlanPoint> way)
        {
            List<PlanPoint> half = [];
            foreach (PlanPoint point in way)
            {
                while (half.Count >= 2 && Side(half[^2], half[^1], point) <= 0)
                {
                    half.RemoveAt(half.Count - 1);
                }

                half.Add(point);
            }

            half.RemoveAt(half.Count - 1);
            return half;
        }

        return [.. Half(sorted), .. Half(sorted.AsEnumerable().Reverse())];
    }
}
