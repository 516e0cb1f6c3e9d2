namespace Hillrow.Radiometry;

/// <summary>A bright, even, four-sided field in a picture: what a panel's grey field looks like.</summary>
/// <param name="Row">Of the middle, share of the picture's rows, 0 … 1.</param>
/// <param name="Column">Of the middle, share of the columns.</param>
/// <param name="AreaShare">Of the picture.</param>
/// <param name="Mean">Of its inner blocks.</param>
/// <param name="Unevenness">Standard deviation of inner block means over the mean.</param>
/// <param name="Contrast">Its mean over that of its surroundings.</param>
/// <param name="Fill">Area over that of the four-sided field of the same spread: 1 when it is one.</param>
/// <param name="Score">The likelier a panel, the higher.</param>
/// <param name="InnerBlocks">Indices of the blocks that are wholly inside.</param>
/// <param name="Neighbour">An even field of its own beside it, darker, as a shadow's edge leaves it: its mean over this one's; 0 for none.</param>
public sealed record EvenField(
    double Row,
    double Column,
    double AreaShare,
    double Mean,
    double Unevenness,
    double Contrast,
    double Fill,
    double Score,
    IReadOnlyList<int> InnerBlocks,
    double Neighbour
);

/// <summary>Finds even fields on a grid of block means.</summary>
/// <remarks>
/// Blocks whose pixels scatter little are joined to neighbours of nearly the same mean; fields are kept when large
/// enough, four-sided (area against second moments) and brighter than what lies around them.
/// </remarks>
public static class EvenFields
{
    private const double JoinStep = 0.03;
    private const double LeastFill = 0.85;
    private const double LeastContrast = 1.12;
    private const int RingBlocks = 3;

    /// <param name="means">Rows × columns of block means.</param>
    /// <param name="spreads">Standard deviation of the pixels of each block over its mean.</param>
    /// <param name="rows">Of blocks.</param>
    /// <param name="columns">Of blocks.</param>
    /// <param name="largestSpread">Blocks that scatter more are no part of a field.</param>
    /// <param name="smallestShare">Of the picture that a field fills.</param>
    /// <param name="leastContrast">To its surroundings; a panel's darker fields need none.</param>
    public static IReadOnlyList<EvenField> Find(
        ReadOnlySpan<float> means,
        ReadOnlySpan<float> spreads,
        int rows,
        int columns,
        double largestSpread,
        double smallestShare,
        double leastContrast = LeastContrast
    )
    {
        int[] labels = new int[rows * columns];
        List<Region> regions = [];
        Stack<int> open = new();
        for (int start = 0; start < labels.Length; start++)
        {
            if (labels[start] != 0 || spreads[start] > largestSpread || !(means[start] > 0))
            {
                continue;
            }

            Region region = new(regions.Count + 1);
            labels[start] = region.Label;
            open.Push(start);
            while (open.TryPop(out int block))
            {
                region.Add(block, columns, means[block]);
                (int row, int column) = (block / columns, block % columns);
                for (int side = 0; side < 4; side++)
                {
                    int r =
                        row
                        + (
                            side == 0 ? -1
                            : side == 1 ? 1
                            : 0
                        );
                    int c =
                        column
                        + (
                            side == 2 ? -1
                            : side == 3 ? 1
                            : 0
                        );
                    if (r < 0 || c < 0 || r >= rows || c >= columns)
                    {
                        continue;
                    }

                    int next = (r * columns) + c;
                    if (
                        labels[next] == 0
                        && spreads[next] <= largestSpread
                        && Math.Abs(means[next] - means[block]) < JoinStep * means[block]
                    )
                    {
                        labels[next] = region.Label;
                        open.Push(next);
                    }
                }
            }

            regions.Add(region);
        }

        List<EvenField> fields = [];
        foreach (Region region in regions)
        {
            if (
                region.Blocks.Count >= Math.Max(16, smallestShare * labels.Length)
                && FieldOf(region, regions, labels, means, rows, columns, leastContrast) is { } field
            )
            {
                fields.Add(field);
            }
        }

        return [.. fields.OrderByDescending(field => field.Score)];
    }

