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

    /// <summary>Beyond where the frame's edge meets the smooth surface: what stands there may be seen farther off.</summary>
    private const double ReachMarginMetres = 20;

    /// <summary>Points of a frame's edge that are followed to the ground, along each side.</summary>
    private const int EdgePoints = 5;

    /// <param name="input">Captures and frames.</param>
    /// <param name="settings">How.</param>
    /// <param name="frame">Of the poses.</param>
    /// <param name="poses">By capture.</param>
    /// <param name="placed">By capture.</param>
    /// <param name="lens">Of the reference band, solved.</param>
    /// <param name="pairs">Overlapping pairs.</param>
    /// <param name="ground">Smooth surface through the tie points.</param>
    /// <param name="grid">Of the result.</param>
    /// <param name="wellSeen">What each capture's heights are believed of.</param>
    /// <param name="done">Told after each capture.</param>
    /// <param name="cancel">Stops between rows of a capture.</param>
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
        WellSeen wellSeen,
        Action<int> done,
        CancellationToken cancel
    )
    {
        string band = input.Profile.ReferenceBandName;
        Vector3D[] centres = [.. poses.Select(pose => pose.CentreLocalMetres)];
        double[] above = [.. centres.Select(centre => HeightAbove(ground, centre))];
        bool[] usable = [.. placed.Select((entry, index) => entry && input.Captures[index].FrameOf(band) is not null)];
        int[][] partners =
        [
            .. centres.Select(
                (_, index) =>
                    usable[index]
                        ? PartnerChoice.Choose(index, pairs, centres, above, usable, settings.SurfacePartners)
                        : []
            ),
        ];
        SightedFrame[] frames = [.. poses.Select(pose => new SightedFrame(pose, lens))];
        int[] measured = CaptureChoice.Choose(
            frames,
            [.. Enumerable.Range(0, poses.Count).Where(index => partners[index].Length > 0)],
            ground,
            wellSeen
        );
        MapLattice map = new(grid, frame, frame.Origin.HeightAboveEllipsoidMetres);
        CellHeights cells = new(grid, [.. measured.Select(index => Reach(frames[index], ground, wellSeen, map, grid))]);
        ViewStore views = new(
            input,
            poses,
            lens,
            [.. measured.Select(index => (IReadOnlyCollection<int>)[index, .. partners[index]])]
        );
        GarbageLimit garbage = new();
        OrderedTurns<CaptureCells> turns = new(measured.Length, cells.Add);
        turns.Run(
            settings.Threads,
            () => new SweepBuffers(),
            (turn, buffers) =>
            {
                int[] others = partners[measured[turn]];
                LevelView view = views.Of(measured[turn]);
                SweepPlane plane = SweepPlane.Under(view, ground);
                float[] raised = new CaptureHeights(buffers, cancel).Of(
                    view,
                    [.. others.Select(views.Of)],
                    plane,
                    ground,
                    settings
                );
                CaptureCells found = CaptureCells.Of(view, plane, raised, map, grid, wellSeen, buffers);
                views.End(turn);
                if (views.AreOfLargeFrames)
                {
                    // Cells and buffers of a slanted picture are hundreds of megabytes: they must not pile up unused.
                    GarbageLimit.GiveBack();
                }

                garbage.Hold();

                done(measured[turn]);
                return found;
            },
            cancel
        );
        return cells.Fused();
    }

    /// <summary>What a capture may see of the map, generously.</summary>
    private static CellRange Reach(
        SightedFrame frame,
        HeightField ground,
        WellSeen wellSeen,
        MapLattice map,
        GridGeometry grid
    )
    {
        Vector3D centre = frame.Pose.CentreLocalMetres;
        double reach = 0;
        for (int at = 0; at < EdgePoints * EdgePoints; at++)
        {
            PixelPoint pixel = new(
                at % EdgePoints * frame.Lens.Columns / (EdgePoints - 1.0),
                at / EdgePoints * frame.Lens.Rows / (EdgePoints - 1.0)
            );
            if (!SurfaceSight.TryHit(frame, pixel, ground, out Vector3D place) || !wellSeen.Holds(centre, place))
            {
                reach = Math.Max(reach, WellSeen.ReachMetres(centre.Z - ground.LowestMetres));
                continue;
            }

            Vector3D way = place - centre;
            reach = Math.Max(reach, Math.Sqrt((way.X * way.X) + (way.Y * way.Y)));
        }

        double cellsAway = (reach + ReachMarginMetres) / grid.CellSizeMetres;
        (double row, double column, _) = map.ToMap(centre);
        return new CellRange(
            (int)Math.Clamp(row - cellsAway, 0, grid.Rows),
            (int)Math.Clamp(row + cellsAway + 1, 0, grid.Rows),
            (int)Math.Clamp(column - cellsAway, 0, grid.Columns),
            (int)Math.Clamp(column + cellsAway + 1, 0, grid.Columns)
        );
    }

    /// <summary>Fills holes from around, as far as <see cref="FillReachMetres"/>; their sample count stays 0.</summary>
    /// <param name="heights">Rows × columns; changed.</param>
    /// <param name="sigmas">The same.</param>
    /// <param name="samples">0 where no height was measured.</param>
    /// <param name="grid">Of the cells.</param>
    /// <param name="within">True where a height is found however far the next one is; empty: nowhere.</param>
    /// <param name="cancel">Stops between steps.</param>
    public static void Fill(
        float[] heights,
        float[] sigmas,
        byte[] samples,
        GridGeometry grid,
        bool[] within,
        CancellationToken cancel
    )
    {
        float[] filled = [.. heights];
        cancel.ThrowIfCancellationRequested();
        GapFill.Apply(filled, grid.Rows, grid.Columns);
        cancel.ThrowIfCancellationRequested();
        int reach = Math.Max(1, (int)(FillReachMetres / grid.CellSizeMetres));
        int[] near = GridSteps.ToNearest(at => samples[at] > 0, grid.Rows, grid.Columns);
        for (int at = 0; at < heights.Length; at++)
        {
            if (samples[at] == 0 && (near[at] <= reach || (within.Length > 0 && within[at])))
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
