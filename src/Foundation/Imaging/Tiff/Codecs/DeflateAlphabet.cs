namespace Hillrow.Imaging;

/// <summary>What the symbols of Deflate's three codes mean, as entries of a <see cref="HuffmanTable"/>.</summary>
/// <remarks>Source: RFC 1951 (Deutsch 1996), section 3.2.5.</remarks>
internal static class DeflateAlphabet
{
    /// <summary>Bytes, end of the block, and lengths of repeats.</summary>
    public static readonly uint[] Symbols = MeaningsOfSymbols();

    /// <summary>How far back a repeat begins.</summary>
    public static readonly uint[] Distances = MeaningsOfDistances();

    /// <summary>Code lengths, and runs of them.</summary>
    public static readonly uint[] CodeLengths =
    [
        .. Enumerable.Range(0, 19).Select(symbol => HuffmanTable.Entry(symbol, 0)),
    ];

    private static uint[] MeaningsOfSymbols()
    {
        uint[] meanings = new uint[288];
        for (int value = 0; value < 256; value++)
        {
            meanings[value] = HuffmanTable.Literal | HuffmanTable.Entry(value, 0);
        }

        meanings[256] = HuffmanTable.Special;
        int length = 3;
        for (int symbol = 257; symbol < 285; symbol++)
        {
            int extra = symbol < 265 ? 0 : (symbol - 261) / 4;
            meanings[symbol] = HuffmanTable.Entry(length, extra);
            length += 1 << extra;
        }

        meanings[285] = HuffmanTable.Entry(258, 0);
        meanings[286] = meanings[287] = HuffmanTable.Special | HuffmanTable.Nothing;
        return meanings;
    }

    private static uint[] MeaningsOfDistances()
    {
        uint[] meanings = new uint[32];
        int distance = 1;
        for (int symbol = 0; symbol < 30; symbol++)
        {
            int extra = symbol < 4 ? 0 : (symbol - 2) / 2;
            meanings[symbol] = HuffmanTable.Entry(distance, extra);
            distance += 1 << extra;
        }

        meanings[30] = meanings[31] = HuffmanTable.Special | HuffmanTable.Nothing;
        return meanings;
    }
}
