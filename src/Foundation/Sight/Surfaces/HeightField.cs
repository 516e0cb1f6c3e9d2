using Hillrow.Numerics;

namespace Hillrow.Sight;

/// <summary>
/// Heights on a square grid of posts in the local frame, bilinear between posts, ready for ray casts: a pyramid of
/// highest heights lets a ray skip what it flies over.
/// </summary>
/// <remarks>
/// Row 0 is the northernmost row of posts, column 0 the westernmost. NaN posts are voids: a cell that touches one has no
/// surface. Method: hierarchical grid traversal over a maximum pyramid, exact ray–bilinear-patch intersection in the
/// finest cells. Agrees with a fine march to 1e-6 m (tests).
/// </remarks>
public sealed class HeightField
{
    /// <summary>A ray moves this much past a cell border (in cells) to be surely in the next cell.</summary>
    private const double BorderNudgeCells = 1e-7;

    private readonly float[] heights;
    private readonly HeightPyramid pyramid;

    /// <param name="westMetres">Local easting of the first column of posts.</param>
    /// <param name="northMetres">Local northing of the first row of posts.</param>
    /// <param name="cellMetres">Distance between posts, above 0.</param>
    /// <param name="rows">Rows of posts, at least 2.</param>
    /// <param name="columns">Columns of posts, at least 2.</param>
    /// <param name="heightsLocalMetres">Rows × Columns, row-major, local up coordinate; NaN where void. Copied.</param>
    /// <exception cref="ArgumentException">A size is too small or does not fit the heights.</exception>
    public HeightField(
        double westMetres,
        double northMetres,
        double cellMetres,
        int rows,
        int columns,
        ReadOnlySpan<float> heightsLocalMetres
    )
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(rows, 2);
        ArgumentOutOfRangeException.ThrowIfLessThan(columns, 2);
        if (!(cellMetres > 0) || !double.IsFinite(cellMetres))
        {
            throw new ArgumentOutOfRangeException(
                nameof(cellMetres),
                cellMetres,
                "The distance between posts must be above 0."
            );
        }

        if (heightsLocalMetres.Length != (long)rows * columns)
        {
            throw new ArgumentException(
                $"{heightsLocalMetres.Length} heights do not fill {rows} × {columns} posts.",
                nameof(heightsLocalMetres)
            );
        }

