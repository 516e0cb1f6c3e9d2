namespace Hillrow.Imaging;

/// <summary>Run-length coding of bytes (TIFF 6.0, section 9).</summary>
public static class PackBitsDecoder
{
    /// <returns>Bytes decoded; fewer than the target's length when the input ends before.</returns>
    public static int Decode(ReadOnlySpan<byte> encoded, Span<byte> decoded)
    {
        int from = 0;
        int to = 0;
        while (from < encoded.Length && to < decoded.Length)
        {
            int head = unchecked((sbyte)encoded[from++]);
            if (head >= 0)
            {
                int count = Math.Min(head + 1, Math.Min(encoded.Length - from, decoded.Length - to));
                encoded.Slice(from, count).CopyTo(decoded[to..]);
                from += count;
                to += count;
            }
            else if (head != -128 && from < encoded.Length)
            {
                int count = Math.Min(1 - head, decoded.Length - to);
                decoded.Slice(to, count).Fill(encoded[from++]);
                to += count;
            }
        }

        return to;
    }
}
