using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Hillrow.Radiometry;

/// <summary>What turns one row's counts into reflectance.</summary>
/// <param name="Shift">Bits to drop from the stored sample, 0 when it is the count itself.</param>
/// <param name="Black">Counts, the row's own offset included.</param>
/// <param name="Largest">Counts at or above it are saturated.</param>
/// <param name="Scale">Reflectance per count above black where the falloff is 1.</param>
/// <param name="VariancePerCount">Photon noise: counts² per count above black.</param>
/// <param name="VarianceCounts">Read and rounding noise, counts².</param>
/// <param name="RelativeVariance">Square of what the calibration is unsure of.</param>
public readonly record struct RowScale(
    int Shift,
    float Black,
    int Largest,
    float Scale,
    float VariancePerCount,
    float VarianceCounts,
    float RelativeVariance
);

/// <summary>Counts to reflectance with its standard error, one row at a time, all corrections in one pass.</summary>
/// <remarks>
/// ρ = (count − black) · scale · correction; σ² = (photon · max(0, count − black) + read) · (scale · correction)² +
/// (relative · ρ)². The vector path takes the same operations in the same order as the plain one: same bits.
/// </remarks>
public static class ReflectanceKernel
{
    /// <param name="samples">As stored.</param>
    /// <param name="correction">1 / falloff of each pixel.</param>
    /// <param name="row">Of the frame and row.</param>
    /// <param name="reflectance">Receives as many; NaN where saturated, not clamped.</param>
    /// <param name="sigma">Receives as many, NaN where saturated; or empty.</param>
    /// <exception cref="ArgumentException">Lengths differ.</exception>
    public static void Row(
        ReadOnlySpan<ushort> samples,
        ReadOnlySpan<float> correction,
        in RowScale row,
        Span<float> reflectance,
        Span<float> sigma
    )
    {
        if (
            correction.Length != samples.Length
            || reflectance.Length != samples.Length
            || (!sigma.IsEmpty && sigma.Length != samples.Length)
        )
        {
            throw new ArgumentException(
                $"{samples.Length} samples, {correction.Length} corrections, {reflectance.Length} reflectances and {sigma.Length} sigmas must be as many."
            );
        }

        int done = Vector256.IsHardwareAccelerated ? Vectors(samples, correction, row, reflectance, sigma) : 0;
        for (int index = done; index < samples.Length; index++)
        {
            int count = samples[index] >> row.Shift;
            float above = count - row.Black;
            float factor = row.Scale * correction[index];
            float value = above * factor;
            bool saturated = count >= row.Largest;
            reflectance[index] = saturated ? float.NaN : value;
            if (!sigma.IsEmpty)
            {
                float noise = (MathF.Max(0, above) * row.VariancePerCount) + row.VarianceCounts;
                float variance = (noise * (factor * factor)) + ((value * value) * row.RelativeVariance);
                sigma[index] = saturated ? float.NaN : MathF.Sqrt(variance);
            }
        }
    }

    /// <summary>How many pixels were done: whole vectors of 16.</summary>
    private static int Vectors(
        ReadOnlySpan<ushort> samples,
        ReadOnlySpan<float> correction,
        in RowScale row,
        Span<float> reflectance,
        Span<float> sigma
    )
    {
        ref ushort from = ref MemoryMarshal.GetReference(samples);
        ref float lens = ref MemoryMarshal.GetReference(correction);
        ref float to = ref MemoryMarshal.GetReference(reflectance);
        ref float error = ref MemoryMarshal.GetReference(sigma);
        bool wanted = !sigma.IsEmpty;
        int whole = samples.Length & ~15;
        for (int index = 0; index < whole; index += 16)
        {
            Vector256<ushort> words = Vector256.LoadUnsafe(ref from, (nuint)index);
            (Vector256<uint> low, Vector256<uint> high) = Vector256.Widen(words);
            Eight(low, ref lens, index, row, ref to, ref error, wanted);
            Eight(high, ref lens, index + 8, row, ref to, ref error, wanted);
        }

        return whole;
    }

    private static void Eight(
        Vector256<uint> samples,
        ref float lens,
        int index,
        in RowScale row,
        ref float to,
        ref float error,
        bool wanted
    )
    {
        Vector256<int> counts = Vector256.ShiftRightLogical(samples, row.Shift).AsInt32();
        Vector256<float> above = Vector256.ConvertToSingle(counts) - Vector256.Create(row.Black);
        Vector256<float> factor = Vector256.LoadUnsafe(ref lens, (nuint)index) * Vector256.Create(row.Scale);
        Vector256<float> value = above * factor;
        Vector256<float> saturated = Vector256.GreaterThanOrEqual(counts, Vector256.Create(row.Largest)).AsSingle();
        Vector256<float> none = Vector256.Create(float.NaN);
        Vector256.ConditionalSelect(saturated, none, value).StoreUnsafe(ref to, (nuint)index);
        if (wanted)
        {
            Vector256<float> light = Vector256.Max(above, Vector256<float>.Zero);
            Vector256<float> noise =
                (light * Vector256.Create(row.VariancePerCount)) + Vector256.Create(row.VarianceCounts);
            Vector256<float> variance =
                (noise * (factor * factor)) + ((value * value) * Vector256.Create(row.RelativeVariance));
            Vector256.ConditionalSelect(saturated, none, Vector256.Sqrt(variance)).StoreUnsafe(ref error, (nuint)index);
        }
    }
}
