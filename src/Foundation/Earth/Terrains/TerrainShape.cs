using System.Runtime.CompilerServices;
using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>How the steepness of a cell is taken from its neighbours.</summary>
public enum GradientMethod
{
    /// <summary>Eight neighbours, the straight ones twice (Horn 1981, DOI 10.1109/PROC.1981.11918): calmer on rough ground.</summary>
    Horn,

    /// <summary>Four straight neighbours (Zevenbergen &amp; Thorne 1987, DOI 10.1002/esp.3290120107): sharper on smooth ground.</summary>
    ZevenbergenThorne,
}

/// <summary>
/// Slope, aspect and hillshade kernels: heights Rows × Columns, row-major, north row first, NaN void, cells
/// <c>cellEast</c> × <c>cellNorth</c> metres. Border cells, and cells that touch a void, come out NaN.
/// </summary>
public static class TerrainShape
{
    /// <summary>Slope in degrees, 0 … 90.</summary>
    /// <exception cref="ArgumentException">Sizes do not fit.</exception>
    public static void SlopeDegrees(
        ReadOnlySpan<float> heights,
        int rows,
        int columns,
        double cellEastMetres,
        double cellNorthMetres,
        GradientMethod method,
        Span<float> degrees
    )
    {
        CheckSizes(heights, rows, columns, cellEastMetres, cellNorthMetres, degrees);
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                degrees[(row * columns) + column] = TryGradient(
                    heights,
                    rows,
                    columns,
                    row,
                    column,
                    cellEastMetres,
                    cellNorthMetres,
                    method,
                    out double east,
                    out double north
                )
                    ? (float)(Math.Atan(Math.Sqrt((east * east) + (north * north))) * (180 / Math.PI))
                    : float.NaN;
            }
        }
    }

    /// <summary>Slope in per cent: 100 times rise over run.</summary>
    /// <exception cref="ArgumentException">Sizes do not fit.</exception>
    public static void SlopePercent(
        ReadOnlySpan<float> heights,
        int rows,
        int columns,
        double cellEastMetres,
        double cellNorthMetres,
        GradientMethod method,
        Span<float> percent
    )
    {
        CheckSizes(heights, rows, columns, cellEastMetres, cellNorthMetres, percent);
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                percent[(row * columns) + column] = TryGradient(
                    heights,
                    rows,
                    columns,
                    row,
                    column,
                    cellEastMetres,
                    cellNorthMetres,
                    method,
                    out double east,
                    out double north
                )
                    ? (float)(100 * Math.Sqrt((east * east) + (north * north)))
                    : float.NaN;
            }
        }
    }

    /// <summary>
    /// Aspect: the direction the slope faces (downhill), degrees clockwise from grid north in [0, 360); NaN where flat.
    /// </summary>
    /// <exception cref="ArgumentException">Sizes do not fit.</exception>
    public static void AspectDegrees(
        ReadOnlySpan<float> heights,
        int rows,
        int columns,
        double cellEastMetres,
        double cellNorthMetres,
        GradientMethod method,
        Span<float> degrees
    )
    {
        CheckSizes(heights, rows, columns, cellEastMetres, cellNorthMetres, degrees);
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                bool sloping =
                    TryGradient(
                        heights,
                        rows,
                        columns,
                        row,
                        column,
                        cellEastMetres,
                        cellNorthMetres,
                        method,
                        out double east,
                        out double north
                    ) && (east != 0 || north != 0);
                degrees[(row * columns) + column] = sloping ? (float)DownhillDegrees(east, north) : float.NaN;
            }
        }
    }

    /// <summary>
    /// Hillshade 1 … 255: 1 + 254 × the cosine of the angle between the sun and the surface, 1 where turned away.
    /// Not rounded.
    /// </summary>
    /// <exception cref="ArgumentException">Sizes do not fit.</exception>
    public static void Hillshade(
        ReadOnlySpan<float> heights,
        int rows,
        int columns,
        double cellEastMetres,
        double cellNorthMetres,
        GradientMethod method,
        Angle azimuthFromGridNorth,
        Angle altitude,
        Span<float> shade
    )
    {
        CheckSizes(heights, rows, columns, cellEastMetres, cellNorthMetres, shade);
        double sunEast = altitude.Cosine * azimuthFromGridNorth.Sine;
        double sunNorth = altitude.Cosine * azimuthFromGridNorth.Cosine;
        double sunUp = altitude.Sine;
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                float value = float.NaN;
                if (
                    TryGradient(
                        heights,
                        rows,
                        columns,
                        row,
                        column,
                        cellEastMetres,
                        cellNorthMetres,
                        method,
                        out double east,
                        out double north
                    )
                )
                {
                    double cosine =
                        (sunUp - (sunEast * east) - (sunNorth * north))
                        / Math.Sqrt(1 + (east * east) + (north * north));
                    value = cosine <= 0 ? 1 : (float)(1 + (254 * cosine));
                }

                shade[(row * columns) + column] = value;
            }
        }
    }

    /// <summary>Rise per metre towards the east and the north; false at borders and beside voids.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static bool TryGradient(
        ReadOnlySpan<float> heights,
        int rows,
        int columns,
        int row,
        int column,
        double cellEastMetres,
        double cellNorthMetres,
        GradientMethod method,
        out double eastward,
        out double northward
    )
    {
        eastward = double.NaN;
        northward = double.NaN;
        if (row < 1 || column < 1 || row >= rows - 1 || column >= columns - 1)
        {
            return false;
        }

        ReadOnlySpan<float> above = heights.Slice(((row - 1) * columns) + column - 1, 3);
        ReadOnlySpan<float> middle = heights.Slice((row * columns) + column - 1, 3);
        ReadOnlySpan<float> below = heights.Slice(((row + 1) * columns) + column - 1, 3);
        if (method == GradientMethod.Horn)
        {
            double west = (double)above[0] + (2.0 * middle[0]) + below[0];
            double east = (double)above[2] + (2.0 * middle[2]) + below[2];
            double north = (double)above[0] + (2.0 * above[1]) + above[2];
            double south = (double)below[0] + (2.0 * below[1]) + below[2];
            eastward = (east - west) / (8 * cellEastMetres);
            northward = (north - south) / (8 * cellNorthMetres);
        }
        else
        {
            eastward = ((double)middle[2] - middle[0]) / (2 * cellEastMetres);
            northward = ((double)above[1] - below[1]) / (2 * cellNorthMetres);
        }

        return !double.IsNaN(eastward + northward) && !float.IsNaN(middle[1]);
    }

    private static double DownhillDegrees(double eastward, double northward)
    {
        double degrees = Math.Atan2(-eastward, -northward) * (180 / Math.PI);
        return degrees < 0 ? degrees + 360 : degrees;
    }

    private static void CheckSizes(
        ReadOnlySpan<float> heights,
        int rows,
        int columns,
        double cellEastMetres,
        double cellNorthMetres,
        Span<float> result
    )
    {
        if (heights.Length != (long)rows * columns || result.Length != heights.Length)
        {
            throw new ArgumentException(
                $"{heights.Length} heights and {result.Length} results do not fit {rows} × {columns} cells."
            );
        }

        if (!(cellEastMetres > 0) || !(cellNorthMetres > 0))
        {
            throw new ArgumentException(
                FormattableString.Invariant($"Cells of {cellEastMetres} × {cellNorthMetres} m must be above 0.")
            );
        }
    }
}
