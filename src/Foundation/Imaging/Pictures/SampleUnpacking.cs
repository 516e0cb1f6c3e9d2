using System.Runtime.InteropServices;

namespace Hillrow.Imaging;

/// <summary>Turns rows of samples as stored into counts or floats. All in this machine's byte order.</summary>
internal static class SampleUnpacking
{
    /// <summary>Unsigned samples of 1 … 16 bits, packed high bit first, the row starting on a whole byte.</summary>
    public static void Packed(ReadOnlySpan<byte> row, int bits, Span<ushort> counts)
    {
        // Shifts of a bounded accumulator: overflow checks have nothing to find here.
        unchecked
        {
            switch (bits)
            {
                case 8:
                    for (int i = 0; i < counts.Length; i++)
                    {
                        counts[i] = row[i];
                    }

                    return;
                case 16:
                    MemoryMarshal.Cast<byte, ushort>(row)[..counts.Length].CopyTo(counts);
                    return;
                case 12:
                    int pairs = counts.Length / 2;
                    for (int i = 0; i < pairs; i++)
                    {
                        int a = row[3 * i];
                        int b = row[(3 * i) + 1];
                        int c = row[(3 * i) + 2];
                        counts[2 * i] = (ushort)((a << 4) | (b >> 4));
                        counts[(2 * i) + 1] = (ushort)(((b & 15) << 8) | c);
                    }

                    if (counts.Length % 2 == 1)
                    {
                        counts[^1] = (ushort)((row[3 * pairs] << 4) | (row[(3 * pairs) + 1] >> 4));
                    }

                    return;
                default:
                    uint held = 0;
                    int have = 0;
                    int from = 0;
                    uint mask = (1u << bits) - 1;
                    for (int i = 0; i < counts.Length; i++)
                    {
                        while (have < bits)
                        {
                            held = (held << 8) | row[from++];
                            have += 8;
                        }

                        have -= bits;
                        counts[i] = (ushort)((held >> have) & mask);
                    }

                    return;
            }
        }
    }

    /// <summary>Signed, wide or floating samples as floats.</summary>
    public static void ToFloats(ReadOnlySpan<byte> row, SampleForm form, int bits, Span<float> values)
    {
        switch (form, bits)
        {
            case (SampleForm.Float, 32):
                MemoryMarshal.Cast<byte, float>(row)[..values.Length].CopyTo(values);
                break;
            case (SampleForm.Float, 16):
                ReadOnlySpan<Half> halves = MemoryMarshal.Cast<byte, Half>(row);
                for (int i = 0; i < values.Length; i++)
                {
                    values[i] = (float)halves[i];
                }

                break;
            case (SampleForm.Float, 64):
                ReadOnlySpan<double> doubles = MemoryMarshal.Cast<byte, double>(row);
                for (int i = 0; i < values.Length; i++)
                {
                    values[i] = (float)doubles[i];
                }

                break;
            case (SampleForm.Signed, 8):
                ReadOnlySpan<sbyte> bytes = MemoryMarshal.Cast<byte, sbyte>(row);
                for (int i = 0; i < values.Length; i++)
                {
                    values[i] = bytes[i];
                }

                break;
            case (SampleForm.Signed, 16):
                ReadOnlySpan<short> shorts = MemoryMarshal.Cast<byte, short>(row);
                for (int i = 0; i < values.Length; i++)
                {
                    values[i] = shorts[i];
                }

                break;
            case (SampleForm.Signed, 32):
                ReadOnlySpan<int> whole = MemoryMarshal.Cast<byte, int>(row);
                for (int i = 0; i < values.Length; i++)
                {
                    values[i] = whole[i];
                }

                break;
            default:
                ReadOnlySpan<uint> words = MemoryMarshal.Cast<byte, uint>(row);
                for (int i = 0; i < values.Length; i++)
                {
                    values[i] = words[i];
                }

                break;
        }
    }

    /// <summary>Takes every stride-th sample of a row.</summary>
    public static void Pick<T>(ReadOnlySpan<T> row, int first, int stride, Span<T> target)
    {
        if (stride == 1)
        {
            row.Slice(first, target.Length).CopyTo(target);
            return;
        }

        int from = first;
        for (int i = 0; i < target.Length; i++)
        {
            target[i] = row[from];
            from += stride;
        }
    }

    /// <summary>Takes every stride-th count of a row as a float.</summary>
    public static void Pick(ReadOnlySpan<ushort> row, int first, int stride, Span<float> target)
    {
        int from = first;
        for (int i = 0; i < target.Length; i++)
        {
            target[i] = row[from];
            from += stride;
        }
    }
}
