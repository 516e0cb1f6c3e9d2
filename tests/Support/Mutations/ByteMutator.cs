namespace Hillrow.TestSupport;

/// <summary>
/// Spoils files the way cards, cables and attackers do: flipped bits, bytes set to telling values, pieces lost,
/// doubled, moved or swapped, the end cut off. Same seed, same damage.
/// </summary>
public sealed class ByteMutator(int seed)
{
    private static readonly byte[] TellingBytes =
    [
        0,
        1,
        0x7F,
        0x80,
        0xFE,
        0xFF,
        (byte)'<',
        (byte)'"',
        (byte)'&',
        (byte)'0',
    ];
    private static readonly uint[] TellingWords =
    [
        0,
        1,
        0xFF,
        0x7FFF,
        0xFFFF,
        0x10000,
        0x7FFFFFFF,
        0x80000000,
        0xFFFFFFFF,
        0xFFFFFFF0,
        0x40000000,
        0x00FFFFFF,
    ];

    // The seeded generator of System.Random is the same on every .NET version, which is all that is asked here.
    private readonly Random random = new(seed);

    /// <summary>A spoilt copy: one to six injuries; never longer than twice the original plus 64 bytes.</summary>
    public byte[] Spoil(byte[] original)
    {
        ArgumentNullException.ThrowIfNull(original);
        List<byte> bytes = [.. original];
        int most = (2 * original.Length) + 64;
        // Mostly a single injury: many at once are refused at the door and never reach the rooms behind it.
        for (int left = random.Next(3) == 0 ? 2 + random.Next(5) : 1; left > 0; left--)
        {
            Injure(bytes);
            if (bytes.Count > most)
            {
                bytes.RemoveRange(most, bytes.Count - most);
            }
        }

        return [.. bytes];
    }

    private void Injure(List<byte> bytes)
    {
        if (bytes.Count == 0)
        {
            bytes.Add(TellingBytes[random.Next(TellingBytes.Length)]);
            return;
        }

        int place = Place(bytes.Count);
        switch (random.Next(10))
        {
            case 0 or 1:
                bytes[place] ^= (byte)(1 << random.Next(8));
                break;
            case 2:
                bytes[place] = TellingBytes[random.Next(TellingBytes.Length)];
                break;
            case 3 or 4:
                uint word = TellingWords[random.Next(TellingWords.Length)];
                bool bigEndian = random.Next(2) == 0;
                int size = random.Next(2) == 0 ? 2 : 4;
                for (int i = 0; i < size && place + i < bytes.Count; i++)
                {
                    bytes[place + i] = unchecked((byte)(word >> (8 * (bigEndian ? size - 1 - i : i))));
                }

                break;
            case 5:
                bytes.RemoveRange(place, Math.Min(bytes.Count - place, 1 + random.Next(16)));
                break;
            case 6:
                bytes.InsertRange(place, bytes.GetRange(place, Math.Min(bytes.Count - place, 1 + random.Next(64))));
                break;
            case 7:
                bytes.Insert(place, (byte)random.Next(256));
                break;
            case 8:
                int other = Place(bytes.Count);
                (bytes[place], bytes[other]) = (bytes[other], bytes[place]);
                break;
            default:
                // Cutting is the commonest real damage but ends every other: keep it to one in ten.
                bytes.RemoveRange(place, bytes.Count - place);
                break;
        }
    }

    /// <summary>Any place, but every other time near the start or the end, where formats keep their tables.</summary>
    private int Place(int count) =>
        random.Next(4) switch
        {
            0 => random.Next(Math.Min(count, 256)),
            1 => count - 1 - random.Next(Math.Min(count, 512)),
            _ => random.Next(count),
        };
}
