namespace Hillrow.Reconstruction;

/// <summary>
/// The ground below a canopy: lower envelope by planes fitted to the low cells of ever smaller windows, each along the
/// slope found by the one before.
/// </summary>
/// <remarks>
/// Own arrangement of known parts: block minima, iteratively reweighted planes that trust what lies low (P. Axelsson 2000
/// densifies in the same spirit), largest window first so that closed crowns do not pass as ground. Where no cell near
/// is ground, the plane of the larger window carries on and the place is marked as not seen.
/// </remarks>
public sealed class GroundSurface
{
    private const double BlockMetres = 0.5;
    private const double LowShare = 0.1;
    private const double SeenReachMetres = 1.0;
    private const double SeenBandMetres = 0.2;

    private readonly int rows;
    private readonly int columns;
    private readonly int cellsPerBlock;
    private readonly int blockRows;
    private readonly int blockColumns;
    private readonly double block;
    private readonly float[] low;

    private GroundSurface(
        ReadOnlyMemory<float> surface,
        ReadOnlyMemory<byte> samples,
        int rows,
        int columns,
        double cell
    )
    {
        (this.rows, this.columns) = (rows, columns);
        cellsPerBlock = Math.Max(1, (int)Math.Round(BlockMetres / cell));
        block = cellsPerBlock * cell;
        blockRows = (rows + cellsPerBlock - 1) / cellsPerBlock;
        blockColumns = (columns + cellsPerBlock - 1) / cellsPerBlock;
        low = LowOf(surface.Span, samples.Span);
    }

    /// <param name="surface">Rows × columns heights, NaN unknown.</param>
    /// <param name="samples">0 where a height is interpolated and tells nothing; empty: all are measured.</param>
    /// <param name="rows">Of the grid.</param>
    /// <param name="columns">Of the grid.</param>
    /// <param name="cellMetres">Edge of a cell.</param>
    /// <param name="threads">The result does not depend on it.</param>
    /// <returns>Ground heights (NaN where the surface is), and 1 where ground was seen within a metre.</returns>
    public static (float[] Ground, byte[] Seen) Below(
        ReadOnlyMemory<float> surface,
        ReadOnlyMemory<byte> samples,
        int rows,
        int columns,
        double cellMetres,
        int threads
    )
    {
        (float[] ground, byte[] seen, _) = BelowWithSigma(surface, samples, rows, columns, cellMetres, threads);
        return (ground, seen);
    }

    /// <summary>
    /// The same with the ground's standard error in metres, 0 where there is no surface; stops between rows of blocks
    /// when <paramref name="cancel"/> asks for it.
    /// </summary>
    public static (float[] Ground, byte[] Seen, float[] Sigma) BelowWithSigma(
        ReadOnlyMemory<float> surface,
        ReadOnlyMemory<byte> samples,
        int rows,
        int columns,
        double cellMetres,
        int threads,
        CancellationToken cancel = default
    )
    {
        ParallelOptions options = new() { MaxDegreeOfParallelism = threads, CancellationToken = cancel };
        GroundSurface work = new(surface, samples, rows, columns, cellMetres);
        float[] envelope = work.Envelope(7, 4, options);
        envelope = work.Refined(envelope, 4, 0.9, 0.3, options);
        envelope = work.Refined(envelope, 2.4, 0.45, 0.15, options);
        envelope = work.Refined(envelope, 1.5, 0.25, 0.1, options);
        (float[] ground, byte[] seen) = work.ToCells(envelope, surface.Span);
        return (ground, seen, work.SigmaOfCells(envelope));
    }

    private float[] LowOf(ReadOnlySpan<float> surface, ReadOnlySpan<byte> samples)
    {
        float[] lowest = new float[blockRows * blockColumns];
        float[] cells = new float[cellsPerBlock * cellsPerBlock];
        for (int r = 0; r < blockRows; r++)
        {
            for (int c = 0; c < blockColumns; c++)
            {
                int count = 0;
                for (int row = r * cellsPerBlock; row < Math.Min(rows, (r + 1) * cellsPerBlock); row++)
                {
                    for (int column = c * cellsPerBlock; column < Math.Min(columns, (c + 1) * cellsPerBlock); column++)
                    {
                        int at = (row * columns) + column;
                        if (!float.IsNaN(surface[at]) && (samples.IsEmpty || samples[at] > 0))
                        {
                            cells[count++] = surface[at];
                        }
                    }
                }

                Array.Sort(cells, 0, count);
                lowest[(r * blockColumns) + c] =
                    count * 4 >= cellsPerBlock * cellsPerBlock ? cells[(int)(LowShare * count)] : float.NaN;
            }
        }

        return lowest;
    }

