using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Sight;

/// <summary>Who sees what: per ground cell how many frames see its centre, how finely, and how steeply at best.</summary>
/// <remarks>
/// All arrays are Rows × Columns of <see cref="Grid"/>, row-major. A frame sees a cell when the cell's centre, on the
/// surface, falls inside the frame and nothing of the surface stands between. Pixel size is measured across the line of
/// sight: distance × the angle of a middle pixel (off-axis pixels of a 50° lens are up to 20 % finer).
/// </remarks>
public sealed class CoverageMap
{
    /// <summary>A cell's centre is lifted this much before looking, so that its own facet does not hide it.</summary>
    private const double LiftMetres = 0.02;

    private CoverageMap(LocalGrid grid)
    {
        Grid = grid;
        int cells = checked((int)grid.CellCount);
        Counts = new ushort[cells];
        FinestPixelMetres = new float[cells];
        CoarsestPixelMetres = new float[cells];
        LeastOffNadirDegrees = new float[cells];
        SteepestFrame = new int[cells];
        Array.Fill(FinestPixelMetres, float.NaN);
        Array.Fill(CoarsestPixelMetres, float.NaN);
        Array.Fill(LeastOffNadirDegrees, float.NaN);
        Array.Fill(SteepestFrame, -1);
    }

    public LocalGrid Grid { get; }

    /// <summary>Frames that see the cell.</summary>
    public ushort[] Counts { get; }

    /// <summary>Smallest pixel on the cell; NaN when unseen.</summary>
    public float[] FinestPixelMetres { get; }

    /// <summary>Largest pixel on the cell; NaN when unseen.</summary>
    public float[] CoarsestPixelMetres { get; }

    /// <summary>Smallest angle between the line of sight and the vertical; NaN when unseen.</summary>
    public float[] LeastOffNadirDegrees { get; }

    /// <summary>Index of the frame with that angle (the lower index on a tie); −1 when unseen.</summary>
    public int[] SteepestFrame { get; }

    /// <summary>Counts, for every cell of a grid, the frames that see it.</summary>
    /// <param name="frames">In the local frame of the surface.</param>
    /// <param name="surface">Terrain or surface.</param>
    /// <param name="grid">Cells to ask for; those without surface stay unseen.</param>
    /// <param name="threads">Stripes worked at the same time; the result does not depend on it.</param>
    /// <param name="reachMetres">Cells farther than this from a frame do not count.</param>
    /// <param name="cancel">Stops the work.</param>
    public static CoverageMap Count(
        IReadOnlyList<SightedFrame> frames,
        HeightField surface,
        LocalGrid grid,
        int threads,
        double reachMetres = 1500,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(frames);
        ArgumentNullException.ThrowIfNull(surface);
        ArgumentNullException.ThrowIfNull(grid);
        CoverageMap map = new(grid);
        ReachBox[] boxes = new ReachBox[frames.Count];
        ParallelOptions options = new() { MaxDegreeOfParallelism = threads, CancellationToken = cancel };
        Parallel.For(0, frames.Count, options, at => boxes[at] = ReachBox.Of(frames[at], surface, reachMetres));

        // Rows, not frames, are shared out: each cell has one writer, so the result is the same for any thread count.
        Parallel.For(0, grid.Rows, options, row => map.CountRow(row, frames, boxes, surface));
        return map;
    }

    private void CountRow(int row, IReadOnlyList<SightedFrame> frames, ReachBox[] boxes, HeightField surface)
    {
        double north = Grid.NorthOf(row);
        float[] heights = new float[Grid.Columns];
        for (int column = 0; column < Grid.Columns; column++)
        {
            heights[column] = (float)surface.HeightAt(Grid.EastOf(column), north);
        }

        for (int frame = 0; frame < frames.Count; frame++)
        {
            ReachBox box = boxes[frame];
            if (box.Empty || north < box.South || north > box.North)
            {
                continue;
            }

            int first = Math.Max(0, (int)Math.Floor((box.West - Grid.WestMetres) / Grid.CellMetres));
            int last = Math.Min(Grid.Columns - 1, (int)Math.Floor((box.East - Grid.WestMetres) / Grid.CellMetres));
            for (int column = first; column <= last; column++)
            {
                if (!float.IsNaN(heights[column]))
                {
                    Vector3D place = new(Grid.EastOf(column), north, heights[column] + LiftMetres);
                    Look((row * Grid.Columns) + column, place, frame, frames[frame], surface);
                }
            }
        }
    }

    private void Look(int cell, Vector3D place, int index, SightedFrame frame, HeightField surface)
    {
        if (
            !frame.Lens.TryProject(frame.Pose.ToCamera(place), out PixelPoint pixel)
            || !frame.Lens.Contains(pixel)
            || !surface.Sees(place, frame.Pose.CentreLocalMetres)
        )
        {
            return;
        }

        Vector3D sight = frame.Pose.CentreLocalMetres - place;
        double distance = sight.Length;
        float pixelMetres = (float)(distance * frame.PixelAngleRadians);
        float offNadir = (float)Angle.FromRadians(Math.Acos(Math.Clamp(sight.Z / distance, -1, 1))).Degrees;
        if (Counts[cell] < ushort.MaxValue)
        {
            Counts[cell]++;
        }

        if (!(FinestPixelMetres[cell] <= pixelMetres))
        {
            FinestPixelMetres[cell] = pixelMetres;
        }

        if (!(CoarsestPixelMetres[cell] >= pixelMetres))
        {
            CoarsestPixelMetres[cell] = pixelMetres;
        }

        if (!(LeastOffNadirDegrees[cell] <= offNadir))
        {
            LeastOffNadirDegrees[cell] = offNadir;
            SteepestFrame[cell] = index;
        }
    }
}