        WestMetres = westMetres;
        NorthMetres = northMetres;
        CellMetres = cellMetres;
        Rows = rows;
        Columns = columns;
        heights = heightsLocalMetres.ToArray();
        pyramid = HeightPyramid.Over(heights, rows, columns);
        HighestMetres = pyramid.Levels[^1].Highest[0];
        LowestMetres = pyramid.Levels[^1].Lowest[0];
    }

    public double WestMetres { get; }

    public double NorthMetres { get; }

    public double CellMetres { get; }

    public int Rows { get; }

    public int Columns { get; }

    public double EastMetres => WestMetres + ((Columns - 1) * CellMetres);

    public double SouthMetres => NorthMetres - ((Rows - 1) * CellMetres);

    /// <summary>Highest height of the field; negative infinity when every cell is void.</summary>
    public double HighestMetres { get; }

    /// <summary>Lowest height of the field; positive infinity when every cell is void.</summary>
    public double LowestMetres { get; }

    public ReadOnlySpan<float> Heights => heights;

    /// <summary>Bilinear height at a place; NaN outside the field or beside a void.</summary>
    public double HeightAt(double eastMetres, double northMetres)
    {
        double column = (eastMetres - WestMetres) / CellMetres;
        double row = (NorthMetres - northMetres) / CellMetres;
        if (!(column >= 0 && row >= 0 && column <= Columns - 1 && row <= Rows - 1))
        {
            return double.NaN;
        }

        int c = Math.Min((int)column, Columns - 2);
        int r = Math.Min((int)row, Rows - 2);
        double u = column - c;
        double v = row - r;
        int at = (r * Columns) + c;
        double top = heights[at] + ((heights[at + 1] - heights[at]) * u);
        double bottom = heights[at + Columns] + ((heights[at + Columns + 1] - heights[at + Columns]) * u);
        return top + ((bottom - top) * v);
    }

    /// <summary>Upward unit normal of the bilinear surface; straight up outside the field or beside a void.</summary>
    public Vector3D NormalAt(double eastMetres, double northMetres)
    {
        double step = CellMetres * 0.5;
        double east = HeightAt(eastMetres + step, northMetres) - HeightAt(eastMetres - step, northMetres);
        double north = HeightAt(eastMetres, northMetres + step) - HeightAt(eastMetres, northMetres - step);
        return double.IsFinite(east) && double.IsFinite(north)
            ? new Vector3D(-east / CellMetres, -north / CellMetres, 1).Normalized()
            : new Vector3D(0, 0, 1);
    }

    /// <summary>First place where a ray meets the surface.</summary>
    /// <param name="origin">Start of the ray, local metres.</param>
    /// <param name="direction">Any non-zero direction; <paramref name="distance"/> is in units of its length.</param>
    /// <param name="from">Ignores what lies nearer than this.</param>
    /// <param name="to">Ignores what lies farther than this.</param>
    /// <param name="distance">Distance along the ray at the hit.</param>
    /// <returns>False when the ray leaves the field, or the range, without touching the surface.</returns>
    public bool TryHit(Vector3D origin, Vector3D direction, double from, double to, out double distance)
    {
        double x0 = (origin.X - WestMetres) / CellMetres;
        double y0 = (NorthMetres - origin.Y) / CellMetres;
        double dx = direction.X / CellMetres;
        double dy = -direction.Y / CellMetres;
        double t = from;
        double end = to;
        distance = double.NaN;
        if (
            !Clip(x0, dx, Columns - 1, ref t, ref end)
            || !Clip(y0, dy, Rows - 1, ref t, ref end)
            || !ClipBelow(origin.Z, direction.Z, HighestMetres, ref t, ref end)
        )
        {
            return false;
        }

        double speed = Math.Max(Math.Abs(dx), Math.Abs(dy));
        double nudge = speed > 0 ? BorderNudgeCells / speed : 0;
        int level = pyramid.Levels.Length - 1;
        while (t <= end)
        {
            double inside = Math.Min(t + nudge, end);
            int column = Math.Clamp((int)Math.Floor(x0 + (dx * inside)), 0, Columns - 2) >> level;
            int row = Math.Clamp((int)Math.Floor(y0 + (dy * inside)), 0, Rows - 2) >> level;
            double leaves = Math.Min(ExitAfter(t, x0, dx, column, level), ExitAfter(t, y0, dy, row, level));
            double exit = Math.Max(t, Math.Min(end, leaves));
            double lowest = Math.Min(origin.Z + (direction.Z * t), origin.Z + (direction.Z * exit));
            HeightPyramid.Level cells = pyramid.Levels[level];
            bool passesOver = lowest > cells.Highest[(row * cells.Columns) + column];
            if (!passesOver && level > 0)
            {
                level--;
                continue;
            }

            if (!passesOver && HitCell(row, column, x0, y0, dx, dy, origin.Z, direction.Z, t, exit, out distance))
            {
                return true;
            }

            if (exit >= end)
            {
                return false;
            }

            t = exit;
            // Climb when the next cell belongs to another parent; one level at a time keeps the walk tight on slopes.
            if (level < pyramid.Levels.Length - 1)
            {
                double next = Math.Min(t + nudge, end);
                int nextColumn = Math.Clamp((int)Math.Floor(x0 + (dx * next)), 0, Columns - 2) >> (level + 1);
                int nextRow = Math.Clamp((int)Math.Floor(y0 + (dy * next)), 0, Rows - 2) >> (level + 1);
                if (nextColumn != column >> 1 || nextRow != row >> 1)
                {
                    level++;
                }
            }

            if (speed == 0)
            {
                return false;
            }
        }

        return false;
    }

    /// <summary>Bounds of the heights inside a rectangle; a little wide, never too narrow. Infinite bounds when void.</summary>
    public (double LowestMetres, double HighestMetres) RangeWithin(
        double west,
        double east,
        double south,
        double north
    ) =>
        pyramid.RangeOf(
            (west - WestMetres) / CellMetres,
            (east - WestMetres) / CellMetres,
            (NorthMetres - north) / CellMetres,
            (NorthMetres - south) / CellMetres
        );

    /// <summary>Whether nothing of the surface stands between two places.</summary>
    /// <param name="start">A place on or above the surface, local metres.</param>
    /// <param name="end">Another one.</param>
    /// <param name="startClearanceMetres">The first metres from <paramref name="start"/> that do not count.</param>
    public bool Sees(Vector3D start, Vector3D end, double startClearanceMetres = 0.05)
    {
        Vector3D way = end - start;
        double length = way.Length;
        return length <= startClearanceMetres || !TryHit(start, way / length, startClearanceMetres, length, out _);
    }

    /// <summary>Cuts [t, end] to where start + step·t lies in [0, limit].</summary>
    private static bool Clip(double start, double step, double limit, ref double t, ref double end)
    {
        if (step == 0)
        {
            return start >= 0 && start <= limit && t <= end;
        }

        double a = -start / step;
        double b = (limit - start) / step;
        t = Math.Max(t, Math.Min(a, b));
        end = Math.Min(end, Math.Max(a, b));
        return t <= end;
    }

    /// <summary>Cuts [t, end] to where the ray is not above the highest height.</summary>
    private static bool ClipBelow(double start, double step, double top, ref double t, ref double end)
    {
        if (double.IsNegativeInfinity(top))
        {
            return false;
        }

        if (step == 0)
        {
            return start <= top && t <= end;
        }

        double cross = (top - start) / step;
        if (step < 0)
        {
            t = Math.Max(t, cross);
        }
        else
        {
            end = Math.Min(end, cross);
        }

        return t <= end;
    }

    /// <summary>
    /// Where the ray leaves a cell along one axis, surely ahead of <paramref name="t"/>: a ray that starts on a border and
    /// leans away from its cell by less than rounding shows counts as in the next cell, or it would never move on.
    /// </summary>
    private static double ExitAfter(double t, double start, double step, int cell, int level)
    {
        double leaves = ExitOf(start, step, cell, level);
        return leaves > t ? leaves : ExitOf(start, step, cell + Math.Sign(step), level);
    }

    /// <summary>Distance at which the ray leaves a cell along one axis; infinite when it runs along it.</summary>
    private static double ExitOf(double start, double step, int cell, int level)
    {
        if (step == 0)
        {
            return double.PositiveInfinity;
        }

        double border = (double)(step > 0 ? cell + 1 : cell) * (1 << level);
        return (border - start) / step;
    }

    /// <summary>Smallest root of ray height − bilinear height in [enter, exit], a quadratic in the distance.</summary>
    private bool HitCell(
        int row,
        int column,
        double x0,
        double y0,
        double dx,
        double dy,
        double z0,
        double dz,
        double enter,
        double exit,
        out double distance
    )
    {
        int at = (row * Columns) + column;
        double a = heights[at];
        double b = heights[at + 1] - a;
        double c = heights[at + Columns] - a;
        double d = heights[at + Columns + 1] - a - b - c;
        distance = double.NaN;
        if (!double.IsFinite(b + c + d))
        {
            return false;
        }

        double u = x0 - column;
        double v = y0 - row;
        double constant = z0 - a - (b * u) - (c * v) - (d * u * v);
        double linear = dz - (b * dx) - (c * dy) - (d * ((u * dy) + (v * dx)));
        double square = -d * dx * dy;
        double AtDistance(double t) => constant + (t * (linear + (t * square)));
        if (AtDistance(enter) <= 0)
        {
            distance = enter;
            return true;
        }

        Span<double> roots = [double.NaN, double.NaN];
        if (Math.Abs(square) < 1e-14 * Math.Max(1, Math.Abs(linear)))
        {
            roots[0] = linear == 0 ? double.NaN : -constant / linear;
        }
        else
        {
            double discriminant = (linear * linear) - (4 * square * constant);
            if (discriminant < 0)
            {
                return false;
            }

            // The stable form of the quadratic formula: no subtraction of nearly equal numbers.
            double q = -0.5 * (linear + Math.CopySign(Math.Sqrt(discriminant), linear));
            roots[0] = q / square;
            roots[1] = q == 0 ? double.NaN : constant / q;
        }

        foreach (double root in roots)
        {
            if (root >= enter && root <= exit && !(root >= distance))
            {
                distance = root;
            }
        }

        return double.IsFinite(distance);
    }
}
