namespace Hillrow.Earth;

/// <summary>A polygon with holes in a projected grid. Rings are not closed (the first point is not repeated).</summary>
/// <param name="Outer">At least three points, any direction of turn, not self-crossing.</param>
/// <param name="Holes">Rings inside the outer one, not touching each other.</param>
public sealed record GridPolygon(IReadOnlyList<GridPoint> Outer, IReadOnlyList<IReadOnlyList<GridPoint>> Holes)
{
    public GridPolygon(IReadOnlyList<GridPoint> outer)
        : this(outer, []) { }

    /// <summary>Area without the holes, square metres of the grid (shoelace formula).</summary>
    public double AreaSquareMetres => RingArea(Outer) - Holes.Sum(RingArea);

    public double WestMetres => Outer.Min(point => point.EastingMetres);

    public double EastMetres => Outer.Max(point => point.EastingMetres);

    public double SouthMetres => Outer.Min(point => point.NorthingMetres);

    public double NorthMetres => Outer.Max(point => point.NorthingMetres);

    /// <summary>Whether a place lies inside and in no hole (even–odd rule; a point on an edge may fall either way).</summary>
    public bool Contains(GridPoint place)
    {
        bool inside = Crosses(Outer, place);
        foreach (IReadOnlyList<GridPoint> hole in Holes)
        {
            inside ^= Crosses(hole, place);
        }

        return inside;
    }

    /// <summary>Marks the cells of a grid whose centre lies inside: scan lines, even–odd rule.</summary>
    /// <param name="grid">Same reference system as the polygon.</param>
    /// <param name="mask">Rows × Columns, row-major; cells inside are set to <paramref name="value"/>, others kept.</param>
    /// <exception cref="ArgumentException">The mask does not fit the grid.</exception>
    public void Mark(GridGeometry grid, Span<byte> mask, byte value)
    {
        ArgumentNullException.ThrowIfNull(grid);
        if (mask.Length != grid.CellCount)
        {
            throw new ArgumentException($"{mask.Length} cells do not fill {grid.Rows} × {grid.Columns}.", nameof(mask));
        }

        int firstRow = Math.Max(0, (int)Math.Floor(grid.RowOf(NorthMetres)));
        int lastRow = Math.Min(grid.Rows - 1, (int)Math.Ceiling(grid.RowOf(SouthMetres)));
        List<double> crossings = [];
        for (int row = firstRow; row <= lastRow; row++)
        {
            double northing = grid.NorthMetres - ((row + 0.5) * grid.CellSizeMetres);
            crossings.Clear();
            AddCrossings(Outer, northing, crossings);
            foreach (IReadOnlyList<GridPoint> hole in Holes)
            {
                AddCrossings(hole, northing, crossings);
            }

            crossings.Sort();
            for (int pair = 0; pair + 1 < crossings.Count; pair += 2)
            {
                int from = Math.Max(0, (int)Math.Ceiling(grid.ColumnOf(crossings[pair]) - 0.5));
                int to = Math.Min(grid.Columns - 1, (int)Math.Ceiling(grid.ColumnOf(crossings[pair + 1]) - 0.5) - 1);
                if (to >= from)
                {
                    mask.Slice((row * grid.Columns) + from, to - from + 1).Fill(value);
                }
            }
        }
    }

    private static double RingArea(IReadOnlyList<GridPoint> ring)
    {
        // Relative to the first point: eastings and northings are large, their products would lose digits.
        double twice = 0;
        GridPoint origin = ring[0];
        for (int at = 0; at < ring.Count; at++)
        {
            GridPoint here = ring[at];
            GridPoint next = ring[(at + 1) % ring.Count];
            twice +=
                ((here.EastingMetres - origin.EastingMetres) * (next.NorthingMetres - origin.NorthingMetres))
                - ((next.EastingMetres - origin.EastingMetres) * (here.NorthingMetres - origin.NorthingMetres));
        }

        return Math.Abs(twice) / 2;
    }

    private static bool Crosses(IReadOnlyList<GridPoint> ring, GridPoint place)
    {
        bool inside = false;
        for (int at = 0, before = ring.Count - 1; at < ring.Count; before = at++)
        {
            GridPoint a = ring[at];
            GridPoint b = ring[before];
            if (
                a.NorthingMetres > place.NorthingMetres != b.NorthingMetres > place.NorthingMetres
                && place.EastingMetres < EastingAt(a, b, place.NorthingMetres)
            )
            {
                inside = !inside;
            }
        }

        return inside;
    }

    private static void AddCrossings(IReadOnlyList<GridPoint> ring, double northing, List<double> crossings)
    {
        for (int at = 0, before = ring.Count - 1; at < ring.Count; before = at++)
        {
            if (ring[at].NorthingMetres > northing != ring[before].NorthingMetres > northing)
            {
                crossings.Add(EastingAt(ring[at], ring[before], northing));
            }
        }
    }

    private static double EastingAt(GridPoint a, GridPoint b, double northing) =>
        a.EastingMetres
        + ((b.EastingMetres - a.EastingMetres) * (northing - a.NorthingMetres) / (b.NorthingMetres - a.NorthingMetres));
}
