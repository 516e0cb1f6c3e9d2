namespace Hillrow.Earth;

/// <summary>The air that bends the sun's light at the place of the observer.</summary>
/// <param name="PressureHectopascals">At the place, not reduced to sea level; 0 for no refraction.</param>
/// <param name="TemperatureCelsius">Of the air.</param>
public readonly record struct Atmosphere(double PressureHectopascals, double TemperatureCelsius)
{
    /// <summary>No air: positions without refraction.</summary>
    public static Atmosphere None => new(0, 10);

    /// <summary>The standard atmosphere at a height; with real weather the refraction at 10° altitude is within 0.01°.</summary>
    /// <remarks>Source: ISO 2533:1975, troposphere.</remarks>
    public static Atmosphere StandardAt(double heightMetres)
    {
        double height = Math.Clamp(heightMetres, -500, 11000);
        return new(1013.25 * Math.Pow(1 - (2.25577e-5 * height), 5.25588), 15 - (0.0065 * height));
    }

    /// <summary>How much higher the sun seems, degrees; 0 when it is wholly below the horizon.</summary>
    /// <param name="airlessAltitudeDegrees">True altitude of the sun's centre.</param>
    /// <remarks>Source: NREL/TP-560-34302, eq. 42 and section 3.10.</remarks>
    public double RefractionDegrees(double airlessAltitudeDegrees) =>
        airlessAltitudeDegrees < -(SunPosition.SunRadiusDegrees + SunPosition.HorizonRefractionDegrees)
            ? 0
            : PressureHectopascals
                / 1010
                * (283 / (273 + TemperatureCelsius))
                * 1.02
                / (
                    60 * Math.Tan((airlessAltitudeDegrees + (10.3 / (airlessAltitudeDegrees + 5.11))) * (Math.PI / 180))
                );
}
