namespace Hillrow.Imaging;

/// <content>The code that a block is written in.</content>
internal unsafe ref partial struct Inflation
{
    private const int SymbolRootBits = 11;
    private const int DistanceRootBits = 8;
    private const int LengthRootBits = 7;

    // First table and the most that second tables take for any 286 code words of 15 bits (30 and 15, for distances).
    private const int SymbolTableLength = 2048 + 512;
    private const int DistanceTableLength = 256 + 256;

    private static InflationEnd FixedCode(uint* symbols, uint* distances)
    {
        Span<byte> lengths = stackalloc byte[288];
        lengths[..144].Fill(8);
        lengths[144..256].Fill(9);
        lengths[256..280].Fill(7);
        lengths[280..].Fill(8);
        HuffmanTable.Fill(lengths, DeflateAlphabet.Symbols, SymbolRootBits, new Span<uint>(symbols, SymbolTableLength));
        Span<byte> five = lengths[..32];
        five.Fill(5);
        HuffmanTable.Fill(
            five,
            DeflateAlphabet.Distances,
            DistanceRootBits,
            new Span<uint>(distances, DistanceTableLength)
        );
        return InflationEnd.Complete;
    }

    private InflationEnd ReadCode(uint* symbols, uint* distances)
    {
        ReadOnlySpan<byte> order = [16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15];
        Span<byte> lengths = stackalloc byte[320];
        Span<uint> lengthCodes = stackalloc uint[1 << LengthRootBits];
        unchecked
        {
            if (!TryTake(14, out uint counts))
            {
                return InflationEnd.CutShort;
            }

            int symbolCount = (int)(counts & 31) + 257;
            int distanceCount = (int)((counts >> 5) & 31) + 1;
            int lengthCount = (int)(counts >> 10) + 4;
            if (symbolCount > 286 || distanceCount > 30)
            {
                return InflationEnd.Damaged;
            }

            lengths.Clear();
            for (int at = 0; at < lengthCount; at++)
            {
                if (!TryTake(3, out uint length))
                {
                    return InflationEnd.CutShort;
                }

                lengths[order[at]] = (byte)length;
            }

            if (!HuffmanTable.Fill(lengths[..19], DeflateAlphabet.CodeLengths, LengthRootBits, lengthCodes))
            {
                return InflationEnd.Damaged;
            }

            InflationEnd end = ReadLengths(lengthCodes, lengths[..(symbolCount + distanceCount)]);
            return end != InflationEnd.Complete ? end
                : lengths[256] != 0
                && HuffmanTable.Fill(
                    lengths[..symbolCount],
                    DeflateAlphabet.Symbols,
                    SymbolRootBits,
                    new Span<uint>(symbols, SymbolTableLength)
                )
                && HuffmanTable.Fill(
                    lengths.Slice(symbolCount, distanceCount),
                    DeflateAlphabet.Distances,
                    DistanceRootBits,
                    new Span<uint>(distances, DistanceTableLength)
                )
                    ? InflationEnd.Complete
                : InflationEnd.Damaged;
        }
    }

    /// <summary>Code lengths of a block, themselves coded, with runs.</summary>
    private InflationEnd ReadLengths(scoped ReadOnlySpan<uint> lengthCodes, scoped Span<byte> lengths)
    {
        unchecked
        {
            int at = 0;
            while (at < lengths.Length)
            {
                Refill();
                uint entry = lengthCodes[(int)bits & ((1 << LengthRootBits) - 1)];
                if (!TrySkip((int)(byte)entry))
                {
                    return InflationEnd.CutShort;
                }

                if ((entry & HuffmanTable.Special) != 0)
                {
                    return InflationEnd.Damaged;
                }

                int symbol = (int)(entry >> 16);
                if (symbol < 16)
                {
                    lengths[at++] = (byte)symbol;
                    continue;
                }

                (int extra, int least) = symbol switch
                {
                    16 => (2, 3),
                    17 => (3, 3),
                    _ => (7, 11),
                };
                if (!TryTake(extra, out uint more))
                {
                    return InflationEnd.CutShort;
                }

                int run = least + (int)more;
                if (run > lengths.Length - at || (symbol == 16 && at == 0))
                {
                    return InflationEnd.Damaged;
                }

                lengths.Slice(at, run).Fill(symbol == 16 ? lengths[at - 1] : (byte)0);
                at += run;
            }

            return InflationEnd.Complete;
        }
    }
}
