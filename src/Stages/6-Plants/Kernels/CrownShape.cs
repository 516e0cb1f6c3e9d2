using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>What a crown's cells tell of its size and form, in metres of the block. The crown is its closed outline; what shows through it is no foliage.</summary>
/// <param name="Cover">Mean cover of the outline by leaves, 0 … 1: what shows between the leaves of a cell counts by its share.</param>
/// <param name="Cells">Cells of the outline that closes the foliage over gaps narrower than about 0.3 m, holes filled.</param>
/// <param name="X">Centroid of the foliage, weighted by height where known.</param>
/// <param name="Y">Centroid.</param>
/// <param name="LongMetres">Longest axis of the ellipse of equal second moments.</param>
/// <param name="ShortMetres">Shortest.</param>
/// <param name="EdgeCells">Cell edges of the outline to what is no crown.</param>
/// <param name="TouchingCells">Cell edges of the outline to other crowns.</param>
/// <param name="Outline">1 inside the outline; cells of the window.</param>
internal sealed record CrownShape(
    double Cover,
    int Cells,
    double X,
    double Y,
    double LongMetres,
    double ShortMetres,
    int EdgeCells,
    int TouchingCells,
    byte[] Outline
)
{
    /// <summary>Gaps in the foliage up to twice this wide are closed.</summary>
    public const double ClosingMetres = 0.15;

    /// <param name="foliage">1 where the crown's leaves are seen; rows × columns of a small window.</param>
    /// <param name="cover">Share of each cell that is leaf, 0 … 1.</param>
    /// <param name="labels">Crowns of the same cells, the crown's own fringe without leaves included.</param>
    /// <param name="window">Its place in the block's window.</param>
    /// <param name="label">The crown.</param>
    /// <param name="weight">Height by cell of the window, or empty.</param>
    /// <param name="cell">Metres.</param>
    public static CrownShape Of(
        ReadOnlySpan<byte> foliage,
        ReadOnlySpan<float> cover,
        ReadOnlySpan<int> labels,
        RasterWindow window,
        int label,
        ReadOnlySpan<float> weight,
        double cell
    )
    {
        double sum = 0;
        double sumX = 0;
        double sumY = 0;
        int leaves = 0;
        for (int at = 0; at < foliage.Length; at++)
        {
            if (foliage[at] == 0)
            {
                continue;
            }

            double w = weight.IsEmpty || !(weight[at] > 0.01f) ? 0.01 : weight[at];
            sum += w;
            sumX += w * ((at % window.Columns) + 0.5);
            sumY += w * ((at / window.Columns) + 0.5);
            leaves++;
        }

        if (leaves == 0)
        {
            return new CrownShape(0, 0, 0, 0, 0, 0, 0, 0, []);
        }

        byte[] outline = Closed(foliage, labels, label, window.Rows, window.Columns, cell);
        (int count, double longest, double shortest) = Axes(outline, window.Columns);
        (int edge, int touching) = Edges(outline, labels, window, label);
        return new CrownShape(
            MeanOf(cover, outline),
            count,
            (window.Column + (sumX / sum)) * cell,
            (window.Row + (sumY / sum)) * cell,
            longest * cell,
            shortest * cell,
            edge,
            touching,
            outline
        );
    }

    /// <summary>Whether a cell of the window and all eight about it lie inside the outline: its light is no mixture with the crown's surroundings.</summary>
    public bool IsInner(int at, int columns)
    {
        int rows = Outline.Length / columns;
        (int row, int column) = (at / columns, at % columns);
        bool inner = row > 0 && column > 0 && row < rows - 1 && column < columns - 1;
        for (int r = -1; inner && r <= 1; r++)
        {
            for (int c = -1; inner && c <= 1; c++)
            {
                inner = Outline[at + (r * columns) + c] != 0;
            }
        }

        return inner;
    }

    private static double MeanOf(ReadOnlySpan<float> cover, ReadOnlySpan<byte> outline)
    {
        double sum = 0;
        int count = 0;
        for (int at = 0; at < outline.Length; at++)
        {
            sum += outline[at] * cover[at];
            count += outline[at];
        }

        return sum / count;
    }

    private static (int Count, double Long, double Short) Axes(ReadOnlySpan<byte> outline, int columns)
    {
        int count = 0;
        double sumX = 0;
        double sumY = 0;
        for (int at = 0; at < outline.Length; at++)
        {
            count += outline[at];
            sumX += outline[at] * ((at % columns) + 0.5);
            sumY += outline[at] * ((at / columns) + 0.5);
        }

        (double meanX, double meanY) = (sumX / count, sumY / count);
        double xx = 0;
        double yy = 0;
        double xy = 0;
        for (int at = 0; at < outline.Length; at++)
        {
            if (outline[at] != 0)
            {
                double dx = (at % columns) + 0.5 - meanX;
                double dy = (at / columns) + 0.5 - meanY;
                xx += dx * dx;
                yy += dy * dy;
                xy += dx * dy;
            }
        }

        (xx, yy, xy) = ((xx / count) + (1 / 12.0), (yy / count) + (1 / 12.0), xy / count);
        double half = Math.Sqrt((0.25 * (xx - yy) * (xx - yy)) + (xy * xy));
        double mid = (xx + yy) / 2;
        return (count, 4 * Math.Sqrt(mid + half), 4 * Math.Sqrt(Math.Max(0, mid - half)));
    }

    private static (int Edge, int Touching) Edges(
        ReadOnlySpan<byte> outline,
        ReadOnlySpan<int> labels,
        RasterWindow window,
        int label
    )
    {
        int edge = 0;
        int touching = 0;
        for (int at = 0; at < outline.Length; at++)
        {
            if (outline[at] == 0)
            {
                continue;
            }

            int row = at / window.Columns;
            int column = at % window.Columns;
            Side(outline, labels, row > 0 ? at - window.Columns : -1, label, ref edge, ref touching);
            Side(outline, labels, row + 1 < window.Rows ? at + window.Columns : -1, label, ref edge, ref touching);
            Side(outline, labels, column > 0 ? at - 1 : -1, label, ref edge, ref touching);
            Side(outline, labels, column + 1 < window.Columns ? at + 1 : -1, label, ref edge, ref touching);
        }

        return (edge, touching);
    }

    private static void Side(
        ReadOnlySpan<byte> outline,
        ReadOnlySpan<int> labels,
        int next,
        int label,
        ref int edge,
        ref int touching
    )
    {
        if (next >= 0 && outline[next] != 0)
        {
            return;
        }

        bool other = next >= 0 && labels[next] != 0 && labels[next] != label;
        edge += other ? 0 : 1;
        touching += other ? 1 : 0;
    }

    private static byte[] Closed(
        ReadOnlySpan<byte> foliage,
        ReadOnlySpan<int> labels,
        int label,
        int rows,
        int columns,
        double cell
    )
    {
        int radius = Math.Max(1, (int)Math.Round(ClosingMetres / cell));
        byte[] closed = new byte[foliage.Length];
        BinaryMorphology.Close(foliage, rows, columns, StructuringElement.Disk(radius), closed);
        byte[] filled = new byte[foliage.Length];
        BinaryMorphology.FillHoles(closed, rows, columns, filled);
        for (int at = 0; at < filled.Length; at++)
        {
            filled[at] = (byte)(filled[at] != 0 && (labels[at] == 0 || labels[at] == label) ? 1 : 0);
        }

        return filled;
    }
}
