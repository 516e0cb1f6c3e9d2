using Hillrow.Imaging;
using Hillrow.Numerics.Linear;

namespace Hillrow.Reconstruction;

/// <summary>
/// What a lens's polynomial leaves over: a smooth field of offsets over the frame, from many places where something was
/// seen beside where the lens puts it.
/// </summary>
/// <remarks>
/// Offsets at the nodes of a grid, bilinear between, by least squares with two expectations: offsets are small, and the field is
/// smooth (second differences of neighbouring nodes). The field is believed only if what half of the captures tell also
/// mends the other half, both ways round: noise and chance do not.
/// </remarks>
internal sealed class LensField
{
    private const int NodeRows = 13;
    private const int NodeColumns = 17;
    private const int Nodes = NodeRows * NodeColumns;

    /// <summary>Of an offset, pixels: small lenses leave some tenths over.</summary>
    private const double OffsetSigma = 0.4;

    /// <summary>
    /// Of a second difference, pixels: a wave of 0.2 px with three halves down the frame has 0.12 at its crest.
    /// </summary>
    private const double BendSigma = 0.1;

    private readonly int rows;
    private readonly int columns;
    private readonly Half[] halves = [new(), new()];

    /// <param name="rows">Of the frame.</param>
    /// <param name="columns">Of the frame.</param>
    public LensField(int rows, int columns) => (this.rows, this.columns) = (rows, columns);

    /// <summary>Adds something that was seen.</summary>
    /// <param name="capture">Whose; even and odd ones test each other.</param>
    /// <param name="at">Where the polynomial puts it.</param>
    /// <param name="seen">Where it was seen.</param>
    /// <param name="sigmaPixels">Standard error of the difference.</param>
    public void Add(int capture, PixelPoint at, PixelPoint seen, double sigmaPixels)
    {
        double u = Math.Clamp(at.Column * (NodeColumns - 1) / columns, 0, NodeColumns - 1);
        double v = Math.Clamp(at.Row * (NodeRows - 1) / rows, 0, NodeRows - 1);
        int left = Math.Min((int)u, NodeColumns - 2);
        int top = Math.Min((int)v, NodeRows - 2);
        (u, v) = (u - left, v - top);
        int first = (top * NodeColumns) + left;
        ReadOnlySpan<int> nodes = [first, first + 1, first + NodeColumns, first + NodeColumns + 1];
        ReadOnlySpan<double> shares = [(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v];
        halves[capture & 1]
            .Add(nodes, shares, seen.Column - at.Column, seen.Row - at.Row, 1 / (sigmaPixels * sigmaPixels));
    }

    /// <summary>Null when there is no field that holds in both halves.</summary>
    public ResidualGrid? Solve()
    {
        if (halves.Any(half => half.Count < Nodes))
        {
            return null;
        }

        for (int half = 0; half < 2; half++)
        {
            (double[] column, double[] row) = Solved(halves[half]);
            if (!(halves[1 - half].Mended(column, row) > 0))
            {
                return null;
            }
        }

        Half all = halves[0].And(halves[1]);
        (double[] columnOffsets, double[] rowOffsets) = Solved(all);
        return new ResidualGrid(NodeRows, NodeColumns, columnOffsets, rowOffsets, GridInterpolation.Bilinear);
    }

    private static (double[] Column, double[] Row) Solved(Half half)
    {
        double[] matrix = [.. half.Normal];
        for (int node = 0; node < Nodes; node++)
        {
            matrix[(node * Nodes) + node] += 1 / (OffsetSigma * OffsetSigma);
            int column = node % NodeColumns;
            int row = node / NodeColumns;
            if (column > 0 && column < NodeColumns - 1)
            {
                Bend(matrix, node, 1);
            }

            if (row > 0 && row < NodeRows - 1)
            {
                Bend(matrix, node, NodeColumns);
            }
        }

        double[] columnOffsets = [.. half.Column];
        double[] rowOffsets = [.. half.Row];
        if (!DenseCholesky.Factor(matrix, Nodes))
        {
            throw new InvalidOperationException("The expectations keep the field's matrix positive definite.");
        }

        DenseCholesky.Solve(matrix, Nodes, columnOffsets);
        DenseCholesky.Solve(matrix, Nodes, rowOffsets);
        return (columnOffsets, rowOffsets);
    }

    /// <summary>Expects node − step, −2 × node, node + step to sum to 0.</summary>
    private static void Bend(double[] matrix, int node, int step)
    {
        ReadOnlySpan<int> nodes = [node - step, node, node + step];
        ReadOnlySpan<double> weights = [1, -2, 1];
        for (int i = 0; i < 3; i++)
        {
            for (int j = 0; j < 3; j++)
            {
                matrix[(nodes[i] * Nodes) + nodes[j]] += weights[i] * weights[j] / (BendSigma * BendSigma);
            }
        }
    }

    /// <summary>Normal equations of half of the captures.</summary>
    private sealed class Half
    {
        public double[] Normal { get; init; } = new double[Nodes * Nodes];

        public double[] Column { get; init; } = new double[Nodes];

        public double[] Row { get; init; } = new double[Nodes];

        public int Count { get; private set; }

        public void Add(
            ReadOnlySpan<int> nodes,
            ReadOnlySpan<double> shares,
            double columnOff,
            double rowOff,
            double weight
        )
        {
            for (int i = 0; i < nodes.Length; i++)
            {
                Column[nodes[i]] += weight * shares[i] * columnOff;
                Row[nodes[i]] += weight * shares[i] * rowOff;
                for (int j = 0; j < nodes.Length; j++)
                {
                    Normal[(nodes[i] * Nodes) + nodes[j]] += weight * shares[i] * shares[j];
                }
            }

            Count++;
        }

        public Half And(Half other) =>
            new()
            {
                Normal = [.. Normal.Zip(other.Normal, (a, b) => a + b)],
                Column = [.. Column.Zip(other.Column, (a, b) => a + b)],
                Row = [.. Row.Zip(other.Row, (a, b) => a + b)],
                Count = Count + other.Count,
            };

        /// <summary>Weighted sum of squares without the field less that with it.</summary>
        public double Mended(double[] column, double[] row) => MendedBy(column, Column) + MendedBy(row, Row);

        private double MendedBy(double[] field, double[] right)
        {
            // Σ w r² − Σ w (r − f)² = 2 fᵀb − fᵀA f.
            double mended = 0;
            for (int i = 0; i < Nodes; i++)
            {
                double product = 0;
                for (int j = 0; j < Nodes; j++)
                {
                    product += Normal[(i * Nodes) + j] * field[j];
                }

                mended += field[i] * ((2 * right[i]) - product);
            }

            return mended;
        }
    }
}
