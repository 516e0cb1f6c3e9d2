using Hillrow.Earth;

namespace Hillrow.Findings;

/// <summary>The ground that is walked, in cells: heights from the plants, tracks where they are known; finds the quickest ways.</summary>
/// <remarks>
/// Walking speed: 6 exp(−3.5 |slope + 0.05|) km/h on a path, three fifths of it off the path (Tobler 1993, Three
/// presentations on geographical analysis and modeling, NCGIA technical report 93-1; from memory). Ways: Dijkstra 1959,
/// doi 10.1007/BF01386390, over sixteen directions, so that a way is at most 3 % longer than the straight one.
/// </remarks>
internal sealed class WalkingGround
{
    private const double FastestMetresPerMinute = 100;
    private const double SlopeFactor = 3.5;
    private const double BestSlope = -0.05;
    private const double OffPath = 0.6;
    private const double MarginMetres = 12;

    private static readonly (int Column, int Row)[] Moves =
    [
        (1, 0),
        (-1, 0),
        (0, 1),
        (0, -1),
        (1, 1),
        (1, -1),
        (-1, 1),
        (-1, -1),
        (2, 1),
        (2, -1),
        (-2, 1),
        (-2, -1),
        (1, 2),
        (1, -2),
        (-1, 2),
        (-1, -2),
    ];

    private readonly double west;
    private readonly double south;
    private readonly double cell;
    private readonly int columns;
    private readonly int rows;
    private readonly double[] heights;
    private readonly bool[] onTrack;

    /// <param name="plants">At least one with a finite height.</param>
    /// <param name="tracks">Lines in the estate's grid.</param>
    /// <param name="settings">Size of the cells.</param>
    public WalkingGround(
        IReadOnlyList<ObservedPlant> plants,
        IReadOnlyList<IReadOnlyList<GridPoint>> tracks,
        WalkSettings settings
    )
    {
        west = plants.Min(plant => plant.Place.EastingMetres) - MarginMetres;
        south = plants.Min(plant => plant.Place.NorthingMetres) - MarginMetres;
        double width = plants.Max(plant => plant.Place.EastingMetres) + MarginMetres - west;
        double height = plants.Max(plant => plant.Place.NorthingMetres) + MarginMetres - south;
        cell = Math.Max(settings.CellMetres, Math.Sqrt(width * height / settings.MostCells));
        columns = (int)Math.Ceiling(width / cell);
        rows = (int)Math.Ceiling(height / cell);
        heights = Heights(plants);
        onTrack = new bool[heights.Length];
        foreach (IReadOnlyList<GridPoint> track in tracks)
        {
            Draw(track);
        }
    }

    /// <summary>Height of the cell that holds a place, metres.</summary>
    public double HeightAt(GridPoint place) => heights[CellOf(place)];

    public bool IsOnTrack(GridPoint place) => onTrack[CellOf(place)];

    /// <summary>Minutes from a place to every cell, and the move by which each is reached (−1 for the start).</summary>
    public (double[] Minutes, sbyte[] Came) From(GridPoint start)
    {
        double[] minutes = new double[heights.Length];
        sbyte[] came = new sbyte[heights.Length];
        Array.Fill(minutes, double.PositiveInfinity);
        Array.Fill(came, (sbyte)-1);
        int first = CellOf(start);
        minutes[first] = 0;
        PriorityQueue<int, double> open = new();
        open.Enqueue(first, 0);
        while (open.TryDequeue(out int at, out double reached))
        {
            if (reached > minutes[at])
            {
                continue;
            }

            (int row, int column) = (at / columns, at % columns);
            for (int move = 0; move < Moves.Length; move++)
            {
                int nextColumn = column + Moves[move].Column;
                int nextRow = row + Moves[move].Row;
                if (nextColumn < 0 || nextRow < 0 || nextColumn >= columns || nextRow >= rows)
                {
                    continue;
                }

                int next = (nextRow * columns) + nextColumn;
                double then = reached + MinutesOf(at, next, move);
                if (then < minutes[next])
                {
                    minutes[next] = then;
                    came[next] = (sbyte)move;
                    open.Enqueue(next, then);
                }
            }
        }

        return (minutes, came);
    }

    public int CellOf(GridPoint place)
    {
        int column = Math.Clamp((int)((place.EastingMetres - west) / cell), 0, columns - 1);
        int row = Math.Clamp((int)((place.NorthingMetres - south) / cell), 0, rows - 1);
        return (row * columns) + column;
    }

