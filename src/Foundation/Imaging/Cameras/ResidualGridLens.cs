using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>A lens with a grid of small measured offsets laid over another lens: pixel = p + grid(p), p from the inner lens.</summary>
/// <remarks>The adjustable values are the inner lens's; the grid stays fixed. The inverse is exact to 1e-9 pixel.</remarks>
public sealed class ResidualGridLens : Lens
{
    private const double SteepestSlope = 0.2;

    /// <exception cref="ArgumentException">The grid is so steep (above 0.2 pixel per pixel) that it could fold the picture.</exception>
    public ResidualGridLens(Lens inner, ResidualGrid grid)
        : base((inner ?? throw new ArgumentNullException(nameof(inner))).Rows, inner.Columns)
    {
        ArgumentNullException.ThrowIfNull(grid);
        Inner = inner;
        Grid = grid;
        RefuseSteepGrid();
    }

    public Lens Inner { get; }

    public ResidualGrid Grid { get; }

    public override IReadOnlyList<double> Parameters => Inner.Parameters;

    public override IReadOnlyList<string> ParameterNames => Inner.ParameterNames;

    public override Lens WithParameters(ReadOnlySpan<double> parameters) =>
        new ResidualGridLens(Inner.WithParameters(parameters), Grid);

    public override bool TryProject(Vector3D inCamera, out PixelPoint pixel)
    {
        if (!Inner.TryProject(inCamera, out pixel))
        {
            return false;
        }

        Grid.At(pixel, Rows, Columns, out GridSample sample);
        pixel = new PixelPoint(pixel.Column + sample.Column, pixel.Row + sample.Row);
        return true;
    }

    public override bool TryProject(
        Vector3D inCamera,
        out PixelPoint pixel,
        Span<double> byPoint,
        Span<double> byParameters
    )
    {
        if (!Inner.TryProject(inCamera, out pixel, byPoint, byParameters))
        {
            return false;
        }

        Grid.At(pixel, Rows, Columns, out GridSample sample);
        Chain(byPoint, 3, sample);
        if (!byParameters.IsEmpty)
        {
            Chain(byParameters, Parameters.Count, sample);
        }

        pixel = new PixelPoint(pixel.Column + sample.Column, pixel.Row + sample.Row);
        return true;
    }

    public override bool TryRayOf(PixelPoint pixel, out Vector3D ray)
    {
        PixelPoint ideal = pixel;
        for (int step = 0; step < 60; step++)
        {
            Grid.At(ideal, Rows, Columns, out GridSample sample);
            PixelPoint next = new(pixel.Column - sample.Column, pixel.Row - sample.Row);
            double moved = Math.Abs(next.Column - ideal.Column) + Math.Abs(next.Row - ideal.Row);
            ideal = next;

            // Slopes are at most 0.2 each way, so the fixed point is nearer than two thirds of the last move.
            if (moved < 1e-10)
            {
                break;
            }
        }

        return Inner.TryRayOf(ideal, out ray);
    }

    private static void Chain(Span<double> derivatives, int count, in GridSample sample)
    {
        for (int index = 0; index < count; index++)
        {
            double column = derivatives[index];
            double row = derivatives[count + index];
            derivatives[index] = column + (sample.ColumnByColumn * column) + (sample.ColumnByRow * row);
            derivatives[count + index] = row + (sample.RowByColumn * column) + (sample.RowByRow * row);
        }
    }

    private void RefuseSteepGrid()
    {
        double columnStep = Columns / (double)(Grid.NodeColumns - 1);
        double rowStep = Rows / (double)(Grid.NodeRows - 1);
        for (int row = 0; row < Grid.NodeRows; row++)
        {
            for (int column = 0; column < Grid.NodeColumns; column++)
            {
                int node = (row * Grid.NodeColumns) + column;
                double steepest = 0;
                if (column > 0)
                {
                    steepest = Math.Max(Steepest(node, node - 1) / columnStep, steepest);
                }

                if (row > 0)
                {
                    steepest = Math.Max(Steepest(node, node - Grid.NodeColumns) / rowStep, steepest);
                }

                if (steepest > SteepestSlope)
                {
                    throw new ArgumentException(
                        $"The residual grid changes by {steepest:0.###} pixel per pixel near node row {row}, column {column} (limit {SteepestSlope}): check its size and units."
                    );
                }
            }
        }
    }

    private double Steepest(int node, int other) =>
        Math.Max(
            Math.Abs(Grid.ColumnOffsetsPixels[node] - Grid.ColumnOffsetsPixels[other]),
            Math.Abs(Grid.RowOffsetsPixels[node] - Grid.RowOffsetsPixels[other])
        );
}
