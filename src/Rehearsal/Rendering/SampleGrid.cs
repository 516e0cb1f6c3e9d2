namespace Hillrow.Rehearsal;

/// <summary>Samples of a frame with a margin of one pixel, in whole packets.</summary>
internal readonly record struct SampleGrid(int Columns, int Rows, int Side)
{
    public static SampleGrid Of(int columns, int rows, int side)
    {
        static int Whole(int count, int of) => (count + of - 1) / of * of;
        return new SampleGrid(
            Whole((columns + 2) * side, RayPacket.Columns),
            Whole((rows + 2) * side, RayPacket.Rows),
            side
        );
    }
}
