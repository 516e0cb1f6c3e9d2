using System.Text;

namespace Hillrow.Numerics;

/// <summary>
/// Random numbers that are the same on every machine and thread count: seeded, and splittable by name or
/// index, so that each block, plant or capture has a stream of its own that no other draw can disturb.
/// </summary>
/// <remarks>
/// Generator xoshiro256++ (Blackman &amp; Vigna 2021, ACM TOMS 47:36, doi 10.1145/3460772), seeded through
/// SplitMix64 (Steele, Lea &amp; Flood 2014, doi 10.1145/2660193.2660195). Not for secrets. Not thread-safe: split first.
/// </remarks>
public sealed class SplittableRandom
{
    private readonly ulong seed;
    private ulong s0;
    private ulong s1;
    private ulong s2;
    private ulong s3;
    private double spareGaussian = double.NaN;

    public SplittableRandom(ulong seed)
    {
        this.seed = seed;
        ulong state = seed;
        s0 = SplitMix(ref state);
        s1 = SplitMix(ref state);
        s2 = SplitMix(ref state);
        s3 = SplitMix(ref state);
    }

    /// <summary>A stream that depends on this one's seed and the label only, not on how much was drawn.</summary>
    public SplittableRandom Split(string label)
    {
        ArgumentNullException.ThrowIfNull(label);
        ulong hash = 14695981039346656037UL; // FNV-1a, 64 bit
        foreach (byte value in Encoding.UTF8.GetBytes(label))
        {
            hash = unchecked((hash ^ value) * 1099511628211UL);
        }

        return Split(hash);
    }

    /// <summary>A stream that depends on this one's seed and the index only, not on how much was drawn.</summary>
    public SplittableRandom Split(ulong index)
    {
        ulong state = seed ^ 0x6A09E667F3BCC909UL;
        ulong mixed = SplitMix(ref state);
        state = unchecked(mixed + (index * 0xD1342543DE82EF95UL));
        return new SplittableRandom(SplitMix(ref state));
    }

    public ulong NextUInt64()
    {
        unchecked
        {
            ulong result = ulong.RotateLeft(s0 + s3, 23) + s0;
            ulong shifted = s1 << 17;
            s2 ^= s0;
            s3 ^= s1;
            s1 ^= s2;
            s0 ^= s3;
            s2 ^= shifted;
            s3 = ulong.RotateLeft(s3, 45);
            return result;
        }
    }

    /// <summary>Uniform in [0, 1), 53 random bits.</summary>
    public double NextDouble() => (NextUInt64() >> 11) * (1.0 / (1UL << 53));

    /// <summary>Uniform in [low, high).</summary>
    public double NextDouble(double low, double high) => low + ((high - low) * NextDouble());

    /// <summary>Uniform integer in [0, exclusiveUpper), without modulo bias (Lemire 2019, doi 10.1145/3230636).</summary>
    /// <exception cref="ArgumentOutOfRangeException">The bound is not above 0.</exception>
    public int NextInt32(int exclusiveUpper)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(exclusiveUpper);
        ulong bound = (ulong)exclusiveUpper;
        while (true)
        {
            UInt128 product = (UInt128)NextUInt64() * bound;
            ulong low = unchecked((ulong)product);
            if (low >= bound || low >= unchecked(0UL - bound) % bound)
            {
                return (int)(ulong)(product >> 64);
            }
        }
    }

    /// <summary>Standard normal deviate (polar method, Marsaglia &amp; Bray 1964, doi 10.1137/1006063).</summary>
    public double NextGaussian()
    {
        if (!double.IsNaN(spareGaussian))
        {
            double spare = spareGaussian;
            spareGaussian = double.NaN;
            return spare;
        }

        while (true)
        {
            double u = (2 * NextDouble()) - 1;
            double v = (2 * NextDouble()) - 1;
            double square = (u * u) + (v * v);
            if (square is > 0 and < 1)
            {
                double factor = Math.Sqrt(-2 * Math.Log(square) / square);
                spareGaussian = v * factor;
                return u * factor;
            }
        }
    }

    /// <summary>Fisher–Yates shuffle, in place.</summary>
    public void Shuffle<T>(Span<T> items)
    {
        for (int last = items.Length - 1; last > 0; last--)
        {
            int other = NextInt32(last + 1);
            (items[last], items[other]) = (items[other], items[last]);
        }
    }

    private static ulong SplitMix(ref ulong state)
    {
        unchecked
        {
            state += 0x9E3779B97F4A7C15UL;
            ulong mixed = state;
            mixed = (mixed ^ (mixed >> 30)) * 0xBF58476D1CE4E5B9UL;
            mixed = (mixed ^ (mixed >> 27)) * 0x94D049BB133111EBUL;
            return mixed ^ (mixed >> 31);
        }
    }
}
