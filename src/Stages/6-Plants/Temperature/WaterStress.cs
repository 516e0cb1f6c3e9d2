namespace Hillrow.Plants;

/// <summary>The baseline of a crop water stress index, fitted on the crowns of one flight.</summary>
/// <param name="WetCelsius">A crown that transpires freely: the coolest well-defined ones.</param>
/// <param name="DryCelsius">A crown that hardly transpires: the hottest well-defined ones.</param>
/// <param name="Crowns">Well-defined crowns behind it.</param>
/// <param name="Reason">Why there is none; empty when there is one.</param>
public sealed record StressBaseline(Measured WetCelsius, Measured DryCelsius, int Crowns, string Reason)
{
    public bool Holds => Reason.Length == 0;
}

/// <summary>Crop water stress index from crown temperatures.</summary>
/// <remarks>
/// CWSI = (ΔT − LL) / (UL − LL), ΔT crown less air: S. B. Idso et al. 1981, doi 10.1016/0002-1571(81)90032-7; with a wet and a dry
/// reference, where air drops out, (T − wet) / (dry − wet): H. G. Jones 1999, doi 10.1016/S0168-1923(99)00030-1. No published
/// baseline for coffee was found: both references are the site's own, so an index of 1 means "as the hottest crowns here".
/// </remarks>
public static class WaterStress
{
    /// <summary>Crowns needed: the references are means of a twentieth of them at either end.</summary>
    public const int LeastCrowns = 40;

    private const double ReferenceShare = 0.05;

    /// <summary>The very coolest and hottest are left out: errors gather there.</summary>
    private const double LeftOutShare = 0.01;

    /// <summary>References that differ by less than so many standard errors of a crown are the crowns' noise.</summary>
    private const double LeastSpread = 4;

    /// <param name="crowns">Well-defined ones: no touching edge of the map, not small, enough pixels.</param>
    public static StressBaseline Baseline(IReadOnlyList<CrownTemperature> crowns)
    {
        ArgumentNullException.ThrowIfNull(crowns);
        if (crowns.Count < LeastCrowns)
        {
            return None($"{crowns.Count} well-defined crowns are too few for references ({LeastCrowns} are needed)");
        }

        CrownTemperature[] sorted = [.. crowns.OrderBy(crown => crown.Celsius.Value)];
        int skip = (int)(LeftOutShare * sorted.Length);
        int take = Math.Max(2, (int)(ReferenceShare * sorted.Length));
        Measured wet = Mean(sorted.AsSpan(skip, take));
        Measured dry = Mean(sorted.AsSpan(sorted.Length - skip - take, take));
        double[] errors = [.. crowns.Select(crown => crown.WithinFlightSigma).Order()];
        double typical = errors[errors.Length / 2];
        return dry.Value - wet.Value < LeastSpread * typical
            ? None(
                FormattableString.Invariant(
                    $"the coolest and the hottest crowns differ by {dry.Value - wet.Value:0.0} K only, a crown's own error is {typical:0.0} K"
                )
            )
            : new StressBaseline(wet, dry, crowns.Count, "");

        StressBaseline None(string reason) => new(Measured.None, Measured.None, crowns.Count, reason);
    }

    /// <summary>0 as the wet reference, 1 as the dry one; beyond them for crowns beyond them.</summary>
    /// <param name="crown">Of the same flight: its level drops out.</param>
    /// <param name="baseline">One that holds.</param>
    public static Measured Index(CrownTemperature crown, StressBaseline baseline)
    {
        ArgumentNullException.ThrowIfNull(crown);
        ArgumentNullException.ThrowIfNull(baseline);
        double span = baseline.DryCelsius.Value - baseline.WetCelsius.Value;
        double index = Index(crown.Celsius.Value, baseline.WetCelsius.Value, baseline.DryCelsius.Value);
        double variance =
            Square(crown.WithinFlightSigma)
            + Square((1 - index) * baseline.WetCelsius.Sigma)
            + Square(index * baseline.DryCelsius.Sigma);
        return new Measured(index, Math.Sqrt(variance) / span);
    }

    /// <summary>(T − wet) / (dry − wet); the same with differences from air in place of temperatures.</summary>
    public static double Index(double crown, double wet, double dry) => (crown - wet) / (dry - wet);

    /// <summary>(dry − T) / (T − wet): grows with the leaves' conductance. H. G. Jones 1999.</summary>
    public static double ConductanceIndex(double crown, double wet, double dry) => (dry - crown) / (crown - wet);

    private static Measured Mean(ReadOnlySpan<CrownTemperature> crowns)
    {
        double sum = 0;
        double variance = 0;
        foreach (CrownTemperature crown in crowns)
        {
            sum += crown.Celsius.Value;
            variance += Square(crown.WithinFlightSigma);
        }

        return new Measured(sum / crowns.Length, Math.Sqrt(variance) / crowns.Length);
    }

    private static double Square(double value) => value * value;
}
