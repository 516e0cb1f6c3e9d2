using Hillrow.Sight;

namespace Hillrow.Planning;

/// <summary>
/// The highest thing near each place: ground, canopy and obstacles within the aircraft's sideways uncertainty. No
/// route may come nearer to it than the asked clearance and the margin for the terrain's error.
/// </summary>
/// <remarks>
/// Square cells; a cell holds the highest top of everything that touches it or lies within the radius of its outer
/// edge, so reading one cell is never too low between waypoints. NaN where the terrain is void.
/// </remarks>
internal sealed class SafetyFloor
{
    private readonly float[] tops;
    private readonly double west;
    private readonly double north;
    private readonly double cell;
    private readonly int rows;
    private readonly int columns;

    /// <param name="terrain">Ground, local up.</param>
    /// <param name="canopyMetres">Height of the crop above the ground.</param>
    /// <param name="obstacles">Tops are ground plus height.</param>
    /// <param name="radiusMetres">How far sideways the aircraft may stray, plus its own half width.</param>
    /// <param name="cellMetres">5 keeps a 3 km square below a million cells.</param>
    public SafetyFloor(
        HeightField terrain,
        double canopyMetres,
        IReadOnlyList<Obstacle> obstacles,
        double radiusMetres,
        double cellMetres = 5
    )
    {
        cell = Math.Max(
            cellMetres,
            Math.Max(terrain.EastMetres - terrain.WestMetres, terrain.NorthMetres - terrain.SouthMetres) / 2000
        );
        west = terrain.WestMetres;
        north = terrain.NorthMetres;
        columns = Math.Max(1, (int)Math.Ceiling((terrain.EastMetres - west) / cell));
        rows = Math.Max(1, (int)Math.Ceiling((north - terrain.SouthMetres) / cell));
        float[] raw = new float[rows * columns];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                raw[(row * columns) + column] = (float)(HighestIn(terrain, row, column) + canopyMetres);
            }
        }

        foreach (Obstacle obstacle in obstacles)
        {
            Raise(raw, terrain, obstacle);
        }

        tops = Widened(raw, (int)Math.Ceiling(radiusMetres / cell));
    }

    /// <summary>Highest top near a place, local up; NaN outside or over a void.</summary>
    public double TopAt(PlanPoint place)
    {
        int column = (int)Math.Floor((place.EastMetres - west) / cell);
        int row = (int)Math.Floor((north - place.NorthMetres) / cell);
        return row >= 0 && column >= 0 && row < rows && column < columns ? tops[(row * columns) + column] : double.NaN;
    }

    private double HighestIn(HeightField terrain, int row, int column)
    {
        double highest = double.NegativeInfinity;
        for (int i = 0; i <= 2; i++)
        {
            for (int j = 0; j <= 2; j++)
            {
                double east = Math.Min(terrain.EastMetres, west + ((column + (j / 2.0)) * cell));
                double south = Math.Max(terrain.SouthMetres, north - ((row + (i / 2.0)) * cell));
                double height = terrain.HeightAt(east, south);
                if (double.IsNaN(height))
                {
                    return double.NaN;
                }

                highest = Math.Max(highest, height);
            }
        }

        return highest;
    }

    private void Raise(float[] raw, HeightField terrain, Obstacle obstacle)
    {
        IReadOnlyList<PlanPoint> points = obstacle.Points;
        void Mark(PlanPoint place, double groundMetres)
        {
            int column = (int)Math.Floor((place.EastMetres - west) / cell);
            int row = (int)Math.Floor((north - place.NorthMetres) / cell);
            if (row >= 0 && column >= 0 && row < rows && column < columns)
            {
                ref float top = ref raw[(row * columns) + column];
                top = Math.Max(top, (float)(groundMetres + obstacle.HeightAboveGroundMetres));
            }
        }

        if (obstacle.Shape == ObstacleShape.Area)
        {
            PlanPolygon ring = new(points);
            for (int row = 0; row < rows; row++)
            {
                for (int column = 0; column < columns; column++)
                {
                    PlanPoint centre = new(west + ((column + 0.5) * cell), north - ((row + 0.5) * cell));
                    if (ring.Contains(centre))
                    {
                        Mark(centre, HighestIn(terrain, row, column));
                    }
                }
            }
        }

        // Edges of an area, spans of a line, and a point: sampled finer than the cells.
        int spans = obstacle.Shape == ObstacleShape.Area ? points.Count : points.Count - 1;
        if (obstacle.Shape == ObstacleShape.Point)
        {
            Mark(points[0], terrain.HeightAt(points[0].EastMetres, points[0].NorthMetres));
            return;
        }

        for (int span = 0; span < spans; span++)
        {
            PlanPoint a = points[span];
            PlanPoint b = points[(span + 1) % points.Count];
            double groundA = terrain.HeightAt(a.EastMetres, a.NorthMetres);
            double groundB = terrain.HeightAt(b.EastMetres, b.NorthMetres);
            int steps = Math.Max(1, (int)Math.Ceiling(a.DistanceTo(b) / (cell / 3)));
            for (int step = 0; step <= steps; step++)
            {
                double share = (double)step / steps;
                PlanPoint place = a.Between(b, share);
                double ground = terrain.HeightAt(place.EastMetres, place.NorthMetres);
                // A wire hangs between its masts: over a valley its height is that of the straight line, not of the ground.
                double straight = groundA + ((groundB - groundA) * share);
                Mark(place, obstacle.Shape == ObstacleShape.Line ? Math.Max(ground, straight) : ground);
            }
        }
    }

    /// <summary>Greatest value within a square window, first along rows, then along columns; NaN stays NaN.</summary>
    private float[] Widened(float[] raw, int radius)
    {
        float[] across = new float[raw.Length];
        float[] result = new float[raw.Length];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                float top = raw[(row * columns) + column];
                for (int at = Math.Max(0, column - radius); at <= Math.Min(columns - 1, column + radius); at++)
                {
                    float near = raw[(row * columns) + at];
                    top = near > top ? near : top;
                }

                across[(row * columns) + column] = top;
            }
        }

        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                float top = across[(row * columns) + column];
                for (int at = Math.Max(0, row - radius); at <= Math.Min(rows - 1, row + radius); at++)
                {
                    float near = across[(at * columns) + column];
                    top = near > top ? near : top;
                }

                result[(row * columns) + column] = top;
            }
        }

        return result;
    }
}
