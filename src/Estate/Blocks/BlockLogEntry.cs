namespace Hillrow.Estate;

/// <summary>What can be noted of a block.</summary>
public enum LogKind
{
    Picking,
    Spray,
    Fertiliser,
    Pruning,
    Stumping,
    Rain,
    Note,
}

/// <summary>A dated line of a block's log.</summary>
/// <param name="Block">The block's name.</param>
/// <param name="Day">When.</param>
/// <param name="Kind">What.</param>
/// <param name="Amount">How much, in <paramref name="Unit"/>; null when not said.</param>
/// <param name="Unit">"kg", "kg/ha", "mm", "l/ha" …; empty without an amount.</param>
/// <param name="Product">What was spread or sprayed, as on its label.</param>
/// <param name="Note">Anything else.</param>
public sealed record BlockLogEntry(
    string Block,
    DateOnly Day,
    LogKind Kind,
    double? Amount,
    string Unit,
    string Product,
    string Note
);
