namespace Hillrow.Numerics.Linear;

/// <summary>
/// A symmetric matrix cut into blocks, of which only the non-zero ones on and below the diagonal are stored.
/// Blocks of size 1 make it an ordinary sparse matrix by columns.
/// </summary>
/// <remarks>
/// Block (i, j), i ≥ j, is sizes[i] × sizes[j], row-major and tight, at <see cref="Values"/>[ValueStart[entry]].
/// Diagonal blocks are stored whole; only their lower triangle is read.
/// </remarks>
public sealed class BlockSymmetricMatrix
{
    private readonly int[] sizes;
    private readonly int[] starts;
    private readonly int[] columnStart;
    private readonly int[] rowBlocks;
    private readonly int[] valueStart;
    private readonly double[] values;

    /// <param name="blockSizes">Unknowns in each block, 1 or more.</param>
    /// <param name="columnStarts">Length blocks + 1: entries of block column j are [start[j], start[j+1]).</param>
    /// <param name="rows">Row block of each entry: ascending within a column, the diagonal first and always present.</param>
    /// <exception cref="ArgumentException">The pattern breaks one of these rules.</exception>
    public BlockSymmetricMatrix(ReadOnlySpan<int> blockSizes, ReadOnlySpan<int> columnStarts, ReadOnlySpan<int> rows)
    {
        if (columnStarts.Length != blockSizes.Length + 1 || columnStarts[^1] != rows.Length)
        {
            throw new ArgumentException(
                $"{blockSizes.Length} blocks want {blockSizes.Length + 1} column starts that end at {rows.Length}.",
                nameof(columnStarts)
            );
        }

        sizes = blockSizes.ToArray();
        columnStart = columnStarts.ToArray();
        rowBlocks = rows.ToArray();
        starts = new int[sizes.Length + 1];
        for (int block = 0; block < sizes.Length; block++)
        {
            ArgumentOutOfRangeException.ThrowIfLessThan(sizes[block], 1, nameof(blockSizes));
            starts[block + 1] = starts[block] + sizes[block];
        }

        valueStart = new int[rows.Length + 1];
        for (int column = 0; column < sizes.Length; column++)
        {
            int previous = column - 1;
            for (int entry = columnStart[column]; entry < columnStart[column + 1]; entry++)
            {
                int row = rowBlocks[entry];
                bool first = entry == columnStart[column];
                if ((first && row != column) || row <= previous || row >= sizes.Length)
                {
                    throw new ArgumentException(
                        $"Block column {column}: row {row} is out of place (diagonal first, then ascending).",
                        nameof(rows)
                    );
                }

                previous = row;
                valueStart[entry + 1] = valueStart[entry] + (sizes[row] * sizes[column]);
            }

            if (columnStart[column] == columnStart[column + 1])
            {
                throw new ArgumentException($"Block column {column} has no diagonal block.", nameof(rows));
            }
        }

        values = GC.AllocateArray<double>(valueStart[^1], pinned: true);
    }

    public int BlockCount => sizes.Length;

    public int EntryCount => rowBlocks.Length;

    /// <summary>Number of rows, counted in unknowns.</summary>
    public int Order => starts[^1];

    public ReadOnlySpan<int> Sizes => sizes;

    /// <summary>First unknown of each block, and the order at the end.</summary>
    public ReadOnlySpan<int> Starts => starts;

    public ReadOnlySpan<int> ColumnStarts => columnStart;

    public ReadOnlySpan<int> RowBlocks => rowBlocks;

    public ReadOnlySpan<int> ValueStarts => valueStart;

    public Span<double> Values => values;

    internal double[] ValueArray => values;

    internal int[] ValueStartArray => valueStart;

    internal int[] RowBlockArray => rowBlocks;

    internal int[] ColumnStartArray => columnStart;

    /// <summary>Entry index of block (row, column), row ≥ column, or −1 when it is structurally zero.</summary>
    public int FindEntry(int row, int column)
    {
        int from = columnStart[column];
        int at = rowBlocks.AsSpan(from, columnStart[column + 1] - from).BinarySearch(row);
        return at < 0 ? -1 : from + at;
    }

    /// <summary>The stored values of one entry.</summary>
    public Span<double> Block(int entry) => values.AsSpan(valueStart[entry], valueStart[entry + 1] - valueStart[entry]);

    /// <summary>product ← this · vector.</summary>
    /// <exception cref="ArgumentException">A length differs from <see cref="Order"/>.</exception>
    public void Multiply(ReadOnlySpan<double> vector, Span<double> product)
    {
        if (vector.Length != Order || product.Length != Order)
        {
            throw new ArgumentException(
                $"Vector {vector.Length} and product {product.Length} must be {Order} long.",
                nameof(product)
            );
        }

        product.Clear();
        for (int column = 0; column < sizes.Length; column++)
        {
            int width = sizes[column];
            ReadOnlySpan<double> x = vector.Slice(starts[column], width);
            Span<double> y = product.Slice(starts[column], width);
            for (int entry = columnStart[column]; entry < columnStart[column + 1]; entry++)
            {
                int row = rowBlocks[entry];
                ReadOnlySpan<double> block = values.AsSpan(valueStart[entry], sizes[row] * width);
                if (row == column)
                {
                    MultiplyDiagonal(block, width, x, y);
                }
                else
                {
                    MultiplyBoth(
                        block,
                        width,
                        x,
                        y,
                        vector.Slice(starts[row], sizes[row]),
                        product.Slice(starts[row], sizes[row])
                    );
                }
            }
        }
    }

    private static void MultiplyDiagonal(ReadOnlySpan<double> block, int width, ReadOnlySpan<double> x, Span<double> y)
    {
        for (int i = 0; i < width; i++)
        {
            double sum = block[(i * width) + i] * x[i];
            for (int k = 0; k < i; k++)
            {
                double value = block[(i * width) + k];
                sum += value * x[k];
                y[k] += value * x[i];
            }

            y[i] += sum;
        }
    }

    private static void MultiplyBoth(
        ReadOnlySpan<double> block,
        int width,
        ReadOnlySpan<double> columnX,
        Span<double> columnY,
        ReadOnlySpan<double> rowX,
        Span<double> rowY
    )
    {
        for (int i = 0; i < rowX.Length; i++)
        {
            ReadOnlySpan<double> line = block.Slice(i * width, width);
            double sum = 0;
            double factor = rowX[i];
            for (int k = 0; k < line.Length; k++)
            {
                sum += line[k] * columnX[k];
                columnY[k] += line[k] * factor;
            }

            rowY[i] += sum;
        }
    }
}
