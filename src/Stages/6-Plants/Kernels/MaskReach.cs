using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>Cells within a distance of a mask, and places of a mask that are wide.</summary>
internal static class MaskReach
{
    // Rows that are looked at together; what a distance needs beyond them is read as well.
    private const int StripRows = 512;

    /// <summary>1 within a distance of a set cell.</summary>
    /// <param name="mask">Rows × columns of 0 and 1.</param>
    /// <param name="cells">Distance, in cells.</param>
    public static byte[] Near(ReadOnlySpan<byte> mask, int rows, int columns, double cells)
    {
        byte[] near = new byte[mask.Length];
        if (mask.IndexOf((byte)1) < 0)
        {
            return near;
        }

        for (int at = 0; at < near.Length; at++)
        {
            near[at] = (byte)(mask[at] ^ 1);
        }

        float[] distance = new float[mask.Length];
        DistanceTransform.Euclidean(near, rows, columns, distance);
        for (int at = 0; at < near.Length; at++)
        {
            near[at] = distance[at] <= cells ? (byte)1 : (byte)0;
        }

        return near;
    }

    /// <summary>Keeps of a mask, in place, what a disc of the radius fits into: narrow places are cleared.</summary>
    /// <param name="mask">Rows × columns of 0 and 1.</param>
    /// <param name="cells">Radius, in cells.</param>
    public static void KeepWide(Span<byte> mask, int rows, int columns, double cells)
    {
        if (mask.IndexOf((byte)1) < 0)
        {
            return;
        }

        // Strip by strip; the rows above are kept as they were, since the strip before has changed them.
        int halo = (2 * (int)Math.Ceiling(cells)) + 2;
        byte[] above = [];
        for (int first = 0; first < rows; first += StripRows)
        {
            int end = Math.Min(rows, first + StripRows);
            int from = Math.Max(0, first - halo);
            int to = Math.Min(rows, end + halo);
            byte[] part = mask[(from * columns)..(to * columns)].ToArray();
            above.CopyTo(part, 0);
            above = part[((Math.Max(0, end - halo) - from) * columns)..((end - from) * columns)];
            byte[] wide = Wide(part, to - from, columns, cells);
            for (int at = first * columns; at < end * columns; at++)
            {
                mask[at] &= wide[at - (from * columns)];
            }
        }
    }

    private static byte[] Wide(byte[] mask, int rows, int columns, double cells)
    {
        float[] distance = new float[mask.Length];
        DistanceTransform.Euclidean(mask, rows, columns, distance);
        byte[] core = new byte[mask.Length];
        for (int at = 0; at < core.Length; at++)
        {
            // Where all is set the distance has no number.
            core[at] = distance[at] <= cells ? (byte)0 : (byte)1;
        }

        return Near(core, rows, columns, cells);
    }
}
