using Hillrow.Imaging;
using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>Regions of cells that too few captures see, with their outlines.</summary>
internal static class CoverageHoles
{
    /// <summary>Regions whose widest inner circle is wider than asked; area, width, outer ring and cells of each.</summary>
    public static IReadOnlyList<(double Area, double Width, IReadOnlyList<LocalPlace> Ring, int FirstCell)> Find(
        byte[] mask,
        LocalGrid grid,
        double leastWidthMetres
    )
    {
        // A border of cells that are out: the transform does not count the picture's edge as out.
        int rows = grid.Rows + 2;
        int columns = grid.Columns + 2;
        byte[] wide = new byte[rows * columns];
        for (int row = 0; row < grid.Rows; row++)
        {
            mask.AsSpan(row * grid.Columns, grid.Columns).CopyTo(wide.AsSpan(((row + 1) * columns) + 1));
        }

        int[] labels = new int[wide.Length];
        int count = Labelling.Label(wide, rows, columns, Connectivity.Four, labels);
        float[] distance = new float[wide.Length];
        DistanceTransform.Euclidean(wide, rows, columns, distance);
        float[] widest = new float[count + 1];
        int[] cells = new int[count + 1];
        int[] first = new int[count + 1];
        for (int at = 0; at < wide.Length; at++)
        {
            int label = labels[at];
            if (label == 0)
            {
                continue;
            }

            first[label] = cells[label] == 0 ? at : first[label];
            cells[label]++;
            widest[label] = Math.Max(widest[label], distance[at]);
        }

        List<(double, double, IReadOnlyList<LocalPlace>, int)> holes = [];
        for (int label = 1; label <= count; label++)
        {
            // From the middle cell's centre to the nearest centre that is out: half a cell farther than the edge.
            double width = 2 * (widest[label] - 0.5) * grid.CellMetres;
            if (width > leastWidthMetres)
            {
                int row = (first[label] / columns) - 1;
                int column = (first[label] % columns) - 1;
                holes.Add(
                    (
                        cells[label] * grid.CellMetres * grid.CellMetres,
                        width,
                        Ring(labels, label, columns, first[label], grid),
                        (row * grid.Columns) + column
                    )
                );
            }
        }

        return holes;
    }

    /// <summary>Walks along the region's outer edge with the region to the left, corner to corner; counter-clockwise on the map.</summary>
    private static List<LocalPlace> Ring(int[] labels, int label, int columns, int first, LocalGrid grid)
    {
        // Corners are counted as cells' upper left; headings: 0 south, 1 east, 2 north, 3 west.
        bool In(int row, int column) =>
            row >= 0
            && column >= 0
            && column < columns
            && row * columns + column < labels.Length
            && labels[(row * columns) + column] == label;
        int startRow = first / columns;
        int startColumn = first % columns;
        (int row, int column, int heading) = (startRow, startColumn, 0);
        List<LocalPlace> ring = [];
        int before = -1;
        do
        {
            if (heading != before)
            {
                ring.Add(
                    new LocalPlace(
                        grid.WestMetres + ((column - 1) * grid.CellMetres),
                        grid.NorthMetres - ((row - 1) * grid.CellMetres)
                    )
                );
                before = heading;
            }

            (row, column) = heading switch
            {
                0 => (row + 1, column),
                1 => (row, column + 1),
                2 => (row - 1, column),
                _ => (row, column - 1),
            };
            // Of the two cells ahead, on the left and on the right of the way.
            (bool left, bool right) = heading switch
            {
                0 => (In(row, column), In(row, column - 1)),
                1 => (In(row - 1, column), In(row, column)),
                2 => (In(row - 1, column - 1), In(row - 1, column)),
                _ => (In(row, column - 1), In(row - 1, column - 1)),
            };
            // Regions join by edges only: where both a left turn and going on fit, the left keeps to this region.
            heading =
                !left ? (heading + 1) % 4
                : right ? (heading + 3) % 4
                : heading;
        } while (row != startRow || column != startColumn || heading != 0);

        ring.Add(ring[0]);
        return ring;
    }
}
