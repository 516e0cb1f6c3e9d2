using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Findings;

/// <summary>How bad a plant stands; <see cref="NotJudged"/> is not "healthy".</summary>
public enum Severity
{
    NotJudged,
    Healthy,
    Light,
    Moderate,
    Severe,
}

/// <summary>The verdict on one plant.</summary>
/// <param name="Number">Ledger number.</param>
/// <param name="Departure">Standard deviations from its peers after the slow surface; negative is worse; NaN when not judged.</param>
/// <param name="DepartureSigma">Part of it that the measures' own errors make.</param>
/// <param name="FalseDiscovery">Benjamini–Hochberg value of the departure.</param>
/// <param name="Severity">Class.</param>
/// <param name="Patch">Index into the patches, or −1.</param>
/// <param name="Zone">Vigour zone, 0 the weakest; −1 when not judged.</param>
public sealed record PlantVerdict(
    long Number,
    double Departure,
    double DepartureSigma,
    double FalseDiscovery,
    Severity Severity,
    int Patch,
    int Zone
)
{
    public bool Declining => Severity is Severity.Light or Severity.Moderate or Severity.Severe;
}

/// <summary>A cluster of declining plants beyond chance: declining patch, cause to be confirmed by root and soil samples.</summary>
/// <param name="Block">Block it lies in.</param>
/// <param name="Plants">Ledger numbers of its declining plants.</param>
/// <param name="Outline">Convex outline around them with half a neighbour distance of margin.</param>
/// <param name="SmallestP">Smallest permutation p of the local Gi* among its plants.</param>
/// <param name="SizeP">Chance that as many declining plants strewn over the block at random form a group as large.</param>
public sealed record DeclinePatch(
    string Block,
    IReadOnlyList<long> Plants,
    GridPolygon Outline,
    double SmallestP,
    double SizeP
);

/// <summary>How many plants of a block decline.</summary>
/// <param name="Block">Block.</param>
/// <param name="Plants">All plants seen.</param>
/// <param name="Judged">Plants with enough measures.</param>
/// <param name="Declining">Of those.</param>
/// <param name="ShareInterval">95 % interval of the share, widened for plants that stand together (design effect).</param>
/// <param name="DesignEffect">How much wider, as a variance ratio; 1 when declining plants stand at random.</param>
/// <param name="BySeverity">Light, moderate, severe.</param>
public sealed record BlockIncidence(
    string Block,
    int Plants,
    int Judged,
    int Declining,
    Interval ShareInterval,
    double DesignEffect,
    IReadOnlyDictionary<Severity, int> BySeverity
)
{
    public double Share => Judged == 0 ? double.NaN : (double)Declining / Judged;
}

/// <summary>Everything that Findings says of one survey.</summary>
public sealed record FindingsResult(
    IReadOnlyList<PlantVerdict> Plants,
    IReadOnlyList<DeclinePatch> Patches,
    IReadOnlyList<BlockIncidence> Blocks,
    StageOutcome Outcome
);
