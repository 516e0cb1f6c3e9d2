using System.Numerics;

namespace Hillrow.Imaging;

/// <summary>
/// Look-up tables for one Huffman code of a Deflate block. One look-up tells the symbol of a short code word; longer
/// ones go on in a second table.
/// </summary>
/// <remarks>
/// An entry, from the lowest bit: 8 bits, how many bits of input it takes (code word and extra bits); 7 bits, how
/// many of those are the code word; flag <see cref="Special"/>; 15 bits of value (byte, first length, first distance,
/// or place of the second table); flag <see cref="Literal"/>. Source: RFC 1951 (Deutsch 1996), section 3.2.2.
/// </remarks>
internal static class HuffmanTable
{
    public const int LongestCode = 15;

    /// <summary>A plain byte; all other flags are absent.</summary>
    public const uint Literal = 1u << 31;

    /// <summary>End of the block, a code word that means nothing, or the way to the second table.</summary>
    public const uint Special = 1u << 15;

    /// <summary>With <see cref="Special"/>: go on in the second table at the value, by as many bits as the 7-bit field says.</summary>
    public const uint Onward = 1u << 30;

    /// <summary>With <see cref="Special"/>: no symbol has this code word.</summary>
    public const uint Nothing = 1u << 29;

    /// <summary>An entry that holds a value and so many extra bits; the code word's length is added by <see cref="Fill"/>.</summary>
    public static uint Entry(int value, int extraBits) => ((uint)value << 16) | (uint)extraBits;

    /// <summary>Fills a table.</summary>
    /// <param name="lengths">Code length of each symbol, 0 for absent, up to <see cref="LongestCode"/>.</param>
    /// <param name="meanings">Entry of each symbol, without code length.</param>
    /// <param name="rootBits">Bits looked up at once.</param>
    /// <param name="table">Long enough for the first table and all second ones.</param>
    /// <returns>False when the lengths are no prefix code: too many code words, or too few (one single word of one bit, or none, is allowed).</returns>
    public static bool Fill(ReadOnlySpan<byte> lengths, ReadOnlySpan<uint> meanings, int rootBits, Span<uint> table)
    {
        // Unchecked throughout: all numbers are bounded by 15 bits and 288 symbols, and this runs for every block.
        unchecked
        {
            Span<int> counts = stackalloc int[LongestCode + 1];
            counts.Clear();
            foreach (byte length in lengths)
            {
                counts[length]++;
            }

            counts[0] = 0;
            int longest = LongestCode;
            while (longest > 0 && counts[longest] == 0)
            {
                longest--;
            }

            int left = 1;
            Span<int> starts = stackalloc int[LongestCode + 2];
            starts[0] = 0;
            starts[1] = 0;
            for (int length = 1; length <= LongestCode; length++)
            {
                left = (left << 1) - counts[length];
                if (left < 0)
                {
                    return false;
                }

                starts[length + 1] = starts[length] + counts[length];
            }

            if (left > 0)
            {
                if (longest > 1)
                {
                    return false;
                }

                table[..(1 << rootBits)].Fill(Special | Nothing | 1);
            }

            Span<ushort> sorted = stackalloc ushort[288];
            for (int symbol = 0; symbol < lengths.Length; symbol++)
            {
                if (lengths[symbol] != 0)
                {
                    sorted[starts[lengths[symbol]]++] = (ushort)symbol;
                }
            }

            Place(sorted, counts, longest, meanings, rootBits, table);
            return true;
        }
    }

    private static void Place(
        ReadOnlySpan<ushort> sorted,
        Span<int> counts,
        int longest,
        ReadOnlySpan<uint> meanings,
        int rootBits,
        Span<uint> table
    )
    {
        unchecked
        {
            uint code = 0;
            int next = 0;
            int end = 1 << rootBits;
            int second = 0;
            int secondBits = 0;
            uint secondOf = uint.MaxValue;
            for (int length = 1; length <= longest; length++)
            {
                for (; counts[length] > 0; counts[length]--)
                {
                    uint meaning = meanings[sorted[next++]];
                    uint reversed = Reverse(code, length);
                    if (length <= rootBits)
                    {
                        uint entry = meaning + (uint)(length | (length << 8));
                        for (uint at = reversed; at < (1u << rootBits); at += 1u << length)
                        {
                            table[(int)at] = entry;
                        }
                    }
                    else
                    {
                        uint prefix = reversed & ((1u << rootBits) - 1);
                        if (prefix != secondOf)
                        {
                            secondOf = prefix;
                            second = end;
                            secondBits = SecondBits(counts, length, rootBits, longest);
                            end += 1 << secondBits;
                            table[(int)prefix] =
                                Special | Onward | ((uint)second << 16) | (uint)(rootBits | (secondBits << 8));
                        }

                        int rest = length - rootBits;
                        uint entry = meaning + (uint)(rest | (rest << 8));
                        for (uint at = reversed >> rootBits; at < (1u << secondBits); at += 1u << rest)
                        {
                            table[second + (int)at] = entry;
                        }
                    }

                    code++;
                }

                code <<= 1;
            }
        }
    }

    /// <summary>Bits of a second table: as many as the longest code word with this beginning can have.</summary>
    private static int SecondBits(ReadOnlySpan<int> counts, int length, int rootBits, int longest)
    {
        unchecked
        {
            int bits = length - rootBits;
            int room = 1 << bits;
            for (int at = length; at < longest; at++)
            {
                room -= counts[at];
                if (room <= 0)
                {
                    break;
                }

                bits++;
                room <<= 1;
            }

            return bits;
        }
    }

    private static uint Reverse(uint code, int length)
    {
        uint bits = code;
        bits = ((bits >> 1) & 0x5555u) | ((bits & 0x5555u) << 1);
        bits = ((bits >> 2) & 0x3333u) | ((bits & 0x3333u) << 2);
        bits = ((bits >> 4) & 0x0F0Fu) | ((bits & 0x0F0Fu) << 4);
        bits = ((bits >> 8) & 0x00FFu) | ((bits & 0x00FFu) << 8);
        return bits >> (16 - length);
    }
}
