namespace Hillrow.Rehearsal;

/// <summary>The thermal sensor's frame of a capture.</summary>
/// <param name="Counts"><see cref="ThermalCamera.Rows"/> × <see cref="ThermalCamera.Columns"/>, 14 bit as they are.</param>
/// <param name="HousingKelvin">As the camera says.</param>
public sealed record ThermalFrame(ushort[] Counts, double HousingKelvin);

/// <summary>A plant as the thermal frame really saw it.</summary>
/// <param name="Plant">Its number.</param>
/// <param name="SurfaceKelvin">Mean temperature of its leaves and wood that are seen.</param>
/// <param name="Pixels">How much is seen of it, in thermal pixels.</param>
public sealed record CrownHeat(int Plant, double SurfaceKelvin, double Pixels);

/// <summary>What was really so in a thermal frame.</summary>
/// <param name="DriftKelvin">Of the sensor's zero.</param>
/// <param name="AirKelvin">Near the ground.</param>
/// <param name="SkyKelvin">Brightness temperature of the sky in the band.</param>
/// <param name="PathPerMetre">Share of radiance that a metre of air takes away and replaces by its own.</param>
/// <param name="SurfaceKelvin">Rows × columns: mean temperature of the surfaces that a pixel's own area shows, unblurred.</param>
/// <param name="BrightnessKelvin">Rows × columns: at the lens, blurred, before the sensor's errors.</param>
/// <param name="Crowns">By plant number.</param>
public sealed record ThermalTruth(
    double DriftKelvin,
    double AirKelvin,
    double SkyKelvin,
    double PathPerMetre,
    float[] SurfaceKelvin,
    float[] BrightnessKelvin,
    IReadOnlyList<CrownHeat> Crowns
);
