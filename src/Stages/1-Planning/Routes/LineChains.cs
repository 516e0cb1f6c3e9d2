namespace Hillrow.Planning;

/// <summary>Lines next to each other that are flown to and fro without leaving the field: a part of it without a hole or a notch.</summary>
/// <param name="Segments">Neighbour after neighbour.</param>
internal sealed record LineChain(IReadOnlyList<LineSegment> Segments)
{
    /// <summary>
    /// Where a chain begins and ends when flown in one of four ways: bit 0, the first line against its direction; bit
    /// 1, from the last line to the first.
    /// </summary>
    public (Heading Begin, Heading End) Ends(int way)
    {
        IReadOnlyList<(LineSegment Segment, bool Back)> order = Order(way);
        return (BeginOf(order[0]), EndOf(order[^1]));
    }

    public IReadOnlyList<(LineSegment Segment, bool Back)> Order(int way)
    {
        (LineSegment, bool)[] order = new (LineSegment, bool)[Segments.Count];
        for (int at = 0; at < order.Length; at++)
        {
            bool back = ((way & 1) != 0) ^ (at % 2 == 1);
            order[at] = ((way & 2) == 0 ? Segments[at] : Segments[^(at + 1)], back);
        }

        return order;
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