    private static EvenField? FieldOf(
        Region region,
        List<Region> regions,
        int[] labels,
        ReadOnlySpan<float> means,
        int rows,
        int columns,
        double leastContrast
    )
    {
        double fill = region.Fill;
        if (fill < LeastFill)
        {
            return null;
        }

        List<int> inner = [];
        Dictionary<int, int> beside = [];
        HashSet<int> ring = [];
        foreach (int block in region.Blocks)
        {
            bool whole = true;
            (int row, int column) = (block / columns, block % columns);
            for (int r = row - RingBlocks; r <= row + RingBlocks; r++)
            {
                for (int c = column - RingBlocks; c <= column + RingBlocks; c++)
                {
                    bool near = Math.Abs(r - row) <= 1 && Math.Abs(c - column) <= 1;
                    bool outside = r < 0 || c < 0 || r >= rows || c >= columns;
                    int other = outside ? 0 : labels[(r * columns) + c];
                    whole &= !near || other == region.Label;
                    if (!outside && other != region.Label && ring.Add((r * columns) + c) && other > 0)
                    {
                        beside[other] = beside.GetValueOrDefault(other) + 1;
                    }
                }
            }

            if (whole)
            {
                inner.Add(block);
            }
        }

        if (inner.Count < 6 || ring.Count == 0)
        {
            return null;
        }

        double around = 0;
        foreach (int block in ring)
        {
            around += means[block] / ring.Count;
        }

        double mean = 0;
        foreach (int block in inner)
        {
            mean += means[block] / inner.Count;
        }

        double squares = 0;
        foreach (int block in inner)
        {
            squares += (means[block] - mean) * (means[block] - mean) / inner.Count;
        }

        double contrast = mean / Math.Max(around, 1e-12);
        if (contrast < leastContrast)
        {
            return null;
        }

        double share = region.Blocks.Count / (double)labels.Length;
        double rowShare = (region.Row + 0.5) / rows;
        double columnShare = (region.Column + 0.5) / columns;
        double off = ((rowShare - 0.5) * (rowShare - 0.5)) + ((columnShare - 0.5) * (columnShare - 0.5));
        double score = Math.Min(contrast, 4) * Math.Min(fill, 1) * Math.Sqrt(share) * Math.Exp(-off / (2 * 0.3 * 0.3));
        return new EvenField(
            rowShare,
            columnShare,
            share,
            mean,
            Math.Sqrt(squares) / mean,
            contrast,
            fill,
            score,
            inner,
            Neighbour(region, regions, beside)
        );
    }

    /// <summary>The largest darker field that touches a side of this one; a frame laid round it has the same middle and is none.</summary>
    private static double Neighbour(Region region, List<Region> regions, Dictionary<int, int> beside)
    {
        double found = 0;
        double largest = 0.12 * region.Blocks.Count;
        foreach (int label in beside.Keys)
        {
            Region other = regions[label - 1];
            double ratio = other.Mean / region.Mean;
            double apart = Math.Sqrt(Square(other.Row - region.Row) + Square(other.Column - region.Column));
            bool touches = beside[label] > 0.5 * Math.Sqrt(region.Blocks.Count);
            bool asAShadow = ratio is > 0.12 and < 0.9 && other.Fill > LeastFill;
            if (touches && asAShadow && other.Blocks.Count > largest && apart > 0.4 * Math.Sqrt(region.Blocks.Count))
            {
                largest = other.Blocks.Count;
                found = ratio;
            }
        }

        return found;
    }

    private static double Square(double value) => value * value;

    private sealed class Region(int label)
    {
        private double rowSum;
        private double columnSum;
        private double rowSquares;
        private double columnSquares;
        private double products;
        private double meanSum;

        public int Label { get; } = label;

        public List<int> Blocks { get; } = [];

        public double Row => rowSum / Blocks.Count;

        public double Column => columnSum / Blocks.Count;

        public double Mean => meanSum / Blocks.Count;

        /// <summary>A parallelogram of area A has second moments with 12 · √determinant = A; a block adds a twelfth.</summary>
        public double Fill
        {
            get
            {
                double n = Blocks.Count;
                double rr = (rowSquares / n) - (Row * Row) + (1.0 / 12);
                double cc = (columnSquares / n) - (Column * Column) + (1.0 / 12);
                double rc = (products / n) - (Row * Column);
                return n / (12 * Math.Sqrt(Math.Max(1e-12, (rr * cc) - (rc * rc))));
            }
        }

        public void Add(int block, int columns, double mean)
        {
            double row = block / columns;
            double column = block % columns;
            Blocks.Add(block);
            rowSum += row;
            columnSum += column;
            rowSquares += row * row;
            columnSquares += column * column;
            products += row * column;
            meanSum += mean;
        }
    }
}
