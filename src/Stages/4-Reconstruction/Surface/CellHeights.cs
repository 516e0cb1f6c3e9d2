using Hillrow.Earth;

namespace Hillrow.Reconstruction;

/// <summary>The heights that captures tell of each cell of the map, and the surface they agree on.</summary>
/// <remarks>
/// Kept in blocks from the first capture that sees them to the last that may, each height in two bytes against the
/// block's first: a strip of the survey, never all of it. Captures must be added in order, so that results do not depend
/// on threads.
/// </remarks>
internal sealed class CellHeights
{
    private const int BlockCells = 32;
    private const int Slots = 16;
    private const float UnitMetres = 0.004f;

    /// <summary>Samples within this distance belong to one surface: about two standard errors.</summary>
    private const float SurfaceThicknessMetres = 0.35f;

    /// <summary>Share of a cell's captures that must agree: a crown's top is seen by few, chance matches by fewer.</summary>
    private const float LeastShare = 1 / 3f;

    /// <summary>Scatter that a single pair has at the least.</summary>
    private const float LeastScatterMetres = 0.05f;

    /// <summary>Share of a height's variance that captures have in common: they look at the same leaves, often through the same partner.</summary>
    private const float CommonShare = 0.25f;

    private readonly GridGeometry grid;
    private readonly int across;
    private readonly Block?[] blocks;
    private readonly List<int>[] settledBy;
    private readonly float[] heights;
    private readonly float[] sigmas;
    private readonly byte[] samples;
    private int added;

    /// <param name="grid">The map.</param>
    /// <param name="reaches">Of each capture that will be added, in order: what it may see of the map, rows and columns.</param>
    public CellHeights(GridGeometry grid, IReadOnlyList<CellRange> reaches)
    {
        this.grid = grid;
        across = (grid.Columns + BlockCells - 1) / BlockCells;
        blocks = new Block?[(grid.Rows + BlockCells - 1) / BlockCells * across];
        heights = new float[grid.CellCount];
        sigmas = new float[grid.CellCount];
        samples = new byte[grid.CellCount];
        Array.Fill(heights, float.NaN);
        Array.Fill(sigmas, float.NaN);
        int[] last = new int[blocks.Length];
        for (int turn = 0; turn < reaches.Count; turn++)
        {
            CellRange reach = reaches[turn];
            for (int row = reach.FirstRow / BlockCells; row * BlockCells < reach.EndRow; row++)
            {
                for (int column = reach.FirstColumn / BlockCells; column * BlockCells < reach.EndColumn; column++)
                {
                    last[(row * across) + column] = turn;
                }
            }
        }

        settledBy = [.. reaches.Select(_ => new List<int>())];
        for (int block = 0; block < last.Length && settledBy.Length > 0; block++)
        {
            settledBy[last[block]].Add(block);
        }
    }

    public void Add(CaptureCells cells)
    {
        for (int row = 0; row < cells.Rows; row++)
        {
            for (int column = 0; column < cells.Columns; column++)
            {
                float height = cells.Heights[(row * cells.Columns) + column];
                if (!float.IsNaN(height))
                {
                    Add(cells.Row + row, cells.Column + column, height);
                }
            }
        }

        foreach (int block in settledBy[added++])
        {
            Settle(block);
        }
    }

    /// <returns>Ellipsoidal heights (NaN: none), their standard errors in metres, agreeing captures of each cell.</returns>
    public (float[] Heights, float[] Sigmas, byte[] Samples) Fused()
    {
        for (int block = 0; block < blocks.Length; block++)
        {
            Settle(block);
        }

        return (heights, sigmas, samples);
    }

    /// <summary>No capture sees the block any more; one that does all the same comes too late.</summary>
    private void Settle(int index)
    {
        if (blocks[index] is { } block && block != Block.Settled)
        {
            Fuse(block, index / across * BlockCells, index % across * BlockCells);
        }

        blocks[index] = Block.Settled;
    }

    private void Fuse(Block block, int firstRow, int firstColumn)
    {
        Span<float> values = stackalloc float[Slots];
        for (int cell = 0; cell < BlockCells * BlockCells; cell++)
        {
            int count = block.Counts[cell];
            if (count < 2)
            {
                continue;
            }

            for (int slot = 0; slot < count; slot++)
            {
                values[slot] = block.Base + (block.Values[(cell * Slots) + slot] * UnitMetres);
            }

            int at = ((firstRow + (cell / BlockCells)) * grid.Columns) + firstColumn + (cell % BlockCells);
            (heights[at], sigmas[at], samples[at]) = HighestSurface(values[..count]);
        }
    }

    /// <summary>Middle of the highest cluster that holds a fair share of the heights, at least two; else unknown.</summary>
    private static (float Height, float Sigma, byte Count) HighestSurface(Span<float> values)
    {
        values.Sort();
        int least = Math.Max(2, (int)Math.Ceiling(values.Length * LeastShare));
        for (int end = values.Length; end >= least; end--)
        {
            int start = end - 1;
            while (start > 0 && values[end - 1] - values[start - 1] <= SurfaceThicknessMetres)
            {
                start--;
            }

            if (end - start >= least)
            {
                Span<float> cluster = values[start..end];
                float median =
                    (cluster.Length & 1) == 1
                        ? cluster[cluster.Length / 2]
                        : (cluster[(cluster.Length / 2) - 1] + cluster[cluster.Length / 2]) / 2;
                return (median, SigmaOf(cluster), (byte)cluster.Length);
            }
        }

        return (float.NaN, float.NaN, 0);
    }

    /// <summary>Of the cluster's middle: its own scatter, part of which all captures have in common.</summary>
    private static float SigmaOf(ReadOnlySpan<float> cluster)
    {
        float mean = 0;
        foreach (float value in cluster)
        {
            mean += value / cluster.Length;
        }

        float squares = 0;
        foreach (float value in cluster)
        {
            squares += (value - mean) * (value - mean);
        }

        // One more freedom is taken for granted: few that agree by chance are not sharper than a level.
        float variance = (squares + (LeastScatterMetres * LeastScatterMetres)) / cluster.Length;
        return MathF.Sqrt(variance * ((1f / cluster.Length) + CommonShare));
    }

    private void Add(int row, int column, float height)
    {
        ref Block? block = ref blocks[(row / BlockCells * across) + (column / BlockCells)];
        if (block == Block.Settled)
        {
            return;
        }

        block ??= new Block(height - (short.MaxValue * UnitMetres), BlockCells * BlockCells);
        int cell = (row % BlockCells * BlockCells) + (column % BlockCells);
        int count = block.Counts[cell];
        float stored = (height - block.Base) / UnitMetres;
        if (count < Slots && stored is >= 0 and <= ushort.MaxValue)
        {
            block.Values[(cell * Slots) + count] = (ushort)(stored + 0.5f);
            block.Counts[cell]++;
        }
    }

    private sealed class Block(float lowest, int cells)
    {
        /// <summary>In the place of blocks whose heights are fused.</summary>
        public static Block Settled { get; } = new(0, 0);

        public float Base => lowest;

        public ushort[] Values { get; } = new ushort[cells * Slots];

        public byte[] Counts { get; } = new byte[cells];
    }
}

/// <summary>Some neighbouring rows and columns of a map; none when an end is not beyond its first.</summary>
internal readonly record struct CellRange(int FirstRow, int EndRow, int FirstColumn, int EndColumn);
