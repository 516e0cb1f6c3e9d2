namespace Hillrow.Radiometry;

/// <summary>One window of one frame: how warm a place looks.</summary>
/// <param name="Place">Number of the place on the ground.</param>
/// <param name="Capture">Position in <see cref="DriftProblem.Seconds"/>.</param>
/// <param name="Kelvin">Mean of the window.</param>
/// <param name="RowShare">Where in the frame, 0 … 1.</param>
/// <param name="ColumnShare">Where in the frame, 0 … 1.</param>
/// <param name="TowardsSun">Tangent of the view's lean in the sun's vertical plane, positive with the camera on the sun's side.</param>
/// <param name="AcrossSun">Tangent of the lean across it.</param>
internal readonly record struct ThermalLook(
    int Place,
    int Capture,
    double Kelvin,
    double RowShare,
    double ColumnShare,
    double TowardsSun,
    double AcrossSun
)
{
    /// <summary>What the view's lean does: linear both ways, and all that is square.</summary>
    public double Lean(int term) =>
        term switch
        {
            0 => TowardsSun,
            1 => AcrossSun,
            2 => TowardsSun * TowardsSun,
            3 => AcrossSun * AcrossSun,
            _ => TowardsSun * AcrossSun,
        };
}

/// <summary>Looks at the same places from many captures, and what is expected before they are compared.</summary>
/// <param name="Looks">By place, then capture.</param>
/// <param name="Places">How many.</param>
/// <param name="Seconds">Time of each capture, rising.</param>
/// <param name="AccuracyKelvin">Standard deviation of the zero.</param>
internal sealed record DriftProblem(
    IReadOnlyList<ThermalLook> Looks,
    int Places,
    IReadOnlyList<double> Seconds,
    double AccuracyKelvin
)
{
    /// <summary>Over which an uncooled sensor's zero forgets itself; common practice, no source.</summary>
    public const double DriftSeconds = 300;

    /// <summary>Spread of the pattern that the sensor's own levelling leaves; common practice, no source.</summary>
    public const double PatternSigmaKelvin = 0.3;

    public const int Leans = 5;

    /// <summary>
    /// Crowns and soil seen from the sun's side or across rows look warmer: kelvin for a tangent of 1, and for its square. What is
    /// linear is hardly told apart from a tilt of all offsets over the ground, so little of it is let in.
    /// </summary>
    public static double LeanSigmaKelvin(int term) => term < 2 ? 0.5 : 3;

    /// <summary>What single looks scatter by at least.</summary>
    public const double LeastScatterKelvin = 0.05;
}
