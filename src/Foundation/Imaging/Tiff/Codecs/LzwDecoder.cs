namespace Hillrow.Imaging;

/// <summary>The LZW of TIFF 6.0 (section 13): codes of 9–12 bits, high bit first, width changed one code early.</summary>
/// <remarks>
/// Every string of the table is a stretch of what was decoded before (the previous code's string and the byte
/// after it), so the table holds places and lengths only, and copying is from the output to itself.
/// </remarks>
public static class LzwDecoder
{
    private const int Clear = 256;
    private const int End = 257;
    private const int First = 258;
    private const int TableSize = 4096;

    /// <returns>Bytes decoded; fewer than the target's length when the stream is cut short or damaged.</returns>
    public static int Decode(ReadOnlySpan<byte> encoded, Span<byte> decoded)
    {
        // Bit shifts and offsets are bounded by the loop's own checks; overflow checks would only slow it.
        unchecked
        {
            Span<int> starts = stackalloc int[TableSize];
            Span<int> lengths = stackalloc int[TableSize];
            int next = First;
            int width = 9;
            int previousStart = -1;
            int previousLength = 0;
            ulong bits = 0;
            int held = 0;
            int from = 0;
            int to = 0;
            while (to < decoded.Length)
            {
                while (held < width)
                {
                    if (from >= encoded.Length)
                    {
                        return to;
                    }

                    bits = (bits << 8) | encoded[from++];
                    held += 8;
                }

                int code = (int)(bits >> (held - width)) & ((1 << width) - 1);
                held -= width;
                if (code == End)
                {
                    return to;
                }

                if (code == Clear)
                {
                    next = First;
                    width = 9;
                    previousStart = -1;
                    continue;
                }

                int start = to;
                int length;
                if (code < Clear)
                {
                    decoded[to] = (byte)code;
                    length = 1;
                }
                else if (code < next)
                {
                    length = Math.Min(lengths[code], decoded.Length - to);
                    Copy(decoded, starts[code], to, length);
                }
                else if (code == next && previousStart >= 0)
                {
                    // The string that is just being defined: the previous one and its own first byte.
                    length = Math.Min(previousLength + 1, decoded.Length - to);
                    Copy(decoded, previousStart, to, length);
                }
                else
                {
                    return to;
                }

                to += length;
                if (previousStart >= 0 && next < TableSize)
                {
                    starts[next] = previousStart;
                    lengths[next] = previousLength + 1;
                    next++;
                    if (next >= (1 << width) - 1 && width < 12)
                    {
                        width++;
                    }
                }

                previousStart = start;
                previousLength = length;
            }

            return to;
        }
    }

    private static void Copy(Span<byte> bytes, int from, int to, int length)
    {
        if (from + length <= to)
        {
            bytes.Slice(from, length).CopyTo(bytes[to..]);
            return;
        }

        for (int i = 0; i < length; i++)
        {
            bytes[to + i] = bytes[from + i];
        }
    }
}