    /// <summary>Lower planes of large windows at a lattice of blocks, bilinear between.</summary>
    private float[] Envelope(double radiusMetres, int spacing, ParallelOptions options)
    {
        int nodeRows = ((blockRows + spacing - 1) / spacing) + 1;
        int nodeColumns = ((blockColumns + spacing - 1) / spacing) + 1;
        float[] nodes = new float[nodeRows * nodeColumns];
        Parallel.For(
            0,
            nodeRows,
            options,
            r =>
            {
                for (int c = 0; c < nodeColumns; c++)
                {
                    nodes[(r * nodeColumns) + c] = LowPlane(r * spacing, c * spacing, radiusMetres, null, 0, 0.15);
                }
            }
        );
        GapFill.Apply(nodes, nodeRows, nodeColumns);
        float[] ground = new float[blockRows * blockColumns];
        for (int r = 0; r < blockRows; r++)
        {
            for (int c = 0; c < blockColumns; c++)
            {
                int node = (r / spacing * nodeColumns) + (c / spacing);
                float v = (float)(r % spacing) / spacing;
                float u = (float)(c % spacing) / spacing;
                float top = nodes[node] + ((nodes[node + 1] - nodes[node]) * u);
                float below =
                    nodes[node + nodeColumns] + ((nodes[node + nodeColumns + 1] - nodes[node + nodeColumns]) * u);
                ground[(r * blockColumns) + c] = top + ((below - top) * v);
            }
        }

        return ground;
    }

    /// <summary>Planes of smaller windows through the blocks near the ground found before.</summary>
    private float[] Refined(
        float[] before,
        double radiusMetres,
        double bandMetres,
        double softMetres,
        ParallelOptions options
    )
    {
        float[] ground = new float[before.Length];
        Parallel.For(
            0,
            blockRows,
            options,
            r =>
            {
                for (int c = 0; c < blockColumns; c++)
                {
                    float found = LowPlane(r, c, radiusMetres, before, bandMetres, softMetres);
                    ground[(r * blockColumns) + c] = float.IsNaN(found) ? before[(r * blockColumns) + c] : found;
                }
            }
        );
        return ground;
    }

    /// <summary>Height at a block of the plane that the low blocks around it lie on; NaN when too few tell it.</summary>
    private float LowPlane(
        int middleRow,
        int middleColumn,
        double radiusMetres,
        float[]? before,
        double bandMetres,
        double softMetres
    )
    {
        int reach = (int)Math.Ceiling(radiusMetres / block);
        List<(double X, double Y, double Z, double Near)> places = [];
        for (int r = Math.Max(0, middleRow - reach); r <= Math.Min(blockRows - 1, middleRow + reach); r++)
        {
            for (int c = Math.Max(0, middleColumn - reach); c <= Math.Min(blockColumns - 1, middleColumn + reach); c++)
            {
                float z = low[(r * blockColumns) + c];
                double x = (c - middleColumn) * block;
                double y = (r - middleRow) * block;
                double distance = ((x * x) + (y * y)) / (radiusMetres * radiusMetres);
                if (
                    !float.IsNaN(z)
                    && distance <= 1
                    && (before is null || Math.Abs(z - before[(r * blockColumns) + c]) <= bandMetres)
                )
                {
                    places.Add((x, y, z, before is null ? 1 : Math.Exp(-2.5 * distance)));
                }
            }
        }

        if (places.Count < (before is null ? 20 : 8))
        {
            return float.NaN;
        }

        double[] plane = [places.Min(place => place.Z), 0, 0];
        double soft = before is null ? 2 : Math.Max(bandMetres, softMetres);
        for (int pass = 0; pass < 10; pass++)
        {
            if (!TryFit(places, pass == 0 ? null : plane, soft, out double[] next))
            {
                return float.NaN;
            }

            plane = next;
            soft = Math.Max(softMetres, soft * 0.65);
        }

        return (float)plane[0];
    }

