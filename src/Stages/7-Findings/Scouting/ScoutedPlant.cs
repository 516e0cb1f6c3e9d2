namespace Hillrow.Findings;

/// <summary>How a plant stands, seen from the ground.</summary>
public enum SeenState
{
    Healthy,
    Light,
    Moderate,
    Severe,
    Dead,
}

/// <summary>A scout's answer beside what the map said of the plant.</summary>
/// <param name="Departure">Standard deviations from its peers, negative is worse; NaN when it was not judged.</param>
/// <param name="Told">The map's class under the thresholds in force.</param>
/// <param name="Seen">The scout's.</param>
public sealed record ScoutedPlant(double Departure, Severity Told, SeenState Seen)
{
    public bool SeenDeclining => Seen != SeenState.Healthy;

    public bool ToldDeclining => Told is Severity.Light or Severity.Moderate or Severity.Severe;
}
