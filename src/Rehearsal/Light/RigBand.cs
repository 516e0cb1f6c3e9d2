namespace Hillrow.Rehearsal;

/// <summary>A spectral band of the invented rig, with the constants of light and matter there.</summary>
/// <param name="Name">blue, green, red, red edge, near infrared.</param>
/// <param name="CentreNanometres">Middle of the pass band.</param>
/// <param name="WidthNanometres">Full width at half maximum.</param>
/// <param name="SunOutsideAir">Solar irradiance above the air at one astronomical unit, W m⁻² nm⁻¹.</param>
/// <param name="OzoneDepth">Vertical optical depth of 300 Dobson units.</param>
/// <param name="WaterDepth">Effective vertical optical depth of water vapour and oxygen in the pass band.</param>
/// <param name="PigmentAbsorption">Leaf absorption depth per 50 µg/cm² of chlorophyll.</param>
/// <param name="DryAbsorption">Leaf absorption depth of everything else.</param>
/// <param name="BrownAbsorption">Absorption depth of a dead, brown leaf.</param>
/// <remarks>
/// Sun: rounded from the ASTM E-490 family of spectra; ozone: Chappuis band; both from memory. They are the modelled
/// world's truth, so that an error of a few per cent moves the picture, not the judgement.
/// </remarks>
public sealed record RigBand(
    string Name,
    double CentreNanometres,
    double WidthNanometres,
    double SunOutsideAir,
    double OzoneDepth,
    double WaterDepth,
    double PigmentAbsorption,
    double DryAbsorption,
    double BrownAbsorption
)
{
    /// <summary>The five bands, from blue to near infrared.</summary>
    public static IReadOnlyList<RigBand> Five { get; } =
    [
        new("blue", 465, 26, 2.01, 0.004, 0, 13.5, 0.9, 9.0),
        new("green", 550, 24, 1.86, 0.027, 0, 3.5, 0.22, 4.6),
        new("red", 660, 18, 1.53, 0.019, 0.001, 9.2, 0.12, 2.3),
        new("red edge", 720, 14, 1.36, 0.007, 0.025, 0.78, 0.07, 1.5),
        new("near infrared", 835, 38, 1.07, 0.001, 0.012, 0.002, 0.035, 0.62),
    ];
}
