namespace Hillrow.Planning;

/// <summary>Lines next to each other that are flown to and fro without leaving the field: a part of it without a hole or a notch.</summary>
/// <param name="Segments">Neighbour after neighbour.</param>
internal sealed record LineChain(IReadOnlyList<LineSegment> Segments)
{
    /// <summary>Ways of flying a chain: <see cref="WaysBy"/>.</summary>
    public const int Ways = 8;

    /// <summary>
    /// The best directions of all lines for each way of flying the chain: bit 0, the first line flown goes against its
    /// direction; bit 1, from the last line to the first; bit 2, the last line flown goes against its direction. To and
    /// fro is the rule, but where the chain's edge jumps two lines flown the same way can be the shorter way; a table
    /// over both directions of each line finds the least.
    /// </summary>
    /// <param name="cost">From one heading to another.</param>
    public IReadOnlyList<ChainWay> WaysBy(Func<Heading?, Heading?, PlanPoint, double> cost)
    {
        ChainWay[] ways = new ChainWay[Ways];
        for (int from = 0; from < 2; from++)
        {
            LineSegment[] lines = [.. from == 0 ? Segments : Segments.Reverse()];
            // Cost from line to next line, by the directions of both; alike for either direction of the first line.
            double[] joins = new double[4 * lines.Length];
            for (int at = 1; at < lines.Length; at++)
            {
                for (int pair = 0; pair < 4; pair++)
                {
                    joins[(4 * at) + pair] = cost(
                        EndOf((lines[at - 1], (pair & 1) != 0)),
                        BeginOf((lines[at], (pair & 2) != 0)),
                        default
                    );
                }
            }

            for (int first = 0; first < 2; first++)
            {
                AddWays(lines, joins, first, from, ways);
            }
        }

        return ways;
    }

    private static void AddWays(LineSegment[] lines, double[] joins, int first, int from, ChainWay[] ways)
    {
        double[] least = [first == 0 ? 0 : double.PositiveInfinity, first == 1 ? 0 : double.PositiveInfinity];
        int[] came = new int[2 * lines.Length];
        for (int at = 1; at < lines.Length; at++)
        {
            double[] next = new double[2];
            for (int to = 0; to < 2; to++)
            {
                double zero = least[0] + joins[(4 * at) + (2 * to)];
                double one = least[1] + joins[(4 * at) + (2 * to) + 1];
                came[(2 * at) + to] = one < zero ? 1 : 0;
                next[to] = Math.Min(zero, one);
            }

            least = next;
        }

        for (int last = 0; last < 2; last++)
        {
            (LineSegment, bool)[] order = new (LineSegment, bool)[lines.Length];
            int back = last;
            for (int at = lines.Length - 1; at >= 0; at--)
            {
                order[at] = (lines[at], back != 0);
                back = came[(2 * at) + back];
            }

            ways[first + (2 * from) + (4 * last)] = new ChainWay(order, least[last]);
        }
    }

    public static Heading BeginOf((LineSegment Segment, bool Back) line) =>
        line.Back
            ? new Heading(line.Segment.End, line.Segment.Axes.AzimuthRadians + Math.PI)
            : new Heading(line.Segment.Start, line.Segment.Axes.AzimuthRadians);

    public static Heading EndOf((LineSegment Segment, bool Back) line) =>
        line.Back
            ? new Heading(line.Segment.Start, line.Segment.Axes.AzimuthRadians + Math.PI)
            : new Heading(line.Segment.End, line.Segment.Axes.AzimuthRadians);

    /// <summary>
    /// Cuts a field with notches and holes into chains: a chain goes on while exactly one piece of the next line lies
    /// beside exactly one piece of this one, and both are flown from the same home.
    /// </summary>
    public static List<LineChain> Of(IReadOnlyList<LineSegment> segments)
    {
        List<LineChain> chains = [];
        List<LineSegment>[] open = [];
        foreach (
            IGrouping<(int Field, int Line), LineSegment> line in segments
                .GroupBy(segment => (segment.Field, segment.Line))
                .OrderBy(group => group.Key.Field)
                .ThenBy(group => group.Key.Line)
        )
        {
            LineSegment[] pieces = [.. line.OrderBy(piece => piece.Along.From)];
            List<LineSegment>[] next = new List<LineSegment>[pieces.Length];
            for (int at = 0; at < pieces.Length; at++)
            {
                List<LineSegment>[] beside = [.. open.Where(chain => Beside(chain[^1], pieces[at]))];
                if (beside.Length == 1 && pieces.Count(piece => Beside(beside[0][^1], piece)) == 1)
                {
                    beside[0].Add(pieces[at]);
                    next[at] = beside[0];
                }
                else
                {
                    next[at] = [pieces[at]];
                }
            }

            chains.AddRange(open.Except(next).Select(chain => new LineChain(chain)));
            open = next;
        }

        chains.AddRange(open.Select(chain => new LineChain(chain)));
        return chains;
    }

    private static bool Beside(LineSegment a, LineSegment b) =>
        a.Field == b.Field
        && b.Line == a.Line + 1
        && a.Home == b.Home
        && a.Along.From <= b.Along.To
        && b.Along.From <= a.Along.To;
}

/// <summary>One way of flying a chain.</summary>
/// <param name="Order">Lines in flying order, and whether each is flown against its direction.</param>
/// <param name="Cost">Of the turns inside; infinite when there is no such way.</param>
internal readonly record struct ChainWay(IReadOnlyList<(LineSegment Segment, bool Back)> Order, double Cost);
