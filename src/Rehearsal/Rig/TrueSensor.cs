using System.Numerics;
using System.Runtime.CompilerServices;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>How long and how strongly a frame was exposed.</summary>
/// <param name="Seconds">Shutter time.</param>
/// <param name="Gain">Electronic gain, 1, 2 or 4.</param>
public readonly record struct Exposure(double Seconds, double Gain);

/// <summary>A sensor behind its lens: from radiance to counts, 12 bit in the upper bits of 16.</summary>
/// <param name="ElectronsPerRadianceSecond">Electrons per (W m⁻² sr⁻¹ nm⁻¹) and second in the picture's middle.</param>
/// <param name="ElectronsPerCount">At gain 1.</param>
/// <param name="BlackCounts">Level without light, 12-bit counts.</param>
/// <param name="RowOffsetSigmaCounts">Spread of the offsets that each row has of its own.</param>
/// <param name="ReadNoiseElectrons">Standard deviation.</param>
/// <param name="Falloff">Vignetting: coefficients of r², r⁴, r⁶; r is 1 at the half diagonal.</param>
/// <param name="FalloffCentreColumn">Where the picture is brightest.</param>
/// <param name="FalloffCentreRow">Where the picture is brightest.</param>
/// <param name="TiltColumn">Linear brightness change over the half width.</param>
/// <param name="TiltRow">Linear brightness change over the half height.</param>
/// <param name="StrayShare">Veiling glare: share of the frame's mean radiance laid over everything.</param>
/// <param name="RowSeed">Which row offsets.</param>
public sealed record TrueSensor(
    double ElectronsPerRadianceSecond,
    double ElectronsPerCount,
    double BlackCounts,
    double RowOffsetSigmaCounts,
    double ReadNoiseElectrons,
    IReadOnlyList<double> Falloff,
    double FalloffCentreColumn,
    double FalloffCentreRow,
    double TiltColumn,
    double TiltRow,
    double StrayShare,
    uint RowSeed
)
{
    /// <summary>Brightest 12-bit count.</summary>
    public const int WhiteCount = 4095;

    /// <summary>Counts are stored shifted left by this many bits.</summary>
    public const int StoredShift = 4;

    /// <summary>Edge of this sensor's pixels in those of the full frame: 2 for a sensor of half as many each way.</summary>
    public int PixelEdge { get; init; } = 1;

    private static readonly double[] Sensitivity = [1.6e8, 1.1e8, 1.35e8, 1.0e8, 0.75e8];

    public static TrueSensor Draw(int bandIndex, SplittableRandom draw)
    {
        ArgumentNullException.ThrowIfNull(draw);
        return new TrueSensor(
            Sensitivity[bandIndex] * (1 + (0.03 * draw.NextGaussian())),
            2.5 * (1 + (0.01 * draw.NextGaussian())),
            203 + (1.5 * draw.NextGaussian()),
            0.7,
            8.5 * (1 + (0.1 * draw.NextDouble())),
            [
                -0.36 + (0.02 * draw.NextGaussian()),
                0.06 + (0.015 * draw.NextGaussian()),
                -0.05 + (0.01 * draw.NextGaussian()),
            ],
            (TrueRig.Columns / 2.0) + (14 * draw.NextGaussian()),
            (TrueRig.Rows / 2.0) + (14 * draw.NextGaussian()),
            0.008 * draw.NextGaussian(),
            0.008 * draw.NextGaussian(),
            draw.NextDouble(0.004, 0.012),
            (uint)(draw.NextUInt64() >> 32)
        );
    }

    /// <summary>As on the data sheet: typical values, no stray light, no row offsets.</summary>
    public static TrueSensor Nominal(int bandIndex) =>
        new(
            Sensitivity[bandIndex],
            2.5,
            203,
            0,
            8.5,
            [-0.36, 0.06, -0.05],
            TrueRig.Columns / 2.0,
            TrueRig.Rows / 2.0,
            0,
            0,
            0,
            0
        );

    /// <summary>Share of the light that reaches a pixel place, 1 in the middle.</summary>
    public double Transmission(double column, double row)
    {
        double x = (column * PixelEdge) - FalloffCentreColumn;
        double y = (row * PixelEdge) - FalloffCentreRow;
        const double HalfWidth = TrueRig.Columns / 2.0;
        const double HalfHeight = TrueRig.Rows / 2.0;
        double squared = ((x * x) + (y * y)) / ((HalfWidth * HalfWidth) + (HalfHeight * HalfHeight));
        double round = 1 + (squared * (Falloff[0] + (squared * (Falloff[1] + (squared * Falloff[2])))));
        return round * (1 + (TiltColumn * x / HalfWidth) + (TiltRow * y / HalfHeight));
    }

    /// <summary>Offset of a row of pixels, 12-bit counts; fixed for the sensor.</summary>
    public double RowOffset(int row) =>
        RowOffsetSigmaCounts * 3.46 * (LatticeNoise.Unit(LatticeNoise.Hash(row, 77, RowSeed)) - 0.5);

    /// <summary>12-bit count, not rounded, that a radiance gives without noise.</summary>
    public double Count(double radiance, double column, double row, Exposure exposure) =>
        BlackCounts
        + RowOffset((int)row)
        + (
            radiance
            * Transmission(column, row)
            * ElectronsPerRadianceSecond
            * exposure.Seconds
            * exposure.Gain
            / ElectronsPerCount
        );

    /// <summary>Radiance behind a 12-bit count: the inverse of <see cref="Count"/>.</summary>
    public double Radiance(double count, double column, double row, Exposure exposure) =>
        (count - BlackCounts - RowOffset((int)row))
        * ElectronsPerCount
        / (Transmission(column, row) * ElectronsPerRadianceSecond * exposure.Seconds * exposure.Gain);

    /// <summary>Exposes a frame: stray light, vignetting, photon and read noise, black level, rounding, clipping.</summary>
    /// <param name="radiance">Rows × Columns at the lens, W m⁻² sr⁻¹ nm⁻¹.</param>
    /// <param name="counts">Receives the same shape, stored form (12 bit shifted left).</param>
    /// <param name="noiseSeed">Of capture and band; same seed, same noise.</param>
    /// <param name="threads">The counts do not depend on it.</param>
    /// <param name="strayRadiance">What was laid over every pixel; part of the truth.</param>
    public void Expose(
        float[] radiance,
        int columns,
        int rows,
        Exposure exposure,
        uint noiseSeed,
        ushort[] counts,
        int threads,
        out double strayRadiance
    )
    {
        ArgumentNullException.ThrowIfNull(radiance);
        ArgumentNullException.ThrowIfNull(counts);
        if (radiance.Length != columns * rows || counts.Length != radiance.Length)
        {
            throw new ArgumentException(
                $"{radiance.Length} radiances and {counts.Length} counts for {columns} x {rows} pixels."
            );
        }

        double sum = 0;
        foreach (float value in radiance)
        {
            sum += value;
        }

        strayRadiance = StrayShare * sum / radiance.Length;
        float stray = (float)strayRadiance;
        Parallel.For(
            0,
            rows,
            new ParallelOptions { MaxDegreeOfParallelism = threads },
            row =>
                ExposeRow(
                    radiance.AsSpan(row * columns, columns),
                    row,
                    exposure,
                    noiseSeed,
                    stray,
                    counts.AsSpan(row * columns, columns)
                )
        );
    }

    private void ExposeRow(
        ReadOnlySpan<float> radiance,
        int row,
        Exposure exposure,
        uint noiseSeed,
        float stray,
        Span<ushort> counts
    )
    {
        float electrons = (float)(ElectronsPerRadianceSecond * exposure.Seconds);
        float countsPerElectron = (float)(exposure.Gain / ElectronsPerCount);
        float readSquared = (float)(ReadNoiseElectrons * ReadNoiseElectrons);
        float offset = (float)(BlackCounts + RowOffset(row));
        for (int column = 0; column < radiance.Length; column++)
        {
            float signal = (radiance[column] + stray) * (float)Transmission(column + 0.5, row + 0.5) * electrons;
            float noise = MathF.Sqrt(signal + readSquared) * Gaussian(column, row, noiseSeed);
            float count = offset + ((signal + noise) * countsPerElectron);
            counts[column] = (ushort)(Math.Clamp((int)MathF.Round(count), 0, WhiteCount) << StoredShift);
        }
    }

    /// <summary>Near-normal draw of mean 0 and variance 1, from the number of ones in 64 random bits and a remainder.</summary>
    /// <remarks>Binomial(64, ½) has variance 16; the uniform remainder adds 1/12. Tails end at 8 σ.</remarks>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static float Gaussian(int column, int row, uint seed)
    {
        unchecked
        {
            uint a = LatticeNoise.Hash(column, row, seed);
            uint b = LatticeNoise.Mix(a + 0x9e3779b9u);
            int ones = BitOperations.PopCount(a) + BitOperations.PopCount(b);
            float rest = LatticeNoise.Unit(LatticeNoise.Mix(b ^ 0x68bc21ebu)) - 0.5f;
            return (ones - 32 + rest) * 0.249351f;
        }
    }
}
