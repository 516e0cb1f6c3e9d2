namespace Hillrow.Imaging;

/// <summary>How a residual grid is read between its nodes.</summary>
public enum GridInterpolation
{
    Bilinear,

    /// <summary>Cubic convolution with a = −1/2 (Keys 1981, doi 10.1109/TASSP.1981.1163711); end nodes repeated.</summary>
    Bicubic,
}

/// <summary>Small offsets in pixels that a lens's polynomial leaves over, on a regular grid of nodes over the frame.</summary>
/// <remarks>First and last nodes sit on the frame's outer edges; beyond them the edge value holds.</remarks>
public sealed class ResidualGrid
{
    private readonly double[] columnOffsets;
    private readonly double[] rowOffsets;

    /// <param name="nodeRows">Rows of nodes, at least 2.</param>
    /// <param name="nodeColumns">Columns of nodes, at least 2.</param>
    /// <param name="columnOffsetsPixels">nodeRows × nodeColumns, row-major, added to the column.</param>
    /// <param name="rowOffsetsPixels">The same shape, added to the row.</param>
    /// <param name="interpolation">Between the nodes.</param>
    /// <exception cref="ArgumentException">Shapes differ or an offset is not finite.</exception>
    public ResidualGrid(
        int nodeRows,
        int nodeColumns,
        ReadOnlySpan<double> columnOffsetsPixels,
        ReadOnlySpan<double> rowOffsetsPixels,
        GridInterpolation interpolation
    )
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(nodeRows, 2);
        ArgumentOutOfRangeException.ThrowIfLessThan(nodeColumns, 2);
        long count = (long)nodeRows * nodeColumns;
        if (columnOffsetsPixels.Length != count || rowOffsetsPixels.Length != count)
        {
            throw new ArgumentException(
                $"A grid of {nodeRows} × {nodeColumns} nodes needs {count} offsets each way, not {columnOffsetsPixels.Length} and {rowOffsetsPixels.Length}."
            );
        }

        columnOffsets = columnOffsetsPixels.ToArray();
        rowOffsets = rowOffsetsPixels.ToArray();
        if (!Array.TrueForAll(columnOffsets, double.IsFinite) || !Array.TrueForAll(rowOffsets, double.IsFinite))
        {
            throw new ArgumentException("Every offset of the residual grid must be a finite number.");
        }

        NodeRows = nodeRows;
        NodeColumns = nodeColumns;
        Interpolation = interpolation;
    }

    public int NodeRows { get; }

    public int NodeColumns { get; }

    public GridInterpolation Interpolation { get; }

    public IReadOnlyList<double> ColumnOffsetsPixels => columnOffsets;

    public IReadOnlyList<double> RowOffsetsPixels => rowOffsets;

    /// <summary>Offset at a place in a frame of the given size, and its slopes (pixels per pixel).</summary>
    internal void At(PixelPoint pixel, int rows, int columns, out GridSample sample)
    {
        double stepsPerColumn = (NodeColumns - 1) / (double)columns;
        double stepsPerRow = (NodeRows - 1) / (double)rows;
        double u = pixel.Column * stepsPerColumn;
        double v = pixel.Row * stepsPerRow;

        // Outside the frame the edge value holds, so the slope across the edge is none.
        bool insideColumns = u >= 0 && u <= NodeColumns - 1;
        bool insideRows = v >= 0 && v <= NodeRows - 1;
        u = Math.Clamp(u, 0, NodeColumns - 1);
        v = Math.Clamp(v, 0, NodeRows - 1);
        int left = Math.Min((int)u, NodeColumns - 2);
        int top = Math.Min((int)v, NodeRows - 2);
        Span<double> weightU = stackalloc double[8];
        Span<double> weightV = stackalloc double[8];
        Weights(u - left, weightU[..4], weightU[4..]);
        Weights(v - top, weightV[..4], weightV[4..]);
        sample = default;
        for (int i = 0; i < 4; i++)
        {
            int row = Math.Clamp(top + i - 1, 0, NodeRows - 1) * NodeColumns;
            for (int j = 0; j < 4; j++)
            {
                int node = row + Math.Clamp(left + j - 1, 0, NodeColumns - 1);
                double weight = weightV[i] * weightU[j];
                double slopeU = insideColumns ? weightV[i] * weightU[4 + j] * stepsPerColumn : 0;
                double slopeV = insideRows ? weightV[4 + i] * weightU[j] * stepsPerRow : 0;
                sample.Column += weight * columnOffsets[node];
                sample.Row += weight * rowOffsets[node];
                sample.ColumnByColumn += slopeU * columnOffsets[node];
                sample.ColumnByRow += slopeV * columnOffsets[node];
                sample.RowByColumn += slopeU * rowOffsets[node];
                sample.RowByRow += slopeV * rowOffsets[node];
            }
        }
    }

    private void Weights(double t, Span<double> value, Span<double> slope)
    {
        if (Interpolation == GridInterpolation.Bilinear)
        {
            (value[0], value[1], value[2], value[3]) = (0, 1 - t, t, 0);
            (slope[0], slope[1], slope[2], slope[3]) = (0, -1, 1, 0);
            return;
        }

        double t2 = t * t;
        value[0] = 0.5 * t * (-1 + (t * (2 - t)));
        value[1] = 1 + (t2 * (-2.5 + (1.5 * t)));
        value[2] = 0.5 * t * (1 + (t * (4 - (3 * t))));
        value[3] = 0.5 * t2 * (t - 1);
        slope[0] = 0.5 * (-1 + (4 * t) - (3 * t2));
        slope[1] = (-5 * t) + (4.5 * t2);
        slope[2] = 0.5 * (1 + (8 * t) - (9 * t2));
        slope[3] = 0.5 * ((-2 * t) + (3 * t2));
    }
}

/// <summary>A residual and its slopes, pixels and pixels per pixel.</summary>
internal struct GridSample
{
    public double Column;
    public double Row;
    public double ColumnByColumn;
    public double ColumnByRow;
    public double RowByColumn;
    public double RowByRow;
}
