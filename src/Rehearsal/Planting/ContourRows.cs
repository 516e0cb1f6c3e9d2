using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>A place in the planting pattern, before anyone decides whether a plant stands there.</summary>
public readonly record struct PlantingPosition(int Row, double EastMetres, double NorthMetres);

/// <summary>Lays rows along the contours of a block: each row follows the level line from where it starts.</summary>
public static class ContourRows
{
    private const double SlopeReachMetres = 9;

    /// <summary>Positions row by row; spacings hold on the map, with jitter, as a planting crew leaves them.</summary>
    public static IReadOnlyList<PlantingPosition> Lay(
        BlockPlan block,
        Func<double, double, double> smoothHeight,
        double rowSpacingMetres,
        double plantSpacingMetres,
        SplittableRandom draw
    )
    {
        ArgumentNullException.ThrowIfNull(block);
        ArgumentNullException.ThrowIfNull(smoothHeight);
        ArgumentNullException.ThrowIfNull(draw);
        List<PlantingPosition> positions = [];
        Dictionary<(int, int), List<(double East, double North, int Row)>> cells = [];
        int row = 0;
        foreach ((double east, double north) in Starts(block, smoothHeight, rowSpacingMetres))
        {
            row++;
            List<(double East, double North)> line = Trace(block, smoothHeight, east, north, -1);
            line.Reverse();
            line.AddRange(Trace(block, smoothHeight, east, north, 1).Skip(1));
            double along = draw.NextDouble(0, plantSpacingMetres);
            for (int index = 1; index < line.Count; index++)
            {
                double step = Distance(line[index - 1], line[index]);
                along += step;
                if (along < plantSpacingMetres)
                {
                    continue;
                }

                along -= plantSpacingMetres;
                double x = line[index].East + (0.10 * Math.Min(1, plantSpacingMetres) * draw.NextGaussian());
                double y = line[index].North + (0.07 * draw.NextGaussian());
                if (block.Contains(x, y) && IsFree(cells, x, y, row, 0.68 * rowSpacingMetres))
                {
                    positions.Add(new PlantingPosition(row, x, y));
                    (int, int) cell = ((int)Math.Floor(x / 3), (int)Math.Floor(y / 3));
                    if (!cells.TryGetValue(cell, out List<(double, double, int)>? list))
                    {
                        cells[cell] = list = [];
                    }

                    list.Add((x, y, row));
                }
            }
        }

        return positions;
    }

    private static double Distance((double East, double North) a, (double East, double North) b) =>
        Math.Sqrt(((a.East - b.East) * (a.East - b.East)) + ((a.North - b.North) * (a.North - b.North)));

    /// <summary>Where contours come close, a row ends rather than crowd its neighbour.</summary>
    private static bool IsFree(
        Dictionary<(int, int), List<(double East, double North, int Row)>> cells,
        double x,
        double y,
        int row,
        double least
    )
    {
        int cx = (int)Math.Floor(x / 3);
        int cy = (int)Math.Floor(y / 3);
        for (int ix = cx - 1; ix <= cx + 1; ix++)
        {
            for (int iy = cy - 1; iy <= cy + 1; iy++)
            {
                if (!cells.TryGetValue((ix, iy), out List<(double East, double North, int Row)>? list))
                {
                    continue;
                }

                foreach ((double east, double north, int other) in list)
                {
                    if (other != row && Distance((east, north), (x, y)) < least)
                    {
                        return false;
                    }
                }
            }
        }

        return true;
    }

    /// <summary>Row starts: along several fall lines, a row spacing apart; crowded ones drop out later.</summary>
    private static IEnumerable<(double East, double North)> Starts(
        BlockPlan block,
        Func<double, double, double> height,
        double spacing
    )
    {
        foreach (double share in new[] { 0.5, 0.12, 0.88 })
        {
            double east = block.West + (share * (block.East - block.West));
            // From the block's middle down and up the fall line.
            foreach (int direction in new[] { 1, -1 })
            {
                double x = east;
                double y = 0.5 * (block.South + block.North);
                for (int step = 0; step < 400 && block.Contains(x, y); step++)
                {
                    if (step > 0 || direction > 0)
                    {
                        yield return (x, y);
                    }

                    (double upEast, double upNorth) = Uphill(height, x, y);
                    x += direction * spacing * upEast;
                    y += direction * spacing * upNorth;
                }
            }
        }
    }

    private static List<(double East, double North)> Trace(
        BlockPlan block,
        Func<double, double, double> height,
        double east,
        double north,
        int direction
    )
    {
        const double Step = 0.1;
        List<(double, double)> line = [(east, north)];
        (double x, double y) = (east, north);
        for (int step = 0; step < 4000; step++)
        {
            (double upEast, double upNorth) = Uphill(height, x, y);
            x += direction * Step * -upNorth;
            y += direction * Step * upEast;
            if (!block.Contains(x, y))
            {
                break;
            }

            line.Add((x, y));
        }

        return line;
    }

    /// <summary>Unit vector up the slope; north on level ground, where any row is a contour.</summary>
    private static (double East, double North) Uphill(Func<double, double, double> height, double x, double y)
    {
        (double gx, double gy) = Slope(height, x, y);
        double length = Math.Sqrt((gx * gx) + (gy * gy));
        return length < 1e-4 ? (0, 1) : (gx / length, gy / length);
    }

    private static (double East, double North) Slope(Func<double, double, double> height, double x, double y) =>
        (
            (height(x + SlopeReachMetres, y) - height(x - SlopeReachMetres, y)) / (2 * SlopeReachMetres),
            (height(x, y + SlopeReachMetres) - height(x, y - SlopeReachMetres)) / (2 * SlopeReachMetres)
        );
}
