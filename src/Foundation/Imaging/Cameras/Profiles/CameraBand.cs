namespace Hillrow.Imaging;

public enum BandKind
{
    /// <summary>Sees reflected sunlight.</summary>
    Reflective,

    /// <summary>Sees the heat of the surface itself.</summary>
    Thermal,
}

/// <summary>One band of a camera: what light it sees, its sensor, lens, place in the camera and radiometry.</summary>
public sealed record CameraBand
{
    public required string Name { get; init; }

    public BandKind Kind { get; init; } = BandKind.Reflective;

    public required double CentreNanometres { get; init; }

    /// <summary>Full width at half maximum.</summary>
    public required double WidthNanometres { get; init; }

    public required BandSensor Sensor { get; init; }

    /// <summary>In pixels of this band's sensor.</summary>
    public required Lens Lens { get; init; }

    public CameraMount Mount { get; init; } = CameraMount.Reference;

    /// <summary>Sample of each pixel, 0 the first, when one picture holds several bands; null: a picture is one band.</summary>
    public int? Plane { get; init; }

    public Vignetting Vignetting { get; init; } = Vignetting.None;

    public BlackLevel BlackLevel { get; init; } = new(0, FromMetadata: false);

    /// <summary>Makes counts proportional to light; null when they already are.</summary>
    public ResponseTable? Response { get; init; }

    /// <summary>What depends on the row as the sensor is read out; null for none.</summary>
    public RowCorrection? RowCorrection { get; init; }

    /// <summary>Null when the camera's noise has not been measured.</summary>
    public NoiseModel? Noise { get; init; }

    /// <summary>
    /// K in counts above black / largest count = K · radiance · seconds · gain · falloff, radiance in W m⁻² sr⁻¹ nm⁻¹;
    /// null when only relative radiance can be had.
    /// </summary>
    public double? RadiometricScale { get; init; }

    /// <summary>For thermal bands: how counts become brightness temperature.</summary>
    public ThermalScale? Thermal { get; init; }
}

/// <summary>A band's sensor.</summary>
/// <param name="Columns">Pixels across.</param>
/// <param name="Rows">Pixels down.</param>
/// <param name="PixelPitchMicrometres">Distance of neighbouring pixel centres.</param>
/// <param name="BitDepth">Bits of a count, 8 … 16.</param>
/// <param name="Placement">How a count of fewer than 16 bits sits in a 16-bit sample.</param>
public sealed record BandSensor(
    int Columns,
    int Rows,
    double PixelPitchMicrometres,
    int BitDepth,
    BitPlacement Placement = BitPlacement.Low
)
{
    /// <summary>The largest count, 2^bits − 1: at it a pixel is saturated.</summary>
    public int LargestCount => (1 << BitDepth) - 1;

    /// <summary>A stored 16-bit sample as a count of the sensor's bit depth.</summary>
    public int CountOf(ushort sample) => Placement == BitPlacement.High ? sample >> (16 - BitDepth) : sample;
}

public enum BitPlacement
{
    /// <summary>Stored as it is: 12 bits run 0 … 4095.</summary>
    Low,

    /// <summary>Shifted to the top of the 16 bits: 12 bits run 0 … 65520 in steps of 16.</summary>
    High,
}

/// <summary>Counts a dark frame shows.</summary>
/// <param name="Counts">In counts of the bit depth; the fall-back when metadata tell none.</param>
/// <param name="FromMetadata">Each frame tells its own (quantity blackLevel of the metadata map).</param>
public sealed record BlackLevel(double Counts, bool FromMetadata);

/// <summary>Brightness temperature = KelvinPerCount · count + OffsetKelvin.</summary>
/// <param name="KelvinPerCount">Above 0.</param>
/// <param name="OffsetKelvin">Temperature of count 0.</param>
/// <param name="NoiseKelvin">Noise-equivalent temperature difference, one standard deviation.</param>
/// <param name="AccuracyKelvin">Standard error of the zero, drift in it.</param>
public sealed record ThermalScale(
    double KelvinPerCount,
    double OffsetKelvin,
    double NoiseKelvin,
    double AccuracyKelvin = ThermalScale.UsualAccuracyKelvin
)
{
    /// <summary>Uncooled sensors in flight: within 5 K, taken as two standard errors. J. Kelly et al. 2019, doi 10.3390/rs11050567.</summary>
    public const double UsualAccuracyKelvin = 2.5;
}

/// <summary>Sensor noise: variance in electrons = signal + read noise².</summary>
/// <param name="ElectronsPerCount">At gain 1, above 0.</param>
/// <param name="ReadNoiseElectrons">One standard deviation.</param>
public sealed record NoiseModel(double ElectronsPerCount, double ReadNoiseElectrons)
{
    /// <summary>One standard deviation, in counts, of a count above black taken at a linear gain.</summary>
    public double SigmaCounts(double countsAboveBlack, double gain)
    {
        double electronsPerCount = ElectronsPerCount / gain;
        double electrons = Math.Max(0, countsAboveBlack * electronsPerCount);

        // Rounding to whole counts adds a twelfth of a count squared.
        return Math.Sqrt(
            ((electrons + (ReadNoiseElectrons * ReadNoiseElectrons)) / (electronsPerCount * electronsPerCount))
                + (1.0 / 12)
        );
    }
}
