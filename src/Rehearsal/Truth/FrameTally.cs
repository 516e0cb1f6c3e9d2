using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace Hillrow.Rehearsal;

/// <summary>Sums up, while a frame is rendered, what its rays meet. Whole numbers, so that the order does not matter.</summary>
/// <param name="columns">Pixels across.</param>
/// <param name="rows">Pixels down.</param>
/// <param name="side">Samples along a pixel's edge.</param>
internal sealed unsafe class FrameTally(ModelledScene scene, int columns, int rows, int side)
{
    /// <summary>A reflectance factor of 1: steps of a millionth, and 64-bit sums that cannot overflow.</summary>
    private const float One = 1 << 20;
    private readonly Lock gate = new();
    private readonly int across = columns / FrameTruth.WindowPixels;
    private readonly int down = rows / FrameTruth.WindowPixels;
    private Part? whole;

    /// <summary>Sums of one thread.</summary>
    public Part Begin() =>
        new(across * down, scene.Vegetation.FirstTreeOwner, across, down, side, scene.Vegetation.Shrubs.Owner);

    public void End(Part part)
    {
        lock (gate)
        {
            if (whole is null)
            {
                whole = part;
            }
            else
            {
                whole.Add(part);
            }
        }
    }

    public FrameTruth Result()
    {
        Part sums = whole ?? Begin();
        double perWindow = FrameTruth.WindowPixels * FrameTruth.WindowPixels * (double)(side * side);
        List<CrownSeen> crowns = [];
        for (int owner = GroundPlants.FirstCropOwner; owner < sums.Crowns.Length; owner++)
        {
            Seen seen = sums.Crowns[owner];
            if (seen.Rays > 0)
            {
                double rays = seen.Rays;
                crowns.Add(
                    new CrownSeen(
                        scene.Planting.Plants[owner - GroundPlants.FirstCropOwner].Plant.Number,
                        seen.Factor / (One * rays),
                        rays / (side * side),
                        (((seen.Columns / rays) + 0.5) / side) - 1,
                        (((seen.Rows / rays) + 0.5) / side) - 1
                    )
                );
            }
        }

        crowns.Sort((a, b) => a.Plant.CompareTo(b.Plant));
        return new FrameTruth(
            across,
            down,
            [.. sums.Windows.Select(window => (float)(window.Factor / (One * perWindow)))],
            [.. sums.Windows.Select(window => (float)(window.Crown / perWindow))],
            crowns
        );
    }

    internal struct Window
    {
        public long Factor;
        public long Crown;
    }

    internal struct Seen
    {
        public long Factor;
        public long Rays;

        /// <summary>Of sample columns, and likewise rows.</summary>
        public long Columns;
        public long Rows;
    }

    internal sealed class Part(int windows, int owners, int across, int down, int side, int* ownerOfCell)
    {
        public Window[] Windows { get; } = new Window[windows];

        public Seen[] Crowns { get; } = new Seen[owners];

        /// <summary>Takes in a patch of samples at a place of the sample grid, whose margin is one pixel.</summary>
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public void Take(int column, int row, Vector256<float> factors, in PacketHit hit)
        {
            unchecked
            {
                // Hot: places beyond the windows drop out by their being negative or large.
                Vector256<int> steps = Vector256.ConvertToInt32(factors * One);
                int edge = FrameTruth.WindowPixels * side;
                for (int lane = 0; lane < RayPacket.Lanes; lane++)
                {
                    int x = column + (lane & 3);
                    int y = row + (lane >> 2);
                    long factor = steps.GetElement(lane);
                    uint windowColumn = (uint)(x - side) / (uint)edge;
                    uint windowRow = (uint)(y - side) / (uint)edge;
                    bool inside = windowColumn < (uint)across && windowRow < (uint)down;
                    int window = inside ? (int)((windowRow * (uint)across) + windowColumn) : -1;
                    if (inside)
                    {
                        Windows[window].Factor += factor;
                    }

                    if (hit.IsShrub.GetElement(lane) == 0)
                    {
                        continue;
                    }

                    int owner = ownerOfCell[hit.Index.GetElement(lane)];
                    if (owner < GroundPlants.FirstCropOwner)
                    {
                        continue;
                    }

                    if (inside)
                    {
                        Windows[window].Crown++;
                    }

                    ref Seen seen = ref Crowns[owner];
                    seen.Factor += factor;
                    seen.Rays++;
                    seen.Columns += x;
                    seen.Rows += y;
                }
            }
        }

        public void Add(Part other)
        {
            for (int index = 0; index < Windows.Length; index++)
            {
                Windows[index].Factor += other.Windows[index].Factor;
                Windows[index].Crown += other.Windows[index].Crown;
            }

            for (int index = 0; index < Crowns.Length; index++)
            {
                ref Seen seen = ref Crowns[index];
                Seen more = other.Crowns[index];
                seen.Factor += more.Factor;
                seen.Rays += more.Rays;
                seen.Columns += more.Columns;
                seen.Rows += more.Rows;
            }
        }
    }
}
