using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>
/// The rig's optional sixth sensor: uncooled, few pixels, counts that the camera itself has turned into brightness
/// temperature, and a zero that drifts as its housing warms.
/// </summary>
/// <param name="Lens">True optics, pixels of this sensor.</param>
/// <param name="OffsetMetres">From the rig's reference point, in rig axes.</param>
/// <param name="CameraToRig">Turns camera axes into rig axes.</param>
/// <param name="BlurPixels">Half width of the tent that a point of heat makes.</param>
/// <param name="GainError">Share by which differences from <see cref="HousingKelvin"/> are reported too large.</param>
/// <param name="HousingKelvin">Temperature at which the sensor was last levelled.</param>
/// <param name="DriftKelvin">Standard deviation of the drifting zero.</param>
/// <param name="NoiseKelvin">Of one pixel of one frame, one standard deviation.</param>
/// <param name="PatternKelvin">Spread of the fixed pattern that levelling leaves.</param>
/// <param name="PatternSeed">Which pattern.</param>
public sealed record ThermalCamera(
    TrueLens Lens,
    Vector3D OffsetMetres,
    Matrix3D CameraToRig,
    double BlurPixels,
    double GainError,
    double HousingKelvin,
    double DriftKelvin,
    double NoiseKelvin,
    double PatternKelvin,
    uint PatternSeed
)
{
    public const string BandName = "thermal infrared";

    public const int Columns = 240;

    public const int Rows = 180;

    public const double PixelMicrometres = 15;

    public const double NominalFocalMillimetres = 3.4;

    public const double CentreNanometres = 500 * (HeatRadiance.FromMicrometres + HeatRadiance.ToMicrometres);

    public const double WidthNanometres = 1000 * (HeatRadiance.ToMicrometres - HeatRadiance.FromMicrometres);

    /// <summary>Bits of a count.</summary>
    public const int Bits = 14;

    public const double KelvinPerCount = 0.02;

    /// <summary>Temperature of count 0.</summary>
    public const double OffsetKelvin = 150;

    /// <summary>Standard error of the zero as the data sheet says.</summary>
    public const double StatedAccuracyKelvin = 1;

    /// <summary>Correlation time of the drifting zero.</summary>
    public const double DriftSeconds = 210;

    /// <summary>As on the data sheet: no errors, nominal optics.</summary>
    public static ThermalCamera Nominal { get; } =
        new(
            Optics(NominalFocal, Columns / 2.0, Rows / 2.0, -0.21, 0.06, null),
            new Vector3D(0.042, 0.018, 0),
            Matrix3D.Identity,
            1.1,
            0,
            300,
            0,
            0.06,
            0,
            0
        );

    private static double NominalFocal => NominalFocalMillimetres * 1000 / PixelMicrometres;

    /// <summary>One of its own for every seed.</summary>
    public static ThermalCamera Build(ulong seed)
    {
        SplittableRandom draw = new SplittableRandom(seed).Split("thermal");
        double focal = NominalFocal * (1 + (0.008 * draw.NextGaussian()));
        return new ThermalCamera(
            Optics(
                focal,
                (Columns / 2.0) + (2.5 * draw.NextGaussian()),
                (Rows / 2.0) + (2.5 * draw.NextGaussian()),
                -0.21 + (0.012 * draw.NextGaussian()),
                0.06 + (0.01 * draw.NextGaussian()),
                new ResidualField(Columns, Rows, 0.08, draw.Split("residual"))
            ),
            Nominal.OffsetMetres
                + new Vector3D(
                    0.0004 * draw.NextGaussian(),
                    0.0004 * draw.NextGaussian(),
                    0.0005 * draw.NextGaussian()
                ),
            Matrix3D.FromRotationVector(
                new Vector3D(0.006 * draw.NextGaussian(), 0.006 * draw.NextGaussian(), 0.004 * draw.NextGaussian())
            ),
            1.1 + (0.1 * draw.NextDouble()),
            0.01 * draw.NextGaussian(),
            300 + (4 * draw.NextGaussian()),
            0.8,
            0.06 * (1 + (0.15 * draw.NextDouble())),
            0.18,
            (uint)(draw.NextUInt64() >> 32)
        );
    }

    /// <summary>Centre of projection in the local frame.</summary>
    public Vector3D Centre(RigPose pose) => pose.PositionMetres + (pose.RigToLocal() * OffsetMetres);

    /// <summary>Turns camera axes into east, north, up.</summary>
    public Matrix3D CameraToLocal(RigPose pose) => pose.RigToLocal() * CameraToRig;

    /// <summary>What the camera reports of a brightness temperature, without noise and rounding.</summary>
    public double Reported(double brightnessKelvin, int column, int row, double driftKelvin)
    {
        // The lens is warmer at its rim: a bowl, besides stripes and patches of the sensor.
        double stripe = LatticeNoise.Unit(LatticeNoise.Hash(column, 3, PatternSeed)) - 0.5;
        double patch = LatticeNoise.Smooth(column / 37f, row / 37f, PatternSeed + 1);
        return HousingKelvin
            + ((1 + GainError) * (brightnessKelvin - HousingKelvin))
            + driftKelvin
            + (PatternKelvin * ((0.8 * stripe) + patch));
    }

    /// <summary>Counts of a frame of brightness temperatures; same seed, same noise.</summary>
    public ushort[] Expose(ReadOnlySpan<float> brightnessKelvin, double driftKelvin, uint noiseSeed)
    {
        ushort[] counts = new ushort[brightnessKelvin.Length];
        for (int at = 0; at < counts.Length; at++)
        {
            int column = at % Columns;
            int row = at / Columns;
            uint hash = LatticeNoise.Hash(column, row, noiseSeed);
            double noise = 0;
            // Twelve uniform draws have variance 1.
            for (int draw = 0; draw < 12; draw++)
            {
                hash = LatticeNoise.Mix(unchecked(hash + 0x9e3779b9u));
                noise += LatticeNoise.Unit(hash) - 0.5;
            }

            double kelvin = Reported(brightnessKelvin[at], column, row, driftKelvin) + (NoiseKelvin * noise);
            counts[at] = (ushort)Math.Clamp(Math.Round((kelvin - OffsetKelvin) / KelvinPerCount), 0, (1 << Bits) - 1);
        }

        return counts;
    }

    private static TrueLens Optics(
        double focal,
        double column,
        double row,
        double radial1,
        double radial2,
        ResidualField? residual
    ) => new(focal, focal, column, row, radial1, radial2, 0, 0, 0, residual);
}
