using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>One capture's heights on the cells of the map that it sees.</summary>
/// <param name="Row">First row of the map.</param>
/// <param name="Column">First column of the map.</param>
/// <param name="Rows">Rows covered.</param>
/// <param name="Columns">Columns covered.</param>
/// <param name="Heights">Rows × Columns ellipsoidal heights, NaN where none.</param>
internal sealed record CaptureCells(int Row, int Column, int Rows, int Columns, float[] Heights)
{
    private const int NodePixels = 16;

    /// <summary>Most pixels kept of a cell.</summary>
    private const int MostPixels = 8;

    /// <summary>Cells whose pixels are kept at the same time: 64 megabytes a thread.</summary>
    private const int MostCellsAtOnce = 2_000_000;

    /// <param name="view">The capture.</param>
    /// <param name="plane">That heights are measured from.</param>
    /// <param name="raised">Heights over the plane of the view's pixels, NaN unknown.</param>
    /// <param name="map">Places → map.</param>
    /// <param name="grid">The map.</param>
    /// <param name="wellSeen">Pixels that see the plane otherwise are left out.</param>
    /// <param name="buffers">For scratch.</param>
    public static CaptureCells Of(
        LevelView view,
        SweepPlane plane,
        float[] raised,
        MapLattice map,
        GridGeometry grid,
        WellSeen wellSeen,
        SweepBuffers buffers
    )
    {
        int nodeRows = (view.Rows / NodePixels) + 2;
        int nodeColumns = (view.Columns / NodePixels) + 2;
        Node[] nodes = Nodes(view, plane, map, wellSeen, nodeRows, nodeColumns);
        float highest = 0;
        float lowest = 0;
        foreach (float value in raised)
        {
            highest = Math.Max(highest, float.IsNaN(value) ? 0 : value);
            lowest = Math.Min(lowest, float.IsNaN(value) ? 0 : value);
        }

        double top = double.PositiveInfinity;
        double left = double.PositiveInfinity;
        double bottom = double.NegativeInfinity;
        double right = double.NegativeInfinity;
        foreach (Node node in nodes.Where(node => node.Seen))
        {
            top = Math.Min(top, Math.Min(node.RowAt(highest), node.RowAt(lowest)));
            bottom = Math.Max(bottom, Math.Max(node.RowAt(highest), node.RowAt(lowest)));
            left = Math.Min(left, Math.Min(node.ColumnAt(highest), node.ColumnAt(lowest)));
            right = Math.Max(right, Math.Max(node.ColumnAt(highest), node.ColumnAt(lowest)));
        }

        if (!(bottom >= top))
        {
            return new CaptureCells(0, 0, 0, 0, []);
        }

        int firstRow = (int)Math.Clamp(Math.Floor(top), 0, grid.Rows);
        int firstColumn = (int)Math.Clamp(Math.Floor(left), 0, grid.Columns);
        int rows = (int)Math.Clamp(Math.Ceiling(bottom), firstRow, grid.Rows) - firstRow;
        int columns = (int)Math.Clamp(Math.Ceiling(right), firstColumn, grid.Columns) - firstColumn;
        float[] heights = new float[rows * columns];

        // A slanted picture reaches over much of the map: strip by strip, so that pixels kept stay few.
        int strip = Math.Max(1, MostCellsAtOnce / Math.Max(1, columns));
        for (int row = 0; row < rows; row += strip)
        {
            int lines = Math.Min(strip, rows - row);
            float[] kept = buffers.CellPixels(lines * columns * MostPixels);
            byte[] counts = new byte[lines * columns];
            Collect(view, raised, nodes, nodeColumns, firstRow + row, firstColumn, lines, columns, kept, counts);
            Middle(kept, counts, heights.AsSpan(row * columns, lines * columns));
        }

        return new CaptureCells(firstRow, firstColumn, rows, columns, heights);
    }

    /// <summary>The median of each cell's pixels; NaN without.</summary>
    private static void Middle(float[] kept, byte[] counts, Span<float> heights)
    {
        for (int at = 0; at < heights.Length; at++)
        {
            heights[at] = float.NaN;
            if (counts[at] > 0)
            {
                Span<float> own = kept.AsSpan(at * MostPixels, counts[at]);
                own.Sort();
                heights[at] = own[own.Length / 2];
            }
        }
    }

