using System.Runtime.CompilerServices;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>A capture's thumbnail laid onto the terrain from where its receiver said it was; north up.</summary>
/// <remarks>
/// Cells of all pictures of one survey share one lattice: cell (0, 0) has its south-west corner at the frame's origin.
/// Row 0 of a picture is its southernmost.
/// </remarks>
internal sealed class GroundPicture
{
    /// <summary>Places are projected this many cells apart and between them taken linearly: wrong by less than a tenth of a box.</summary>
    private const int NodeCells = 8;

    /// <summary>A camera tipped so far sees ground that is too far off to be compared.</summary>
    private const double MostEdgeHeights = 4;

    private GroundPicture(int west, int south, int rows, int columns, byte[] values)
    {
        West = west;
        South = south;
        Rows = rows;
        Columns = columns;
        Values = values;
        Seen = values.Length - values.AsSpan().Count((byte)0);
    }

    /// <summary>Cell of the lattice at column 0.</summary>
    public int West { get; }

    /// <summary>Cell of the lattice at row 0.</summary>
    public int South { get; }

    public int Rows { get; }

    public int Columns { get; }

    /// <summary>Rows × columns; 0 where the capture does not see.</summary>
    public byte[] Values { get; }

    /// <summary>Cells that the capture sees.</summary>
    public int Seen { get; }

    /// <summary>The same at half the resolution, on the lattice of cells twice as large.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public GroundPicture Halved()
    {
        int west = West >> 1;
        int south = South >> 1;
        int columns = ((West + Columns - 1) >> 1) - west + 1;
        int rows = ((South + Rows - 1) >> 1) - south + 1;
        byte[] half = new byte[rows * columns];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                int r = (2 * (south + row)) - South;
                int c = (2 * (west + column)) - West;
                int a = At(r, c);
                int b = At(r, c + 1);
                int d = At(r + 1, c);
                int e = At(r + 1, c + 1);
                half[(row * columns) + column] =
                    a == 0 || b == 0 || d == 0 || e == 0 ? (byte)0 : (byte)((a + b + d + e + 2) / 4);
            }
        }

        return new GroundPicture(west, south, rows, columns, half);
    }

    public byte At(int row, int column) =>
        row >= 0 && column >= 0 && row < Rows && column < Columns ? Values[(row * Columns) + column] : (byte)0;

    /// <summary>Lays a thumbnail onto the ground; null when the capture sees too little of it.</summary>
    /// <param name="thumbnail">Of the frame.</param>
    /// <param name="frame">Pose and lens as recorded.</param>
    /// <param name="ground">Terrain in the same local frame.</param>
    /// <param name="cellMetres">Of the lattice.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static GroundPicture? Of(FrameThumbnail thumbnail, SightedFrame frame, HeightField ground, double cellMetres)
    {
        Vector3D centre = frame.Pose.CentreLocalMetres;
        double above = centre.Z - ground.HeightAt(centre.X, centre.Y);
        if (!(above > 1) || Footprint.Of(frame, ground, 4, MostEdgeHeights * above) is not { Complete: true } seen)
        {
            return null;
        }

        int west = (int)Math.Floor(seen.OutlineLocalMetres.Min(at => at.X) / cellMetres);
        int south = (int)Math.Floor(seen.OutlineLocalMetres.Min(at => at.Y) / cellMetres);
        int columns = (int)Math.Ceiling(seen.OutlineLocalMetres.Max(at => at.X) / cellMetres) - west + 1;
        int rows = (int)Math.Ceiling(seen.OutlineLocalMetres.Max(at => at.Y) / cellMetres) - south + 1;
        int nodesAcross = ((columns - 1) / NodeCells) + 2;
        int nodesDown = ((rows - 1) / NodeCells) + 2;
        PixelPoint?[] nodes = new PixelPoint?[nodesAcross * nodesDown];
        for (int node = 0; node < nodes.Length; node++)
        {
            double east = (west + (node % nodesAcross * NodeCells) + 0.5) * cellMetres;
            double north = (south + (node / nodesAcross * NodeCells) + 0.5) * cellMetres;
            double height = ground.HeightAt(east, north);
            nodes[node] =
                double.IsFinite(height)
                && frame.Lens.TryProject(frame.Pose.ToCamera(new Vector3D(east, north, height)), out PixelPoint pixel)
                    ? pixel
                    : null;
        }

        byte[] values = new byte[rows * columns];
        for (int row = 0; row < rows; row++)
        {
            double v = row % NodeCells / (double)NodeCells;
            for (int column = 0; column < columns; column++)
            {
                int node = (row / NodeCells * nodesAcross) + (column / NodeCells);
                if (
                    nodes[node] is { } a
                    && nodes[node + 1] is { } b
                    && nodes[node + nodesAcross] is { } c
                    && nodes[node + nodesAcross + 1] is { } d
                )
                {
                    double u = column % NodeCells / (double)NodeCells;
                    values[(row * columns) + column] = thumbnail.At(
                        new PixelPoint(
                            Between(a.Column, b.Column, c.Column, d.Column, u, v),
                            Between(a.Row, b.Row, c.Row, d.Row, u, v)
                        )
                    );
                }
            }
        }

        return new GroundPicture(west, south, rows, columns, values);
    }

    private static double Between(double a, double b, double c, double d, double u, double v) =>
        ((1 - v) * (a + ((b - a) * u))) + (v * (c + ((d - c) * u)));
}
