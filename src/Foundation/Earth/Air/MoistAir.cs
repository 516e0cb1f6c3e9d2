namespace Hillrow.Earth;

/// <summary>How much water the air holds and could hold.</summary>
/// <remarks>R. G. Allen et al. 1998, FAO Irrigation and drainage paper 56, equations 11 and 12 (Tetens' formula).</remarks>
public static class MoistAir
{
    /// <summary>Specific gas constant of water vapour, J kg⁻¹ K⁻¹.</summary>
    private const double VapourConstant = 461.5;

    /// <summary>0 °C.</summary>
    public const double ZeroCelsiusKelvin = 273.15;

    /// <summary>Vapour pressure of saturated air over water, kPa; good to 0.1 % from 0 to 50 °C.</summary>
    public static double SaturationKilopascals(double celsius) =>
        0.6108 * Math.Exp(17.27 * celsius / (celsius + 237.3));

    /// <summary>Vapour pressure, kPa.</summary>
    /// <param name="celsius">Of the air.</param>
    /// <param name="relativeHumidity">0 … 1.</param>
    public static double VapourKilopascals(double celsius, double relativeHumidity) =>
        relativeHumidity * SaturationKilopascals(celsius);

    /// <summary>What is missing to saturation, kPa.</summary>
    /// <param name="celsius">Of the air.</param>
    /// <param name="relativeHumidity">0 … 1.</param>
    public static double DeficitKilopascals(double celsius, double relativeHumidity) =>
        (1 - relativeHumidity) * SaturationKilopascals(celsius);

    /// <summary>Water in a cubic metre, grams.</summary>
    /// <param name="celsius">Of the air.</param>
    /// <param name="relativeHumidity">0 … 1.</param>
    public static double GramsPerCubicMetre(double celsius, double relativeHumidity) =>
        1e6 * VapourKilopascals(celsius, relativeHumidity) / (VapourConstant * (celsius + ZeroCelsiusKelvin));
}
