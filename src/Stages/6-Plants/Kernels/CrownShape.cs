using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>What a crown's cells tell of its size and form, in metres of the block.</summary>
/// <param name="Cells">Number of cells.</param>
/// <param name="X">Centroid, weighted by height where known.</param>
/// <param name="Y">Centroid.</param>
/// <param name="LongMetres">Longest axis of the ellipse of equal second moments.</param>
/// <param name="ShortMetres">Shortest.</param>
/// <param name="FilledCells">Cells of the crown closed over gaps narrower than about 0.3 m, holes filled.</param>
/// <param name="EdgeCells">Cell edges to what is no crown.</param>
/// <param name="TouchingCells">Cell edges to other crowns.</param>
internal sealed record CrownShape(
    int Cells,
    double X,
    double Y,
    double LongMetres,
    double ShortMetres,
    int FilledCells,
    int EdgeCells,
    int TouchingCells
)
{
    private const double ClosingMetres = 0.15;

    /// <param name="labels">Rows × columns of a small window.</param>
    /// <param name="window">Its place in the block's window.</param>
    /// <param name="label">The crown.</param>
    /// <param name="weight">Height by cell of the window, or empty.</param>
    /// <param name="cell">Metres.</param>
    public static CrownShape Of(
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
        double plainX = 0;
        double plainY = 0;
        int count = 0;
        int edge = 0;
        int touching = 0;
        byte[] mask = new byte[labels.Length];
        for (int at = 0; at < labels.Length; at++)
        {
            if (labels[at] != label)
            {
                continue;
            }

            mask[at] = 1;
            int row = at / window.Columns;
            int column = at % window.Columns;
            double w = weight.IsEmpty ? 1 : Math.Max(0.01, weight[at]);
            sum += w;
            sumX += w * (column + 0.5);
            sumY += w * (row + 0.5);
            plainX += column + 0.5;
            plainY += row + 0.5;
            count++;
            Side(labels, row > 0 ? at - window.Columns : -1, label, ref edge, ref touching);
            Side(labels, row + 1 < window.Rows ? at + window.Columns : -1, label, ref edge, ref touching);
            Side(labels, column > 0 ? at - 1 : -1, label, ref edge, ref touching);
            Side(labels, column + 1 < window.Columns ? at + 1 : -1, label, ref edge, ref touching);
        }

        if (count == 0)
        {
            return new CrownShape(0, 0, 0, 0, 0, 0, 0, 0);
        }

        (double meanX, double meanY) = (plainX / count, plainY / count);
        double xx = 0;
        double yy = 0;
        double xy = 0;
        for (int at = 0; at < mask.Length; at++)
        {
            if (mask[at] != 0)
            {
                double dx = (at % window.Columns) + 0.5 - meanX;
                double dy = (at / window.Columns) + 0.5 - meanY;
                xx += dx * dx;
                yy += dy * dy;
                xy += dx * dy;
            }
        }

        (xx, yy, xy) = ((xx / count) + (1 / 12.0), (yy / count) + (1 / 12.0), xy / count);
        double half = Math.Sqrt((0.25 * (xx - yy) * (xx - yy)) + (xy * xy));
        double mid = (xx + yy) / 2;
        return new CrownShape(
            count,
            (window.Column + (sumX / sum)) * cell,
            (window.Row + (sumY / sum)) * cell,
            4 * Math.Sqrt(mid + half) * cell,
            4 * Math.Sqrt(Math.Max(0, mid - half)) * cell,
            Filled(mask, labels, label, window.Rows, window.Columns, cell),
            edge,
            touching
        );
    }

    private static void Side(ReadOnlySpan<int> labels, int next, int label, ref int edge, ref int touching)
    {
        int other = next < 0 ? 0 : labels[next];
        if (other == 0)
        {
            edge++;
        }
        else if (other != label)
        {
            touching++;
        }
    }

    private static int Filled(byte[] mask, ReadOnlySpan<int> labels, int label, int rows, int columns, double cell)
    {
        int radius = Math.Max(1, (int)Math.Round(ClosingMetres / cell));
        byte[] closed = new byte[mask.Length];
        BinaryMorphology.Close(mask, rows, columns, StructuringElement.Disk(radius), closed);
        byte[] filled = new byte[mask.Length];
        BinaryMorphology.FillHoles(closed, rows, columns, filled);
        int count = 0;
        for (int at = 0; at < filled.Length; at++)
        {
            count += filled[at] != 0 && (labels[at] == 0 || labels[at] == label) ? 1 : 0;
        }

        return count;
    }
}
