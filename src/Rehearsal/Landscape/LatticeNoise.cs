using System.Runtime.CompilerServices;

namespace Hillrow.Rehearsal;

/// <summary>Seeded hashes of whole numbers and smooth noise on a square lattice: textures that never repeat and never drift.</summary>
/// <remarks>Integer mixing after the "lowbias32" family (C. Wellons 2018, from memory). Results are the same on every machine.</remarks>
public static class LatticeNoise
{
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static uint Mix(uint value)
    {
        unchecked
        {
            // Wrap-around multiplication is what mixes the bits.
            value ^= value >> 16;
            value *= 0x21f0aaadu;
            value ^= value >> 15;
            value *= 0xd35a2d97u;
            return value ^ (value >> 15);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static uint Hash(int x, int y, uint seed)
    {
        unchecked
        {
            return Mix(((uint)x * 0x9e3779b1u) ^ Mix(((uint)y * 0x85ebca77u) + seed));
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static uint Hash(int x, int y, int z, uint seed)
    {
        unchecked
        {
            return Mix(((uint)x * 0x9e3779b1u) ^ ((uint)z * 0xc2b2ae3du) ^ Mix(((uint)y * 0x85ebca77u) + seed));
        }
    }

    /// <summary>A hash as a number in [0, 1).</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static float Unit(uint hash) => (hash >> 8) * (1f / 16777216f);

    /// <summary>Smooth noise in [-1, 1], one feature per unit of x and y.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static float Smooth(float x, float y, uint seed)
    {
        unchecked
        {
            int ix = (int)MathF.Floor(x);
            int iy = (int)MathF.Floor(y);
            float fx = x - ix;
            float fy = y - iy;
            float wx = fx * fx * fx * ((fx * ((fx * 6) - 15)) + 10);
            float wy = fy * fy * fy * ((fy * ((fy * 6) - 15)) + 10);
            float a = Unit(Hash(ix, iy, seed));
            float b = Unit(Hash(ix + 1, iy, seed));
            float c = Unit(Hash(ix, iy + 1, seed));
            float d = Unit(Hash(ix + 1, iy + 1, seed));
            float low = a + ((b - a) * wx);
            float high = c + ((d - c) * wx);
            return (2 * (low + ((high - low) * wy))) - 1;
        }
    }

    /// <summary>Sum of octaves, each twice as fine; amplitude of the first is 1 and falls by <paramref name="persistence"/>.</summary>
    public static float Fractal(float x, float y, int octaves, float persistence, uint seed)
    {
        float sum = 0;
        float amplitude = 1;
        for (int octave = 0; octave < octaves; octave++)
        {
            sum += amplitude * Smooth(x, y, unchecked(seed + ((uint)octave * 0x632be5abu)));
            // The turn between octaves hides the lattice directions.
            (x, y) = ((1.6f * x) - (1.2f * y) + 17.3f, (1.2f * x) + (1.6f * y) - 9.1f);
            amplitude *= persistence;
        }

        return sum;
    }
}