    private static Node[] Nodes(
        LevelView view,
        SweepPlane plane,
        MapLattice map,
        WellSeen wellSeen,
        int nodeRows,
        int nodeColumns
    )
    {
        Node[] nodes = new Node[nodeRows * nodeColumns];
        Vector3D centre = view.Pose.CentreLocalMetres;
        for (int r = 0; r < nodeRows; r++)
        {
            for (int c = 0; c < nodeColumns; c++)
            {
                Vector3D ray = view.FallingRay(c * NodePixels, r * NodePixels);
                Vector3D place = plane.Meet(centre, ray, 0);
                if (!view.Falls(c * NodePixels, r * NodePixels) || !wellSeen.Holds(centre, place))
                {
                    continue;
                }

                (double row, double column, double height) = map.ToMap(place);
                (double row1, double column1, double height1) = map.ToMap(plane.Meet(centre, ray, 1));
                nodes[(r * nodeColumns) + c] = new Node(
                    true,
                    row,
                    column,
                    height,
                    row1 - row,
                    column1 - column,
                    height1 - height
                );
            }
        }

        return nodes;
    }

    private static void Collect(
        LevelView view,
        float[] raised,
        Node[] nodes,
        int nodeColumns,
        int firstRow,
        int firstColumn,
        int rows,
        int columns,
        float[] kept,
        byte[] counts
    )
    {
        unchecked
        {
            // Cells outside the window are left out before anything is written.
            for (int row = 0; row < view.Rows; row++)
            {
                double v = (row + 0.5) / NodePixels;
                int r = (int)v;
                v -= r;
                for (int c = 0; c * NodePixels < view.Columns; c++)
                {
                    int at = (r * nodeColumns) + c;
                    if (
                        !nodes[at].Seen
                        || !nodes[at + 1].Seen
                        || !nodes[at + nodeColumns].Seen
                        || !nodes[at + nodeColumns + 1].Seen
                    )
                    {
                        continue;
                    }

                    Node left = Node.Between(nodes[at], nodes[at + nodeColumns], v);
                    Node right = Node.Between(nodes[at + 1], nodes[at + nodeColumns + 1], v);
                    int end = Math.Min(view.Columns, (c + 1) * NodePixels);
                    for (int column = c * NodePixels; column < end; column++)
                    {
                        float value = raised[(row * view.Columns) + column];
                        if (float.IsNaN(value))
                        {
                            continue;
                        }

                        double u = (column + 0.5 - (c * NodePixels)) / NodePixels;
                        double mapRow = left.RowAt(value) + (u * (right.RowAt(value) - left.RowAt(value)));
                        double mapColumn = left.ColumnAt(value) + (u * (right.ColumnAt(value) - left.ColumnAt(value)));
                        int inRow = (int)Math.Floor(mapRow) - firstRow;
                        int inColumn = (int)Math.Floor(mapColumn) - firstColumn;
                        if ((uint)inRow < (uint)rows && (uint)inColumn < (uint)columns)
                        {
                            int cell = (inRow * columns) + inColumn;
                            if (counts[cell] < MostPixels)
                            {
                                kept[(cell * MostPixels) + counts[cell]++] = (float)(
                                    left.HeightAt(value) + (u * (right.HeightAt(value) - left.HeightAt(value)))
                                );
                            }
                        }
                    }
                }
            }
        }
    }

    /// <summary>Whether and where a line of sight meets the plane on the map, and how that moves for each metre higher.</summary>
    private readonly record struct Node(
        bool Seen,
        double Row,
        double Column,
        double Height,
        double RowPerMetre,
        double ColumnPerMetre,
        double HeightPerMetre
    )
    {
        public double RowAt(double raised) => Row + (raised * RowPerMetre);

        public double ColumnAt(double raised) => Column + (raised * ColumnPerMetre);

        public double HeightAt(double raised) => Height + (raised * HeightPerMetre);

        public static Node Between(Node a, Node b, double part) =>
            new(
                a.Seen && b.Seen,
                a.Row + (part * (b.Row - a.Row)),
                a.Column + (part * (b.Column - a.Column)),
                a.Height + (part * (b.Height - a.Height)),
                a.RowPerMetre + (part * (b.RowPerMetre - a.RowPerMetre)),
                a.ColumnPerMetre + (part * (b.ColumnPerMetre - a.ColumnPerMetre)),
                a.HeightPerMetre + (part * (b.HeightPerMetre - a.HeightPerMetre))
            );
    }
}
