using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Heights of one capture's pixels, coarse to fine.</summary>
/// <remarks>
/// Following a plane keeps the comparison windows parallel to the slope (plane sweep: R. Collins 1996, doi
/// 10.1109/CVPR.1996.517097).
/// </remarks>
internal sealed class CaptureHeights
{
    /// <summary>Parallax between heights tried, pixels of the widest pair: small enough for the V of costs.</summary>
    private const double StepPixels = 0.6;

    private const int SmallStep = 2;
    private const int LargeStep = 22;
    private const int MostCoarseLevels = 128;

    /// <summary>Pixels whose heights differ by fewer steps belong to one patch.</summary>
    private const double PatchSteps = 2.5;

    /// <summary>Smallest patch of pixels that is believed: about a hand of leaves.</summary>
    private const int LeastPatchPixels = 24;

    private readonly SweepBuffers buffers;
    private readonly CancellationToken cancel;

    /// <param name="buffers">Of the thread.</param>
    /// <param name="cancel">Stops within a capture, between rows.</param>
    public CaptureHeights(SweepBuffers buffers, CancellationToken cancel) =>
        (this.buffers, this.cancel) = (buffers, cancel);

    /// <summary>Heights for every pixel of the capture's view; NaN where doubtful.</summary>
    /// <param name="own">At the finest size.</param>
    /// <param name="partners">At the finest size.</param>
    /// <param name="plane">Under the capture.</param>
    /// <param name="surface">Smooth surface through the tie points.</param>
    /// <param name="settings">Search range.</param>
    /// <returns>Metres over the plane, straight up; good until the next capture is asked for with the same buffers.</returns>
    public float[] Of(
        LevelView own,
        IReadOnlyList<LevelView> partners,
        SweepPlane plane,
        HeightField surface,
        ReconstructionSettings settings
    )
    {
        LevelView half = own.Halved();
        LevelView[] halfPartners = [.. partners.Select(partner => partner.Halved())];
        LevelView quarter = half.Halved();
        LevelView[] quarterPartners = [.. halfPartners.Select(partner => partner.Halved())];
        double step = Step(quarter, quarterPartners, plane);
        float[] heights = Sweep(
            quarter,
            quarterPartners,
            plane,
            CoarseTiles(quarter, plane, surface, settings, step),
            step
        );
        step /= 2;
        SweepTiles tiles = TileReach.From(
            heights,
            quarter.Rows,
            quarter.Columns,
            half.Rows,
            half.Columns,
            step,
            buffers
        );
        heights = Sweep(half, halfPartners, plane, tiles, step);
        step /= 2;
        tiles = TileReach.From(heights, half.Rows, half.Columns, own.Rows, own.Columns, step, buffers);
        return Sweep(own, partners, plane, tiles, step);
    }

    private float[] Sweep(
        LevelView own,
        IReadOnlyList<LevelView> partners,
        SweepPlane plane,
        SweepTiles tiles,
        double step
    )
    {
        int size = own.Rows * own.Columns;
        BitsPicture ours = BitsPicture.Of(
            own.Picture,
            own.Rows,
            own.Columns,
            buffers.OwnBits(BitsPicture.LengthOf(own.Rows, own.Columns))
        );
        ushort[] warped = buffers.Warped(size);
        List<SweepPartner> compared = [];
        for (int index = 0; index < partners.Count; index++)
        {
            PlaneShift shift = new(own, partners[index], plane);
            (double columns, double rows) = shift.At(own.Columns / 2.0, own.Rows / 2.0, 1);
            HalfStep along = Math.Abs(columns) >= Math.Abs(rows) ? HalfStep.Columns : HalfStep.Rows;
            cancel.ThrowIfCancellationRequested();
            uint[] bits = buffers.PartnerBits(index, 2 * BitsPicture.LengthOf(own.Rows, own.Columns));
            WarpedBits.Fill(own, partners[index], plane, along, warped, bits);
            compared.Add(
                new SweepPartner(
                    new BitsPicture(own.Rows, own.Columns, bits, along),
                    (column, row, level) => shift.At(column, row, level * step)
                )
            );
        }

        byte[] costs = buffers.Costs(tiles.VolumeLength);
        SweepCosts.Fill(ours, compared, tiles, costs, cancel);
        float[] heights = buffers.Heights(size);
        LevelTaker taker = new(tiles, HeightPick.LeastLead, heights);
        new PathAggregation(tiles, SmallStep, LargeStep, Edge(own.Picture)).Sum(
            costs,
            own.Picture,
            buffers.HalfSums(tiles.VolumeLength),
            ref taker,
            cancel
        );
        for (int at = 0; at < heights.Length; at++)
        {
            heights[at] = (float)(heights[at] * step);
        }

        LonelyHeights.Drop(heights, own.Rows, own.Columns, (float)(PatchSteps * step), LeastPatchPixels, buffers);
        return heights;
    }

    /// <summary>Brightness difference that counts as an edge: twice the mean difference of neighbours.</summary>
    public static float Edge(ReadOnlySpan<ushort> picture)
    {
        long sum = 0;
        for (int at = 1; at < picture.Length; at++)
        {
            sum += Math.Abs(picture[at] - picture[at - 1]);
        }

        return (float)Math.Max(1e-3, 2.0 * sum / picture.Length);
    }

    /// <summary>Height whose parallax in the widest pair is the wanted part of a pixel.</summary>
    private static double Step(LevelView own, LevelView[] partners, SweepPlane plane)
    {
        double above = Math.Max(1, plane.Above(own.Pose.CentreLocalMetres));
        double widest = partners.Max(partner =>
        {
            Vector3D way = partner.Pose.CentreLocalMetres - own.Pose.CentreLocalMetres;
            return Math.Sqrt((way.X * way.X) + (way.Y * way.Y));
        });
        return StepPixels * above / (own.FocalPixels * widest) * above;
    }

    /// <summary>The whole search range about the tie points' surface.</summary>
    private static SweepTiles CoarseTiles(
        LevelView view,
        SweepPlane plane,
        HeightField surface,
        ReconstructionSettings settings,
        double step
    )
    {
        int across = (view.Columns + SweepTiles.Width - 1) / SweepTiles.Width;
        int down = (view.Rows + SweepTiles.Height - 1) / SweepTiles.Height;
        float[] raised = new float[across * down];
        Vector3D centre = view.Pose.CentreLocalMetres;
        for (int tile = 0; tile < raised.Length; tile++)
        {
            double x = ((tile % across) + 0.5) * SweepTiles.Width;
            double y = ((tile / across) + 0.5) * SweepTiles.Height;
            Vector3D ray = view.FallingRay(x, y);
            raised[tile] =
                view.Falls(x, y) && surface.TryHit(centre, ray, 0, 5000, out double fall)
                    ? (float)plane.Above(centre + (ray * fall))
                    : float.NaN;
        }

        GapFill.Apply(raised, down, across);
        int levels = Math.Min(
            MostCoarseLevels,
            TileReach.RoundedUp((int)Math.Ceiling((settings.SearchBelowMetres + settings.SearchAboveMetres) / step))
        );
        int[] counts = new int[raised.Length];
        Array.Fill(counts, levels);
        int[] firsts =
        [
            .. raised.Select(value =>
                (int)Math.Floor(((float.IsNaN(value) ? 0 : value) - settings.SearchBelowMetres) / step)
            ),
        ];
        return new SweepTiles(view.Rows, view.Columns, firsts, counts);
    }
}
