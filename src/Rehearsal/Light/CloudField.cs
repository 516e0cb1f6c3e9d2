namespace Hillrow.Rehearsal;

/// <summary>Passing clouds: how much of the sun's beam comes through at a place on the ground and a time.</summary>
/// <param name="Cover">0 none … 1 overcast.</param>
/// <param name="DriftEastMetresPerSecond">Motion of the shadows over the ground.</param>
/// <param name="DriftNorthMetresPerSecond">Motion of the shadows over the ground.</param>
/// <param name="ThickTransmittance">Share of the beam that the thickest part lets through.</param>
/// <param name="Seed">Which clouds.</param>
public sealed record CloudField(
    double Cover,
    double DriftEastMetresPerSecond,
    double DriftNorthMetresPerSecond,
    double ThickTransmittance,
    ulong Seed
)
{
    public static CloudField None { get; } = new(0, 0, 0, 1, 0);

    /// <summary>Share of the direct beam that reaches the place, 0 … 1; shadow edges are tens of metres wide.</summary>
    public double BeamShare(double eastMetres, double northMetres, double seconds)
    {
        if (Cover <= 0)
        {
            return 1;
        }

        float x = (float)((eastMetres - (DriftEastMetresPerSecond * seconds)) / 170);
        float y = (float)((northMetres - (DriftNorthMetresPerSecond * seconds)) / 170);
        float value = LatticeNoise.Fractal(x, y, 4, 0.5f, unchecked((uint)Seed * 1597334677u));
        double thick = Math.Clamp((value - (0.75 - (1.5 * Cover))) / 0.3, 0, 1);
        return 1 - ((1 - ThickTransmittance) * thick * thick * (3 - (2 * thick)));
    }

    /// <summary>Factor on skylight: bright cloud sides add to it, a closed deck of them more so.</summary>
    public double SkyFactor(double seconds) =>
        Cover <= 0
            ? 1
            : 1
                + (0.9 * Cover)
                + (0.12 * Cover * LatticeNoise.Smooth((float)(seconds / 40), 0.5f, (uint)(Seed & 65535)));
}
