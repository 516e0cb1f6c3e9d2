using System.Globalization;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>The air as a person read it beside the crop, in the shade, during the flight.</summary>
/// <param name="TemperatureCelsius">Between the rows or just above.</param>
/// <param name="HumidityPercent">Relative humidity.</param>
public sealed record AirReadings(double TemperatureCelsius, double HumidityPercent)
{
    internal const string TemperatureKey = "temperature_celsius";
    internal const string HumidityKey = "humidity_percent";

    /// <param name="where">Where they were written.</param>
    /// <exception cref="InputProblemException">No crop stands in such air.</exception>
    public AirReadings Checked(string where) =>
        TemperatureCelsius is >= -10 and <= 55 && HumidityPercent is > 0 and <= 100
            ? this
            : throw new InputProblemException(
                where,
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"air of {TemperatureCelsius} °C and {HumidityPercent} % humidity is out of range."
                ),
                "Give -10 to 55 °C and more than 0 up to 100 %."
            );
}
