namespace Hillrow.Planning;

/// <summary>
/// Polygons cut across the lines at equal steps, so that for any line the pieces that must be flown are known: those
/// from which some ground inside still needs to be seen.
/// </summary>
/// <remarks>
/// A place is seen by N lines for sure when lines lie everywhere in a window of N spacings around it. Inside a wide
/// polygon the strip's own width holds that window; at an edge the lines must go on N·d − W/2 beyond it, and over a
/// slice narrower than that more, until the window is full: (N·d − width)/2. The same holds along the line for captures.
/// On a slope the two halves of a strip differ: lines inside the low edge see it by their low reach, so that reach takes
/// the place of W/2 there (<see cref="SeenWindow"/>).
/// </remarks>
internal sealed class SweepSlices
{
    private readonly List<Stretch>[] slices;
    private readonly double firstAlong;
    private readonly double step;

    public SweepSlices(SweepAxes axes, IReadOnlyList<PlanPolygon> polygons)
    {
        Axes = axes;
        IEnumerable<double> along = polygons.SelectMany(one => one.Outer).Select(axes.AlongOf);
        double low = along.Min();
        double high = along.Max();
        step = Math.Clamp((high - low) / 250, 0.5, 4);
        int count = (int)Math.Ceiling((high - low) / step);
        firstAlong = low;
        slices = new List<Stretch>[Math.Max(1, count)];
        // Across the lines the roles of the axes change: along is north-like, across is east-like.
        PlanPolygon[] turned =
        [
            .. polygons.Select(one => new PlanPolygon(
                [.. one.Outer.Select(point => new PlanPoint(axes.AcrossOf(point), axes.AlongOf(point)))],
                [
                    .. one.Holes.Select(hole =>
                        (IReadOnlyList<PlanPoint>)
                            [.. hole.Select(point => new PlanPoint(axes.AcrossOf(point), axes.AlongOf(point)))]
                    ),
                ]
            )),
        ];
        SweepAxes plain = new(Math.PI / 2);
        for (int at = 0; at < slices.Length; at++)
        {
            // Middle of the step; with the azimuth east, along is east and across is −north.
            double middle = firstAlong + ((at + 0.5) * step);
            List<Stretch> found = [];
            foreach (PlanPolygon polygon in turned)
            {
                LineStretches.AddSlice(plain, polygon, -middle, found);
            }

            slices[at] = LineStretches.Joined(found);
        }
    }

    public SweepAxes Axes { get; }

    /// <summary>From the first to the last line that is needed at all.</summary>
    public Stretch Across(SeenWindow window)
    {
        double low = double.PositiveInfinity;
        double high = double.NegativeInfinity;
        foreach (Stretch slice in slices.SelectMany(list => list))
        {
            low = Math.Min(low, slice.From - window.BelowMetres(slice.Length));
            high = Math.Max(high, slice.To + window.AboveMetres(slice.Length));
        }

        return new Stretch(low, high);
    }

    /// <summary>The pieces of the line at <paramref name="across"/>.</summary>
    /// <param name="across">Coordinate of the line.</param>
    /// <param name="lines">Window that lines must fill, across.</param>
    /// <param name="captures">Window that captures must fill, along.</param>
    public List<Stretch> PiecesAt(double across, SeenWindow lines, SeenWindow captures)
    {
        List<Stretch> runs = [];
        for (int at = 0; at < slices.Length; at++)
        {
            foreach (Stretch slice in slices[at])
            {
                double low = slice.From - lines.BelowMetres(slice.Length);
                if (across >= low && across <= slice.To + lines.AboveMetres(slice.Length))
                {
                    double from = firstAlong + (at * step);
                    if (runs.Count > 0 && from - runs[^1].To < step / 2)
                    {
                        runs[^1] = new Stretch(runs[^1].From, from + step);
                    }
                    else
                    {
                        runs.Add(new Stretch(from, from + step));
                    }

                    break;
                }
            }
        }

        for (int at = 0; at < runs.Count; at++)
        {
            double length = runs[at].Length;
            runs[at] = new Stretch(
                runs[at].From - captures.BelowMetres(length),
                runs[at].To + captures.AboveMetres(length)
            );
        }

        return LineStretches.Joined(runs);
    }
}
