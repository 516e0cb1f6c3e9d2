namespace Hillrow.Imaging;

public enum IrradianceUnit
{
    /// <summary>Comparable from capture to capture within a band, without absolute scale.</summary>
    Relative,

    /// <summary>W m⁻² nm⁻¹.</summary>
    WattsPerSquareMetreNanometre,
}

/// <summary>The up-looking light sensor on top of the aircraft.</summary>
/// <param name="Unit">Of what the metadata tell, after the band's scale.</param>
/// <param name="MountOffset">Turn of the sensor against the aircraft (yaw clockwise, pitch nose up, roll right wing down).</param>
/// <param name="Cosine">Its error against the ideal cosine; null: ideal.</param>
/// <param name="BandScale">Calibration factor by band name; a band not named has 1.</param>
public sealed record IrradianceSensor(
    IrradianceUnit Unit,
    Attitude MountOffset,
    CosineTable? Cosine,
    IReadOnlyDictionary<string, double> BandScale
);
