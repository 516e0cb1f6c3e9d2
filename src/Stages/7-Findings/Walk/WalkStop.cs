using Hillrow.Earth;

namespace Hillrow.Findings;

/// <summary>What a scout does at a stop.</summary>
public enum WalkTask
{
    /// <summary>Dig at a declining plant of a patch; roots and soil are sampled.</summary>
    Dig,

    /// <summary>Dig at a sound plant beside the patch, to compare with.</summary>
    Compare,

    /// <summary>
    /// Look at a plant and say how it stands. Doubtful, single and sound plants alike, and not told apart: an answer teaches
    /// only when the scout does not know what the map believes.
    /// </summary>
    Look,
}

/// <summary>A stop of the walk.</summary>
/// <param name="Number">1, 2, … in the order of walking.</param>
/// <param name="Plant">Ledger number.</param>
/// <param name="Block">Its block.</param>
/// <param name="Place">Stem, in the estate's grid.</param>
/// <param name="Task">What to do.</param>
/// <param name="Patch">Index into the patches, −1 outside.</param>
/// <param name="LegMetres">Walked from the stop before, along the ground; from the last one for the first stop.</param>
/// <param name="LegMinutes">Time of that leg.</param>
/// <param name="SteepestShare">Steepest slope on that leg: rise over run, up or down.</param>
/// <param name="Leg">The way there, in the estate's grid, both ends included.</param>
public sealed record WalkStop(
    int Number,
    long Plant,
    string Block,
    GridPoint Place,
    WalkTask Task,
    int Patch,
    double LegMetres,
    double LegMinutes,
    double SteepestShare,
    IReadOnlyList<GridPoint> Leg
);

/// <summary>A round walk over the stops.</summary>
public sealed record WalkList(IReadOnlyList<WalkStop> Stops)
{
    public static WalkList Empty { get; } = new([]);

    public double Metres => Stops.Sum(stop => stop.LegMetres);

    /// <summary>Walking alone; digging and looking come on top.</summary>
    public double WalkingMinutes => Stops.Sum(stop => stop.LegMinutes);
}