    /// <summary>Weighted plane: what lies high over the last plane counts little, what lies very low a little less.</summary>
    private static bool TryFit(
        List<(double X, double Y, double Z, double Near)> places,
        double[]? last,
        double soft,
        out double[] plane
    )
    {
        double n = 0;
        double sx = 0;
        double sy = 0;
        double sz = 0;
        double xx = 0;
        double xy = 0;
        double yy = 0;
        double xz = 0;
        double yz = 0;
        foreach ((double x, double y, double z, double near) in places)
        {
            double weight = near;
            if (last is not null)
            {
                double off = (z - last[0] - (last[1] * x) - (last[2] * y)) / soft;
                double scaled = off > 0 ? 1.5 * off : off / 2.5;
                weight *= 1 / (1 + (scaled * scaled * (off > 0 ? scaled * scaled : 1)));
            }

            n += weight;
            sx += weight * x;
            sy += weight * y;
            sz += weight * z;
            xx += weight * x * x;
            xy += weight * x * y;
            yy += weight * y * y;
            xz += weight * x * z;
            yz += weight * y * z;
        }

        xx -= sx * sx / n;
        xy -= sx * sy / n;
        yy -= sy * sy / n;
        xz -= sx * sz / n;
        yz -= sy * sz / n;
        double determinant = (xx * yy) - (xy * xy);
        if (!(n > 1e-6) || !(determinant > 1e-4 * n * n * 0.01))
        {
            plane = [];
            return false;
        }

        double a = ((xz * yy) - (yz * xy)) / determinant;
        double b = ((yz * xx) - (xz * xy)) / determinant;
        plane = [(sz - (a * sx) - (b * sy)) / n, a, b];
        return true;
    }

    private (float[] Ground, byte[] Seen) ToCells(float[] envelope, ReadOnlySpan<float> surface)
    {
        byte[] seenBlock = SeenBlocks(envelope);
        float[] ground = new float[rows * columns];
        byte[] seen = new byte[ground.Length];
        for (int row = 0; row < rows; row++)
        {
            float v = Math.Clamp(((row + 0.5f) / cellsPerBlock) - 0.5f, 0, blockRows - 1);
            int r = Math.Clamp((int)v, 0, Math.Max(0, blockRows - 2));
            v -= r;
            for (int column = 0; column < columns; column++)
            {
                int at = (row * columns) + column;
                if (float.IsNaN(surface[at]))
                {
                    ground[at] = float.NaN;
                    continue;
                }

                float u = Math.Clamp(((column + 0.5f) / cellsPerBlock) - 0.5f, 0, blockColumns - 1);
                int c = Math.Clamp((int)u, 0, Math.Max(0, blockColumns - 2));
                u -= c;
                int from = (r * blockColumns) + c;
                int right = blockColumns > 1 ? 1 : 0;
                int under = blockRows > 1 ? blockColumns : 0;
                float top = envelope[from] + ((envelope[from + right] - envelope[from]) * u);
                float below = envelope[from + under] + ((envelope[from + under + right] - envelope[from + under]) * u);
                ground[at] = top + ((below - top) * v);
                seen[at] = seenBlock[(row / cellsPerBlock * blockColumns) + (column / cellsPerBlock)];
            }
        }

        return (ground, seen);
    }

    private byte[] SeenBlocks(float[] envelope)
    {
        int reach = (int)Math.Ceiling(SeenReachMetres / block);
        byte[] seen = new byte[envelope.Length];
        for (int r = 0; r < blockRows; r++)
        {
            for (int c = 0; c < blockColumns; c++)
            {
                int at = (r * blockColumns) + c;
                if (float.IsNaN(low[at]) || Math.Abs(low[at] - envelope[at]) > SeenBandMetres)
                {
                    continue;
                }

                for (int y = Math.Max(0, r - reach); y <= Math.Min(blockRows - 1, r + reach); y++)
                {
                    for (int x = Math.Max(0, c - reach); x <= Math.Min(blockColumns - 1, c + reach); x++)
                    {
                        seen[(y * blockColumns) + x] = 1;
                    }
                }
            }
        }

        return seen;
    }

    private float[] SigmaOfCells(float[] envelope)
    {
        float[] blocks = GroundSigma.OfBlocks(low, envelope, blockRows, blockColumns, block, SeenBandMetres);
        float[] sigma = new float[rows * columns];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                sigma[(row * columns) + column] = blocks[
                    (row / cellsPerBlock * blockColumns) + (column / cellsPerBlock)
                ];
            }
        }

        return sigma;
    }
}
