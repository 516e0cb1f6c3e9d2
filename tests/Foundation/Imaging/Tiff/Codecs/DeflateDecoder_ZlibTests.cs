using System.IO.Compression;
using Xunit;

namespace Hillrow.Imaging.Tests.Tiff.Codecs;

/// <summary>The fast way against the runtime's zlib, which writes the streams and is the judge of damaged ones.</summary>
public sealed class DeflateDecoder_ZlibTests
{
    private const int Seed = 71;

    [Fact]
    public void Decode_EveryLevelStrategyAndKindOfData_GivesTheBytes()
    {
        Random random = new(Seed);
        foreach (ZLibCompressionStrategy strategy in Enum.GetValues<ZLibCompressionStrategy>())
        {
            for (int level = 0; level <= 9; level++)
            {
                for (int kind = 0; kind < 6; kind++)
                {
                    byte[] plain = Bytes(random, kind, random.Next(0, 90_000));
                    byte[] encoded = Encode(plain, level, strategy);
                    byte[] decoded = new byte[plain.Length];

                    Assert.Equal(plain.Length, DeflateDecoder.Decode(encoded, decoded));
                    Assert.Equal(plain, decoded);
                }
            }
        }
    }

    [Fact]
    public void Decode_TargetSmallerOrLargerThanTheStream_FillsWhatItCan()
    {
        Random random = new(Seed);
        for (int round = 0; round < 300; round++)
        {
            byte[] plain = Bytes(random, round % 6, random.Next(1, 3000));
            byte[] encoded = Encode(plain, 6, ZLibCompressionStrategy.Default);
            byte[] decoded = new byte[random.Next(0, plain.Length + 700)];
            int expected = Math.Min(plain.Length, decoded.Length);

            Assert.Equal(expected, DeflateDecoder.Decode(encoded, decoded));
            Assert.Equal(plain.AsSpan(0, expected), decoded.AsSpan(0, expected));
        }
    }

    [Fact]
    public void Decode_CutShort_GivesTheBeginningAndTouchesNothingOutside()
    {
        Random random = new(Seed);
        for (int round = 0; round < 400; round++)
        {
            byte[] plain = Bytes(random, round % 6, random.Next(1, 5000));
            byte[] encoded = Encode(plain, 1 + (round % 9), ZLibCompressionStrategy.Default);
            byte[] room = new byte[plain.Length + 200];
            room.AsSpan().Fill(0xA5);
            int got = DeflateDecoder.Decode(
                encoded.AsSpan(0, random.Next(encoded.Length)),
                room.AsSpan(100, plain.Length)
            );

            Assert.InRange(got, 0, plain.Length);
            Assert.Equal(plain.AsSpan(0, got), room.AsSpan(100, got));
            Assert.False(room.AsSpan(0, 100).ContainsAnyExcept((byte)0xA5), "bytes before the target were written");
            Assert.False(room.AsSpan(100 + plain.Length).ContainsAnyExcept((byte)0xA5), "bytes behind were written");
        }
    }

    [Fact]
    public void Decode_Damaged_IsRefusedWhereZlibRefuses()
    {
        Random random = new(Seed);
        int refused = 0;
        for (int round = 0; round < 6000; round++)
        {
            byte[] plain = Bytes(random, round % 6, random.Next(1, 2000));
            byte[] encoded = Encode(plain, round % 10, (ZLibCompressionStrategy)(round % 5));
            for (int flips = random.Next(1, 4); flips > 0; flips--)
            {
                encoded[random.Next(encoded.Length)] ^= (byte)(1 << random.Next(8));
            }

            byte[] room = new byte[plain.Length + 200];
            room.AsSpan().Fill(0xA5);
            bool ours = DeflateDecoder.Decode(encoded, room.AsSpan(100, plain.Length)) == plain.Length;
            byte[]? theirs = ByZlib(encoded, plain.Length);

            // A header whose window is said to be smaller than it is: the bytes are right all the same, by their checksum.
            bool isRightAnyway = ours && plain.AsSpan().SequenceEqual(room.AsSpan(100, plain.Length));
            Assert.True(
                isRightAnyway || ours == theirs is not null,
                $"round {round}: ours {ours}, zlib {theirs is not null}"
            );
            Assert.True(theirs is null || theirs.AsSpan().SequenceEqual(room.AsSpan(100, plain.Length)));
            Assert.False(room.AsSpan(0, 100).ContainsAnyExcept((byte)0xA5), "bytes before the target were written");
            Assert.False(room.AsSpan(100 + plain.Length).ContainsAnyExcept((byte)0xA5), "bytes behind were written");
            refused += ours ? 0 : 1;
        }

        Assert.True(refused > 3000, $"{refused} refused: the checksum catches what decodes");
    }

    [Theory]
    [InlineData("")]
    [InlineData("78")]
    [InlineData("789C")]
    [InlineData("799C0300")]
    [InlineData("78BB0000000003000000000001")]
    [InlineData("789C07")]
    public void Decode_NoStream_GivesNothing(string hex) =>
        Assert.Equal(0, DeflateDecoder.Decode(Convert.FromHexString(hex), new byte[400]));

    private static byte[] Encode(byte[] plain, int level, ZLibCompressionStrategy strategy)
    {
        using MemoryStream compressed = new();
        ZLibCompressionOptions options = new() { CompressionLevel = level, CompressionStrategy = strategy };
        using (ZLibStream stream = new(compressed, options, leaveOpen: true))
        {
            stream.Write(plain);
        }

        return compressed.ToArray();
    }

    /// <summary>What zlib makes of it: the bytes, or null where it throws, has fewer, or a wrong checksum.</summary>
    private static byte[]? ByZlib(byte[] encoded, int length)
    {
        byte[] decoded = new byte[length + 400];
        try
        {
            using ZLibStream stream = new(new MemoryStream(encoded), CompressionMode.Decompress);
            int total = 0;
            while (total < length)
            {
                int got = stream.Read(decoded.AsSpan(total, length - total));
                if (got == 0)
                {
                    return null;
                }

                total += got;
            }

            return decoded[..length];
        }
        catch (InvalidDataException)
        {
            return null;
        }
    }

    private static byte[] Bytes(Random random, int kind, int length)
    {
        byte[] bytes = new byte[length];
        for (int at = 0; at < length; at++)
        {
            bytes[at] = kind switch
            {
                0 => (byte)random.Next(256),
                1 => (byte)(at / 700),
                2 => (byte)"rows of coffee on steep ground "[at % 31],
                3 => (byte)(random.NextDouble() < 0.9 ? random.Next(4) : random.Next(256)),
                4 => at > 40 && random.Next(9) > 0 ? bytes[at - random.Next(1, 40)] : (byte)random.Next(256),
                // Ever rarer values: code words of up to 15 bits.
                _ => (byte)Math.Min(255, -Math.Log2(1 - random.NextDouble()) * 14),
            };
        }

        return bytes;
    }
}
