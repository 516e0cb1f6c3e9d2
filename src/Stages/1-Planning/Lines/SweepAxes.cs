namespace Hillrow.Planning;

/// <summary>Axes of a set of parallel lines: s along the lines, u to their right, both in metres from the frame's origin.</summary>
internal readonly struct SweepAxes
{
    private readonly double sine;
    private readonly double cosine;

    public SweepAxes(double azimuthRadians)
    {
        AzimuthRadians = azimuthRadians;
        (sine, cosine) = Math.SinCos(azimuthRadians);
    }

    public double AzimuthRadians { get; }

    public double AlongOf(PlanPoint place) => (place.EastMetres * sine) + (place.NorthMetres * cosine);

    public double AcrossOf(PlanPoint place) => (place.EastMetres * cosine) - (place.NorthMetres * sine);

    public PlanPoint PlaceOf(double along, double across) =>
        new((along * sine) + (across * cosine), (along * cosine) - (across * sine));
}

/// <summary>A piece of a line, from one along-coordinate to another.</summary>
internal readonly record struct Stretch(double From, double To)
{
    public double Length => To - From;
}

/// <summary>Pieces of a line inside polygons, and what is left without them.</summary>
internal static class LineStretches
{
    /// <summary>The pieces of a line inside polygons.</summary>
    public static List<Stretch> Inside(SweepAxes axes, IReadOnlyList<PlanPolygon> polygons, double across)
    {
        List<Stretch> found = [];
        foreach (PlanPolygon polygon in polygons)
        {
            AddSlice(axes, polygon, across, found);
        }

        return Joined(found);
    }

    /// <summary>What is left of pieces when others are cut out; left-overs shorter than a metre go.</summary>
    public static List<Stretch> Without(List<Stretch> pieces, List<Stretch> cut)
    {
        List<Stretch> left = [];
        foreach (Stretch piece in pieces)
        {
            double from = piece.From;
            foreach (Stretch gone in cut)
            {
                if (gone.To > from && gone.From < piece.To)
                {
                    if (gone.From - from > 1)
                    {
                        left.Add(new Stretch(from, gone.From));
                    }

                    from = Math.Max(from, gone.To);
                }
            }

            if (piece.To - from > 1)
            {
                left.Add(new Stretch(from, piece.To));
            }
        }

        return left;
    }

    internal static void AddSlice(SweepAxes axes, PlanPolygon polygon, double across, List<Stretch> found)
    {
        List<double> crossings = [];
        foreach (IReadOnlyList<PlanPoint> ring in polygon.Rings)
        {
            for (int at = 0; at < ring.Count; at++)
            {
                PlanPoint a = ring[at];
                PlanPoint b = ring[(at + 1) % ring.Count];
                double ua = axes.AcrossOf(a);
                double ub = axes.AcrossOf(b);
                if (ua > across != ub > across)
                {
                    double sa = axes.AlongOf(a);
                    crossings.Add(sa + ((axes.AlongOf(b) - sa) * (across - ua) / (ub - ua)));
                }
            }
        }

        crossings.Sort();
        for (int pair = 0; pair + 1 < crossings.Count; pair += 2)
        {
            found.Add(new Stretch(crossings[pair], crossings[pair + 1]));
        }
    }

    internal static List<Stretch> Joined(List<Stretch> pieces)
    {
        pieces.Sort((left, right) => left.From.CompareTo(right.From));
        List<Stretch> joined = [];
        foreach (Stretch piece in pieces)
        {
            if (joined.Count > 0 && piece.From <= joined[^1].To)
            {
                joined[^1] = new Stretch(joined[^1].From, Math.Max(joined[^1].To, piece.To));
            }
            else
            {
                joined.Add(piece);
            }
        }

        return joined;
    }
}
