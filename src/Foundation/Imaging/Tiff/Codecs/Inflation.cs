using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace Hillrow.Imaging;

/// <summary>Undoes Deflate from memory to memory, quicker than a stream that must be able to stop anywhere.</summary>
/// <remarks>
/// Source: RFC 1951 (Deutsch 1996). Whole words of input are taken at once and several bytes are put out between two
/// looks at the ends of input and target; near those ends a careful loop takes over. Unchecked arithmetic and pointers:
/// this is the innermost loop of reading rasters; the twin in the tests is the runtime's zlib.
/// </remarks>
internal unsafe ref partial struct Inflation
{
    /// <summary>Input that one turn of the quick loop may load, from where it stands at its beginning.</summary>
    private const int QuickInput = 32;

    /// <summary>Bytes that one turn of the quick loop may touch: four literals, a match of 258, and the overshoot of wide copies.</summary>
    private const int QuickOutput = 4 + 258 + 32;

    private readonly byte* inputStart;
    private readonly byte* inputEnd;
    private readonly byte* outputStart;
    private readonly byte* outputEnd;
    private byte* input;
    private byte* output;
    private ulong bits;
    private int bitCount;

    private Inflation(byte* input, int inputLength, byte* output, int outputLength)
    {
        inputStart = input;
        inputEnd = input + inputLength;
        outputStart = output;
        outputEnd = output + outputLength;
        this.input = input;
        this.output = output;
    }

    /// <summary>Decodes one stream.</summary>
    /// <param name="encoded">Begins with the first block.</param>
    /// <param name="decoded">Receives the bytes; up to 64 bytes beyond the result may be overwritten too.</param>
    /// <param name="used">Bytes of input up to the end of the last block.</param>
    /// <param name="written">Bytes decoded.</param>
    public static InflationEnd Run(ReadOnlySpan<byte> encoded, Span<byte> decoded, out int used, out int written)
    {
        fixed (byte* from = encoded)
        fixed (byte* to = decoded)
        {
            Inflation inflation = new(from, encoded.Length, to, decoded.Length);
            InflationEnd end = inflation.Blocks();
            used = (int)(inflation.input - from) - (inflation.bitCount >> 3);
            written = (int)(inflation.output - to);
            return end;
        }
    }

    [SkipLocalsInit]
    private InflationEnd Blocks()
    {
        uint* symbols = stackalloc uint[SymbolTableLength];
        uint* distances = stackalloc uint[DistanceTableLength];
        while (true)
        {
            if (!TryTake(3, out uint head))
            {
                return InflationEnd.CutShort;
            }

            InflationEnd end = (head >> 1) switch
            {
                0 => StoredBlock(),
                1 => FixedCode(symbols, distances),
                2 => ReadCode(symbols, distances),
                _ => InflationEnd.Damaged,
            };
            if (end == InflationEnd.Complete && head >> 1 != 0)
            {
                end = CodedBlock(symbols, distances);
            }

            if (end != InflationEnd.Complete || (head & 1) != 0)
            {
                return end;
            }
        }
    }

    private InflationEnd StoredBlock()
    {
        unchecked
        {
            bits >>= bitCount & 7;
            bitCount &= ~7;
            if (!TryTake(16, out uint length) || !TryTake(16, out uint complement))
            {
                return InflationEnd.CutShort;
            }

            if (length != (complement ^ 0xFFFF))
            {
                return InflationEnd.Damaged;
            }

            // What was loaded ahead is given back: stored bytes are copied from where they lie.
            input -= bitCount >> 3;
            bits = 0;
            bitCount = 0;
            long count = Math.Min(length, Math.Min(inputEnd - input, outputEnd - output));
            Buffer.MemoryCopy(input, output, count, count);
            input += count;
            output += count;
            return count == length ? InflationEnd.Complete
                : output == outputEnd ? InflationEnd.TargetFull
                : InflationEnd.CutShort;
        }
    }

    private InflationEnd CodedBlock(uint* symbols, uint* distances)
    {
        InflationEnd? end = null;
        if (inputEnd - input >= QuickInput && outputEnd - output >= QuickOutput)
        {
            end = Quick(symbols, distances);
        }

        return end ?? Careful(symbols, distances);
    }

    /// <summary>Decodes while both ends are far; null when one came near.</summary>
    private InflationEnd? Quick(uint* symbols, uint* distances)
    {
        const uint symbolMask = (1u << SymbolRootBits) - 1;
        const uint distanceMask = (1u << DistanceRootBits) - 1;
        const int wordBits = 56;
        unchecked
        {
            byte* from = input;
            byte* to = output;
            byte* lastFrom = inputEnd - QuickInput;
            byte* lastTo = outputEnd - QuickOutput;
            ulong word = bits;
            int count = bitCount;
            InflationEnd? end = null;
            while (from <= lastFrom && to <= lastTo)
            {
                // A whole word is loaded over the bits still there; the pointer moves by the bytes that found room whole.
                word |= *(ulong*)from << count;
                from += (63 - count) >> 3;
                count |= wordBits;
                uint entry = symbols[word & symbolMask];
                if ((int)entry < 0)
                {
                    word >>= (int)entry;
                    count -= (byte)entry;
                    *to++ = (byte)(entry >> 16);
                    entry = symbols[word & symbolMask];
                    if ((int)entry < 0)
                    {
                        word >>= (int)entry;
                        count -= (byte)entry;
                        *to++ = (byte)(entry >> 16);
                        entry = symbols[word & symbolMask];
                        if ((int)entry < 0)
                        {
                            word >>= (int)entry;
                            count -= (byte)entry;
                            *to++ = (byte)(entry >> 16);
                            entry = symbols[word & symbolMask];
                            if ((int)entry < 0)
                            {
                                word >>= (int)entry;
                                count -= (byte)entry;
                                *to++ = (byte)(entry >> 16);
                                continue;
                            }
                        }
                    }

                    word |= *(ulong*)from << count;
                    from += (63 - count) >> 3;
                    count |= wordBits;
                }

                if ((entry & HuffmanTable.Special) != 0)
                {
                    if ((entry & HuffmanTable.Onward) != 0)
                    {
                        word >>= SymbolRootBits;
                        count -= SymbolRootBits;
                        entry = symbols[
                            ((entry >> 16) & 0x3FFF) + ((uint)word & ((1u << ((int)(entry >> 8) & 0x7F)) - 1))
                        ];
                    }

                    if ((int)entry < 0)
                    {
                        word >>= (int)entry;
                        count -= (byte)entry;
                        *to++ = (byte)(entry >> 16);
                        continue;
                    }

                    if ((entry & HuffmanTable.Special) != 0)
                    {
                        word >>= (int)entry;
                        count -= (byte)entry;
                        end = (entry & HuffmanTable.Nothing) != 0 ? InflationEnd.Damaged : InflationEnd.Complete;
                        break;
                    }
                }

                int length = (int)((entry >> 16) + Extra(word, entry));
                word >>= (int)entry;
                count -= (byte)entry;
                entry = distances[word & distanceMask];
                if ((entry & HuffmanTable.Special) != 0)
                {
                    if ((entry & HuffmanTable.Onward) != 0)
                    {
                        word >>= DistanceRootBits;
                        count -= DistanceRootBits;
                        entry = distances[
                            ((entry >> 16) & 0x3FFF) + ((uint)word & ((1u << ((int)(entry >> 8) & 0x7F)) - 1))
                        ];
                    }

                    if ((entry & HuffmanTable.Special) != 0)
                    {
                        end = InflationEnd.Damaged;
                        break;
                    }
                }

                long distance = (entry >> 16) + Extra(word, entry);
                word >>= (int)entry;
                count -= (byte)entry;
                if (distance > to - outputStart)
                {
                    end = InflationEnd.Damaged;
                    break;
                }

                to = CopyWide(to, distance, length);
            }

            // Bits above the count are bytes that the pointer still stands before: they will be loaded again.
            input = from;
            output = to;
            bitCount = count;
            bits = count == 0 ? 0 : word & (ulong.MaxValue >> (64 - count));
            return end;
        }
    }

    /// <summary>Decodes up to the very ends of input and target.</summary>
    private InflationEnd Careful(uint* symbols, uint* distances)
    {
        unchecked
        {
            while (true)
            {
                Refill();
                uint entry = LookUp(symbols, SymbolRootBits);
                int length = (int)(entry >> 16) + (int)Extra(bits, entry);
                if (!TrySkip((byte)entry))
                {
                    return InflationEnd.CutShort;
                }

                if ((int)entry < 0)
                {
                    if (output == outputEnd)
                    {
                        return InflationEnd.TargetFull;
                    }

                    *output++ = (byte)(entry >> 16);
                    continue;
                }

                if ((entry & HuffmanTable.Special) != 0)
                {
                    return (entry & HuffmanTable.Nothing) != 0 ? InflationEnd.Damaged : InflationEnd.Complete;
                }

                Refill();
                entry = LookUp(distances, DistanceRootBits);
                long distance = (entry >> 16) + (long)Extra(bits, entry);
                if (!TrySkip((byte)entry))
                {
                    return InflationEnd.CutShort;
                }

                if ((entry & HuffmanTable.Special) != 0)
                {
                    return InflationEnd.Damaged;
                }

                if (output == outputEnd)
                {
                    return InflationEnd.TargetFull;
                }

                if (distance > output - outputStart)
                {
                    return InflationEnd.Damaged;
                }

                int copied = (int)Math.Min(length, outputEnd - output);
                for (int at = 0; at < copied; at++)
                {
                    output[at] = output[at - distance];
                }

                output += copied;
                if (copied < length)
                {
                    return InflationEnd.TargetFull;
                }
            }
        }
    }

    /// <summary>Entry of the code word at hand; one found in a second table counts the first table's bits as taken.</summary>
    private uint LookUp(uint* table, int rootBits)
    {
        unchecked
        {
            uint entry = table[(uint)bits & ((1u << rootBits) - 1)];
            if (
                (entry & (HuffmanTable.Special | HuffmanTable.Onward | HuffmanTable.Literal))
                != (HuffmanTable.Special | HuffmanTable.Onward)
            )
            {
                return entry;
            }

            uint rest = (uint)(bits >> rootBits) & ((1u << ((int)(entry >> 8) & 0x7F)) - 1);
            return table[((entry >> 16) & 0x3FFF) + rest] + (uint)(rootBits | (rootBits << 8));
        }
    }

    /// <summary>Extra bits behind the code word.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static uint Extra(ulong word, uint entry)
    {
        unchecked
        {
            int code = (int)(entry >> 8) & 0x7F;
            return (uint)(((word & ((1ul << (byte)entry) - 1)) >> code));
        }
    }

    /// <summary>Repeats earlier output; may write up to 31 bytes too many.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static byte* CopyWide(byte* to, long distance, int length)
    {
        unchecked
        {
            byte* end = to + length;
            byte* from = to - distance;
            if (distance >= 16)
            {
                do
                {
                    Vector128.Store(Vector128.Load(from), to);
                    from += 16;
                    to += 16;
                } while (to < end);
            }
            else if (distance == 1)
            {
                Vector128<byte> run = Vector128.Create(*from);
                do
                {
                    run.Store(to);
                    to += 16;
                } while (to < end);
            }
            else if (distance >= 8)
            {
                do
                {
                    *(ulong*)to = *(ulong*)from;
                    from += 8;
                    to += 8;
                } while (to < end);
            }
            else
            {
                do
                {
                    *to++ = *from++;
                } while (to < end);
            }

            return end;
        }
    }

    /// <summary>Loads what fits; beyond the end of the input there are zeros that <see cref="TrySkip"/> does not give out.</summary>
    private void Refill()
    {
        unchecked
        {
            while (bitCount < 56 && input < inputEnd)
            {
                bits |= (ulong)*input++ << bitCount;
                bitCount += 8;
            }
        }
    }

    private bool TrySkip(int count)
    {
        unchecked
        {
            if (count > bitCount)
            {
                return false;
            }

            bits >>= count;
            bitCount -= count;
            return true;
        }
    }

    private bool TryTake(int count, out uint value)
    {
        Refill();
        value = unchecked((uint)bits & ((1u << count) - 1));
        return TrySkip(count);
    }
}
