using System.Collections.Concurrent;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Makes the surface of a placed survey.</summary>
internal static class SurveySurface
{
    /// <summary>Cells farther than this from a measured height stay unknown.</summary>
    private const double FillReachMetres = 2.5;

    /// <summary>Standard error of a height filled from around: leaves stand a hand's breadth up and down …</summary>
    private const double FilledSigmaMetres = 0.15;

    /// <summary>… and crowns rise steeply.</summary>
    private const double FilledSigmaPerMetre = 0.4;

    /// <summary>Captures measured before their heights are laid onto the map, in order.</summary>
    private const int CapturesPerBatch = 8;

    /// <param name="input">Captures and frames.</param>
    /// <param name="settings">How.</param>
    /// <param name="frame">Of the poses.</param>
    /// <param name="poses">By capture.</param>
    /// <param name="placed">By capture.</param>
    /// <param name="lens">Of the reference band, solved.</param>
    /// <param name="pairs">Overlapping pairs.</param>
    /// <param name="ground">Smooth surface through the tie points.</param>
    /// <param name="grid">Of the result.</param>
    /// <param name="done">Told after each capture.</param>
    /// <param name="cancel">Stops between captures.</param>
    public static (float[] Heights, float[] Sigmas, byte[] Samples) Measure(
        ReconstructionInput input,
        ReconstructionSettings settings,
        LocalFrame frame,
        IReadOnlyList<CameraPose> poses,
        bool[] placed,
        Lens lens,
        IReadOnlyList<CapturePair> pairs,
        HeightField ground,
        GridGeometry grid,
        Action<int> done,
        CancellationToken cancel
    )
    {
        ParallelOptions options = new() { MaxDegreeOfParallelism = settings.Threads, CancellationToken = cancel };
        ViewStore views = new(input, poses, lens);
        Vector3D[] centres = [.. poses.Select(pose => pose.CentreLocalMetres)];
        double[] above = [.. centres.Select(centre => HeightAbove(ground, centre))];
        bool[] usable = [.. placed.Select((entry, index) => entry && views.Has(index))];
        int[][] partners =
        [
            .. centres.Select(
                (_, index) =>
                    usable[index]
                        ? PartnerChoice.Choose(index, pairs, centres, above, usable, settings.SurfacePartners)
                        : []
            ),
        ];
        int[] measured = CaptureChoice.Choose(
            [.. poses.Select(pose => new SightedFrame(pose, lens))],
            [.. Enumerable.Range(0, poses.Count).Where(index => partners[index].Length > 0)],
            ground
        );
        MapLattice map = new(grid, frame, frame.Origin.HeightAboveEllipsoidMetres);
        CellHeights cells = new(grid);
        ConcurrentBag<SweepBuffers> spare = [];
        foreach (int[] batch in measured.Chunk(CapturesPerBatch))
        {
            views.Bring([.. batch.Concat(batch.SelectMany(index => partners[index])).Distinct()], options);
            CaptureCells[] found = new CaptureCells[batch.Length];
            Parallel.For(
                0,
                batch.Length,
                options,
                at =>
                {
                    if (!spare.TryTake(out SweepBuffers? buffers))
                    {
                        buffers = new SweepBuffers();
                    }

                    LevelView view = views[batch[at]];
                    SweepPlane plane = SweepPlane.Under(view, ground);
                    LevelView[] others = [.. partners[batch[at]].Select(partner => views[partner])];
                    float[] raised = new CaptureHeights(buffers).Of(view, others, plane, ground, settings);
                    found[at] = CaptureCells.Of(view, plane, raised, map, grid, buffers);
                    spare.Add(buffers);
                    done(batch[at]);
                }
            );
            foreach (CaptureCells entry in found)
            {
                cells.Add(entry);
            }
        }

        views.Clear();
        return cells.Fuse(settings.Threads, cancel);
    }

    /// <summary>Fills holes from around, as far as <see cref="FillReachMetres"/>; their sample count stays 0.</summary>
    public static void Fill(float[] heights, float[] sigmas, byte[] samples, GridGeometry grid)
    {
        float[] filled = [.. heights];
        GapFill.Apply(filled, grid.Rows, grid.Columns);
        int reach = Math.Max(1, (int)(FillReachMetres / grid.CellSizeMetres));
        int[] near = GridSteps.ToNearest(at => samples[at] > 0, grid.Rows, grid.Columns);
        for (int at = 0; at < heights.Length; at++)
        {
            if (samples[at] == 0 && near[at] <= reach)
            {
                heights[at] = filled[at];
                sigmas[at] = (float)(FilledSigmaMetres + (FilledSigmaPerMetre * near[at] * grid.CellSizeMetres));
            }
        }
    }

    private static double HeightAbove(HeightField ground, Vector3D centre)
    {
        double below = ground.HeightAt(centre.X, centre.Y);
        return double.IsNaN(below) ? centre.Z - ground.LowestMetres : Math.Max(1, centre.Z - below);
    }
}
