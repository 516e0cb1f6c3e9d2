using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>
/// Horizon angles and cast shadows over the bilinear surface through the posts of a square grid; exact along every ray,
/// not sampled. Void cells hide nothing.
/// </summary>
public static class TerrainHorizon
{
    /// <summary>
    /// The angle above the horizontal of the highest ground seen from a point in one direction, in degrees; below 0 when
    /// all of it lies lower; −90 when the ray leaves the grid before <paramref name="startMetres"/>.
    /// </summary>
    /// <param name="heights">Rows × Columns, metres, row-major, north row first, NaN void.</param>
    /// <param name="rows">At least 2.</param>
    /// <param name="columns">At least 2.</param>
    /// <param name="cellMetres">Distance between posts.</param>
    /// <param name="row">Fractional row of posts of the eye; the first post is 0.</param>
    /// <param name="column">Fractional column of posts of the eye.</param>
    /// <param name="eyeMetres">Height of the eye, same reference as the heights.</param>
    /// <param name="azimuthFromGridNorth">Clockwise from grid north.</param>
    /// <param name="startMetres">Ground nearer than this is not looked at; one cell by custom.</param>
    /// <param name="earthRadiusMetres">Radius by which distant ground sinks; infinite for a plane.</param>
    public static double AngleDegrees(
        ReadOnlySpan<float> heights,
        int rows,
        int columns,
        double cellMetres,
        double row,
        double column,
        double eyeMetres,
        Angle azimuthFromGridNorth,
        double startMetres,
        double earthRadiusMetres = double.PositiveInfinity
    )
    {
        double sink = 1 / (2 * earthRadiusMetres);
        double steepest = double.NegativeInfinity;
        TerrainRay ray = RayFrom(heights, rows, columns, cellMetres, row, column, azimuthFromGridNorth);
        while (ray.MoveNext())
        {
            // A cell that ends just where the looking starts still has its far edge to show.
            if (ray.To >= startMetres * (1 - 1e-9))
            {
                double from = Math.Min(Math.Max(ray.From, startMetres), ray.To);
                steepest = Math.Max(steepest, SteepestIn(ray, from, eyeMetres, sink));
            }
        }

        return double.IsNegativeInfinity(steepest) ? -90 : Math.Atan(steepest) * (180 / Math.PI);
    }

    /// <summary>Marks the cells that other ground hides from the sun: true = in cast shadow. Self-shadow is not included.</summary>
    /// <param name="heights">Rows × Columns, metres, row-major, north row first, NaN void.</param>
    /// <param name="rows">At least 2.</param>
    /// <param name="columns">At least 2.</param>
    /// <param name="cellMetres">Distance between posts.</param>
    /// <param name="azimuthFromGridNorth">The sun's, clockwise from grid north.</param>
    /// <param name="altitude">The sun's, above the horizontal.</param>
    /// <param name="shadow">Receives Rows × Columns; false in voids.</param>
    public static void CastShadow(
        ReadOnlySpan<float> heights,
        int rows,
        int columns,
        double cellMetres,
        Angle azimuthFromGridNorth,
        Angle altitude,
        Span<bool> shadow
    )
    {
        if (heights.Length != (long)rows * columns || shadow.Length != heights.Length)
        {
            throw new ArgumentException(
                $"{heights.Length} heights and {shadow.Length} marks do not fit {rows} × {columns} cells."
            );
        }

        float highest = float.NegativeInfinity;
        foreach (float height in heights)
        {
            highest = height > highest ? height : highest;
        }

        double rise = altitude.Tangent;
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                double eye = heights[(row * columns) + column];
                shadow[(row * columns) + column] =
                    !double.IsNaN(eye)
                    && IsHidden(
                        heights,
                        rows,
                        columns,
                        cellMetres,
                        row,
                        column,
                        eye,
                        azimuthFromGridNorth,
                        rise,
                        highest
                    );
            }
        }
    }

    private static bool IsHidden(
        ReadOnlySpan<float> heights,
        int rows,
        int columns,
        double cellMetres,
        int row,
        int column,
        double eye,
        Angle azimuth,
        double rise,
        double highest
    )
    {
        TerrainRay ray = RayFrom(heights, rows, columns, cellMetres, row, column, azimuth);
        while (ray.MoveNext())
        {
            double from = Math.Min(Math.Max(ray.From, cellMetres), ray.To);
            if (eye + (rise * from) > highest)
            {
                return false;
            }

            if (ray.To >= cellMetres * (1 - 1e-9) && SteepestIn(ray, from, eye, 0) > rise)
            {
                return true;
            }
        }

        return false;
    }

    private static TerrainRay RayFrom(
        ReadOnlySpan<float> heights,
        int rows,
        int columns,
        double cellMetres,
        double row,
        double column,
        Angle azimuth
    ) => new(heights, rows, columns, row, column, -azimuth.Cosine / cellMetres, azimuth.Sine / cellMetres);

    /// <summary>
    /// Largest (a − eye)/t + b + c·t within the cell from <paramref name="from"/> on: at an end, or where its derivative
    /// c − (a − eye)/t² is 0.
    /// </summary>
    private static double SteepestIn(in TerrainRay ray, double from, double eye, double sink)
    {
        double above = ray.A - eye;
        double c = ray.C - sink;
        double steepest = Math.Max(Steepness(above, ray.B, c, from), Steepness(above, ray.B, c, ray.To));
        double turn = Math.Sqrt(above / c);
        if (turn > from && turn < ray.To)
        {
            steepest = Math.Max(steepest, Steepness(above, ray.B, c, turn));
        }

        return double.IsNaN(steepest) ? double.NegativeInfinity : steepest;
    }

    private static double Steepness(double above, double b, double c, double t) => (above / t) + b + (c * t);
}
