using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>Terrain heights on a metric, north-up grid of square cells: one height per cell centre.</summary>
public sealed class TerrainGrid
{
    private readonly float[] heights;

    /// <param name="geometry">Where the cells lie.</param>
    /// <param name="heights">Rows × Columns, metres, row-major, NaN where void. Kept, not copied.</param>
    /// <param name="verticalReference">What the heights are measured from.</param>
    /// <param name="sigmaMetres">Standard error of a height.</param>
    /// <exception cref="ArgumentException">The heights do not fill the grid, or it is smaller than 2 × 2.</exception>
    public TerrainGrid(
        GridGeometry geometry,
        float[] heights,
        VerticalReference verticalReference,
        double sigmaMetres = TerrainTile.DefaultSigmaMetres
    )
    {
        ArgumentNullException.ThrowIfNull(geometry);
        ArgumentNullException.ThrowIfNull(heights);
        if (heights.Length != geometry.CellCount || geometry.Rows < 2 || geometry.Columns < 2)
        {
            throw new ArgumentException(
                $"{heights.Length} heights do not make a grid of {geometry.Rows} × {geometry.Columns} cells (at least 2 × 2).",
                nameof(heights)
            );
        }

        if (!(geometry.CellSizeMetres > 0))
        {
            throw new ArgumentException(
                FormattableString.Invariant($"A cell of {geometry.CellSizeMetres} m must be above 0."),
                nameof(geometry)
            );
        }

        Geometry = geometry;
        this.heights = heights;
        VerticalReference = verticalReference;
        SigmaMetres = sigmaMetres;
    }

    public GridGeometry Geometry { get; }

    public VerticalReference VerticalReference { get; }

    public double SigmaMetres { get; }

    public int Rows => Geometry.Rows;

    public int Columns => Geometry.Columns;

    public double CellSizeMetres => Geometry.CellSizeMetres;

    /// <summary>Rows × Columns, metres, row-major, NaN where void.</summary>
    public ReadOnlySpan<float> Heights => heights;

    public float HeightMetresAt(int row, int column) => heights[(row * Columns) + column];

    /// <summary>Height at a grid point, metres; NaN outside and in voids. Outer half cells take the outermost centres.</summary>
    public double SampleMetres(GridPoint point, TerrainInterpolation interpolation = TerrainInterpolation.Bilinear)
    {
        double column = Geometry.ColumnOf(point.EastingMetres) - 0.5;
        double row = Geometry.RowOf(point.NorthingMetres) - 0.5;
        if (!(column >= -0.5 && row >= -0.5 && column <= Columns - 0.5 && row <= Rows - 0.5))
        {
            return double.NaN;
        }

        if (
            interpolation == TerrainInterpolation.Bicubic
            && column >= 1
            && row >= 1
            && column < Columns - 2
            && row < Rows - 2
        )
        {
            double smooth = PostInterpolation.Bicubic(heights, Columns, row, column);
            if (!double.IsNaN(smooth))
            {
                return smooth;
            }
        }

        return PostInterpolation.Bilinear(
            heights,
            Rows,
            Columns,
            Math.Clamp(row, 0, Rows - 1),
            Math.Clamp(column, 0, Columns - 1)
        );
    }

    /// <summary>Height of the cell a grid point lies in, metres; NaN outside and in voids.</summary>
    public double NearestMetres(GridPoint point)
    {
        double column = Math.Floor(Geometry.ColumnOf(point.EastingMetres));
        double row = Math.Floor(Geometry.RowOf(point.NorthingMetres));
        return column >= 0 && row >= 0 && column < Columns && row < Rows
            ? heights[((int)row * Columns) + (int)column]
            : double.NaN;
    }

    /// <summary>Slope in degrees of every cell; NaN at borders and beside voids.</summary>
    public float[] SlopeDegrees(GradientMethod method = GradientMethod.Horn)
    {
        float[] result = new float[heights.Length];
        TerrainShape.SlopeDegrees(heights, Rows, Columns, CellSizeMetres, CellSizeMetres, method, result);
        return result;
    }

    /// <summary>Slope in per cent of every cell; NaN at borders and beside voids.</summary>
    public float[] SlopePercent(GradientMethod method = GradientMethod.Horn)
    {
        float[] result = new float[heights.Length];
        TerrainShape.SlopePercent(heights, Rows, Columns, CellSizeMetres, CellSizeMetres, method, result);
        return result;
    }

    /// <summary>Downhill direction of every cell, degrees clockwise from grid north; NaN where flat, at borders, beside voids.</summary>
    public float[] AspectDegrees(GradientMethod method = GradientMethod.Horn)
    {
        float[] result = new float[heights.Length];
        TerrainShape.AspectDegrees(heights, Rows, Columns, CellSizeMetres, CellSizeMetres, method, result);
        return result;
    }

    /// <summary>Hillshade 1 … 255 of every cell, not rounded; NaN at borders and beside voids.</summary>
    public float[] Hillshade(Angle azimuthFromGridNorth, Angle altitude, GradientMethod method = GradientMethod.Horn)
    {
        float[] result = new float[heights.Length];
        TerrainShape.Hillshade(
            heights,
            Rows,
            Columns,
            CellSizeMetres,
            CellSizeMetres,
            method,
            azimuthFromGridNorth,
            altitude,
            result
        );
        return result;
    }

    /// <summary>
    /// Horizon angle from a cell's centre, degrees above the horizontal, looking past the first cell.
    /// </summary>
    public double HorizonDegrees(int row, int column, Angle azimuthFromGridNorth, double eyeAboveGroundMetres = 0) =>
        TerrainHorizon.AngleDegrees(
            heights,
            Rows,
            Columns,
            CellSizeMetres,
            row,
            column,
            HeightMetresAt(row, column) + eyeAboveGroundMetres,
            azimuthFromGridNorth,
            CellSizeMetres
        );

    /// <summary>True where other ground hides the sun.</summary>
    public bool[] CastShadow(Angle sunAzimuthFromGridNorth, Angle sunAltitude)
    {
        bool[] result = new bool[heights.Length];
        TerrainHorizon.CastShadow(heights, Rows, Columns, CellSizeMetres, sunAzimuthFromGridNorth, sunAltitude, result);
        return result;
    }

    /// <summary>Climbs, drops and lengths of the straight line between two grid points, over the bilinear surface.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The start lies outside the outermost cell centres.</exception>
    public TerrainProfile Profile(GridPoint from, GridPoint to) =>
        TerrainProfile.Along(
            heights,
            Rows,
            Columns,
            CellSizeMetres,
            Geometry.RowOf(from.NorthingMetres) - 0.5,
            Geometry.ColumnOf(from.EastingMetres) - 0.5,
            Geometry.RowOf(to.NorthingMetres) - 0.5,
            Geometry.ColumnOf(to.EastingMetres) - 0.5
        );
}
