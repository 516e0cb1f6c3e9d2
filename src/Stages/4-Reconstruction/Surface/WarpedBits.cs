namespace Hillrow.Reconstruction;

/// <summary>Census bits of a partner's picture laid onto a capture's plane, as it is and half a pixel on.</summary>
internal static class WarpedBits
{
    /// <param name="own">Into whose view.</param>
    /// <param name="partner">Whose picture.</param>
    /// <param name="plane">Under the capture.</param>
    /// <param name="along">What the second variant is shifted along.</param>
    /// <param name="warped">Scratch of the own size.</param>
    /// <param name="bits">Receives two variants.</param>
    public static void Fill(
        LevelView own,
        LevelView partner,
        SweepPlane plane,
        HalfStep along,
        Span<ushort> warped,
        Span<uint> bits
    )
    {
        PlaneWarp warp = new(own, partner, plane);
        (int First, int End)[] seen = new (int, int)[own.Rows];
        int length = BitsPicture.LengthOf(own.Rows, own.Columns);
        int stride = BitsPicture.StrideOf(own.Columns);
        for (int variant = 0; variant < 2; variant++)
        {
            double shift = 0.5 * variant;
            warp.Whole(along == HalfStep.Columns ? shift : 0, along == HalfStep.Rows ? shift : 0, warped, seen);
            Span<uint> into = bits.Slice(variant * length, length);
            BitsPicture.Fill(warped[..(own.Rows * own.Columns)], own.Rows, own.Columns, into);
            for (int row = 0; row < own.Rows; row++)
            {
                Span<uint> line = into.Slice(((row + BitsPicture.Border) * stride) + BitsPicture.Border, own.Columns);
                int first = Math.Min(own.Columns, seen[row].First + CensusTransform.Reach);
                int end = Math.Max(first, seen[row].End - CensusTransform.Reach);
                line[..first].Fill(BitsPicture.Unseen);
                line[end..].Fill(BitsPicture.Unseen);
            }
        }
    }
}
