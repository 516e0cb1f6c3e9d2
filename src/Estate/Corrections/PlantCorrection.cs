using Hillrow.Earth;

namespace Hillrow.Estate;

/// <summary>What a person put right about a plant.</summary>
public enum CorrectionKind
{
    /// <summary>The plant is the same as another number's; the older number stays.</summary>
    Same,

    /// <summary>It stands elsewhere than a survey says.</summary>
    Moved,

    /// <summary>It is a weed, a stone, a post.</summary>
    NotPlant,

    /// <summary>A plant stands where a survey found none.</summary>
    Missing,

    /// <summary>A place is labelled: a plant, thin or healthy, a weed, or empty. Other positions learn from it.</summary>
    Label,
}

/// <summary>
/// One correction. It is tied to a sighting (a survey and a place in it), so that it holds however plants are found and grouped
/// anew.
/// </summary>
/// <param name="Kind">What was wrong.</param>
/// <param name="Survey">The survey it speaks of.</param>
/// <param name="Plant">Number that the plant bore; null for a missing one.</param>
/// <param name="Sighted">Where that survey saw it; for a missing one, where it stands.</param>
/// <param name="Day">When it was put right.</param>
public sealed record PlantCorrection(CorrectionKind Kind, string Survey, long? Plant, GridPoint Sighted, DateOnly Day)
{
    /// <summary>Where it stands, of one that was moved.</summary>
    public GridPoint? MovedTo { get; init; }

    /// <summary>The sighting that the other number was issued for: its survey and place.</summary>
    public (long Plant, string Survey, GridPoint Place)? SameAs { get; init; }

    /// <summary>What a label says: one of <see cref="LabelWords"/>; empty otherwise.</summary>
    public string Word { get; init; } = "";

    public string Who { get; init; } = "";

    public string Note { get; init; } = "";
}
