using Hillrow.Numerics;

namespace Hillrow.Findings;

/// <summary>Settings of the stage; each default says why.</summary>
public sealed record FindingsSettings
{
    /// <summary>Expected share of false alarms among the plants called declining. 5 %: one wasted dig in twenty.</summary>
    public double FalseDiscoveryRate { get; init; } = 0.05;

    /// <summary>
    /// A plant must lack at least this many standard deviations as well: in a block of thousands a departure can be beyond
    /// chance and yet too small to matter. 3.25 on the modelled estates 9001 to 9004 (not those that judge): there it
    /// divides best between a root pest below and above a quarter of its full harm, now and between two dates.
    /// </summary>
    public double LeastDeparture { get; init; } = 3.25;

    /// <summary>From here on decline is moderate (common practice, no source: thin canopy seen from the row).</summary>
    public double ModerateDeparture { get; init; } = 4.5;

    /// <summary>From here on decline is severe (common practice, no source: see-through canopy).</summary>
    public double SevereDeparture { get; init; } = 6.5;

    /// <summary>Plants closer than this are neighbours; null: 2.2 × the block's median distance to the fourth neighbour.</summary>
    public double? NeighbourDistanceMetres { get; init; }

    /// <summary>Smallest patch: fewer declining neighbours are told as single plants.</summary>
    public int SmallestPatch { get; init; } = 4;

    /// <summary>Shuffles of the permutation test: 499 put the smallest p at 0.002.</summary>
    public int Shuffles { get; init; } = 499;

    /// <summary>Random markings that tell how large a group chance makes: 199 put the smallest p at 0.005.</summary>
    public int GroupShuffles { get; init; } = 199;

    /// <summary>Vigour zones wanted; three is what a crew keeps apart (common practice, no source).</summary>
    public int Zones { get; init; } = 3;

    /// <summary>Fewer plants than this carry no slow surface: then the block's middle alone is taken out.</summary>
    public int LeastPlantsForSurface { get; init; } = 60;

    /// <summary>
    /// Finest width of what counts as soil rather than disease: the knots of the slow surface. A root pest's patch is
    /// hardly wider than half of it when it is first seen, soil and exposure change over more.
    /// </summary>
    public double SlowMetres { get; init; } = 30;

    public ulong Seed { get; init; } = 20_260_101;

    public int Threads { get; init; } = 1;

    /// <exception cref="InputProblemException">Names every setting out of its range.</exception>
    public FindingsSettings Checked()
    {
        List<string> wrong = [];
        if (!(FalseDiscoveryRate is > 0 and < 1))
        {
            wrong.Add(FormattableString.Invariant($"falseDiscoveryRate {FalseDiscoveryRate} is not between 0 and 1"));
        }

        if (!(LeastDeparture > 0 && ModerateDeparture >= LeastDeparture && SevereDeparture >= ModerateDeparture))
        {
            wrong.Add(
                FormattableString.Invariant(
                    $"departures {LeastDeparture}, {ModerateDeparture}, {SevereDeparture} do not rise from above 0"
                )
            );
        }

        if (!(SlowMetres is >= 5 and <= 1000))
        {
            wrong.Add(FormattableString.Invariant($"slowMetres {SlowMetres} is not between 5 and 1000"));
        }

        if (Zones is < 1 or > 9)
        {
            wrong.Add(FormattableString.Invariant($"zones {Zones} is not between 1 and 9"));
        }

        if (SmallestPatch < 2 || Shuffles < 99 || GroupShuffles < 39 || LeastPlantsForSurface < 20 || Threads < 1)
        {
            wrong.Add(
                "smallestPatch (≥ 2), shuffles (≥ 99), groupShuffles (≥ 39), leastPlantsForSurface (≥ 20) or threads (≥ 1) is too small"
            );
        }

        return wrong.Count == 0
            ? this
            : throw new InputProblemException("findings settings", string.Join("; ", wrong) + ".", "Put them right.");
    }
}