    /// <summary>The way from the start of <paramref name="came"/> to a place, with its length along the ground and its steepest slope.</summary>
    public (IReadOnlyList<GridPoint> Way, double Metres, double Steepest) WayTo(
        GridPoint start,
        GridPoint end,
        sbyte[] came
    )
    {
        List<GridPoint> way = [end];
        double metres = 0;
        double steepest = 0;
        int at = CellOf(end);
        while (came[at] >= 0)
        {
            (int column, int row) = Moves[came[at]];
            int before = at - (row * columns) - column;
            double run = RunOf(came[at]);
            double rise = heights[at] - heights[before];
            metres += Math.Sqrt((run * run) + (rise * rise));
            steepest = Math.Max(steepest, Math.Abs(rise) / run);
            at = before;
            way.Add(MiddleOf(at));
        }

        // The first cell's middle gives way to the place itself.
        way[^1] = start;
        way.Reverse();
        if (way.Count == 1)
        {
            way = [start, end];
            metres = Math.Sqrt(
                Math.Pow(end.EastingMetres - start.EastingMetres, 2)
                    + Math.Pow(end.NorthingMetres - start.NorthingMetres, 2)
            );
        }

        return (way, metres, steepest);
    }

    private double RunOf(int move) =>
        cell * Math.Sqrt((Moves[move].Column * Moves[move].Column) + (Moves[move].Row * Moves[move].Row));

    private double MinutesOf(int from, int to, int move)
    {
        double run = RunOf(move);
        double slope = (heights[to] - heights[from]) / run;
        double speed = FastestMetresPerMinute * Math.Exp(-SlopeFactor * Math.Abs(slope - BestSlope));
        return run / (onTrack[from] && onTrack[to] ? speed : speed * OffPath);
    }

    private GridPoint MiddleOf(int at) =>
        new(west + ((at % columns) + 0.5) * cell, south + ((at / columns) + 0.5) * cell);

    /// <summary>Mean of the plants in a cell; empty cells from those around them, ring by ring.</summary>
    private double[] Heights(IReadOnlyList<ObservedPlant> plants)
    {
        double[] sums = new double[columns * rows];
        int[] counts = new int[sums.Length];
        foreach (ObservedPlant plant in plants.Where(plant => double.IsFinite(plant.ElevationMetres)))
        {
            int at = CellOf(plant.Place);
            sums[at] += plant.ElevationMetres;
            counts[at]++;
        }

        double[] found = [.. sums.Select((sum, at) => counts[at] > 0 ? sum / counts[at] : double.NaN)];
        int missing = found.Count(double.IsNaN);
        while (missing > 0 && missing < found.Length)
        {
            double[] next = [.. found];
            for (int at = 0; at < found.Length; at++)
            {
                if (double.IsNaN(found[at]) && Around(found, at) is { } height)
                {
                    next[at] = height;
                    missing--;
                }
            }

            found = next;
        }

        return missing == 0 ? found : new double[found.Length];
    }

    private double? Around(double[] found, int at)
    {
        (int row, int column) = (at / columns, at % columns);
        double sum = 0;
        int count = 0;
        foreach ((int east, int north) in Moves.AsSpan(0, 8))
        {
            int c = column + east;
            int r = row + north;
            if (c >= 0 && r >= 0 && c < columns && r < rows && !double.IsNaN(found[(r * columns) + c]))
            {
                sum += found[(r * columns) + c];
                count++;
            }
        }

        return count > 0 ? sum / count : null;
    }

    private void Draw(IReadOnlyList<GridPoint> track)
    {
        for (int at = 1; at < track.Count; at++)
        {
            double east = track[at].EastingMetres - track[at - 1].EastingMetres;
            double north = track[at].NorthingMetres - track[at - 1].NorthingMetres;
            int steps = (int)Math.Clamp(Math.Ceiling(Math.Sqrt((east * east) + (north * north)) / (cell / 2)), 1, 1e6);
            for (int step = 0; step <= steps; step++)
            {
                double x = track[at - 1].EastingMetres + (east * step / steps);
                double y = track[at - 1].NorthingMetres + (north * step / steps);
                if (x >= west && y >= south && x < west + (columns * cell) && y < south + (rows * cell))
                {
                    onTrack[CellOf(new GridPoint(x, y))] = true;
                }
            }
        }
    }
}
