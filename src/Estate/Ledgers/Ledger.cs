using Hillrow.Earth;
using Hillrow.Plants;

namespace Hillrow.Estate;

/// <summary>Every plant's number, and which plant of each survey bears it.</summary>
/// <param name="Plants">By number.</param>
/// <param name="Surveys">In the order of their days.</param>
internal sealed record Ledger(IReadOnlyList<LedgerPlant> Plants, IReadOnlyList<LedgerSurvey> Surveys)
{
    /// <summary>A plant by its number: numbers are issued from 1 without holes.</summary>
    public LedgerPlant this[long number] => Plants[checked((int)number - 1)];

    public LedgerSurvey? Of(string survey) => Surveys.FirstOrDefault(entry => entry.Survey == survey);
}

/// <param name="Number">For life, from 1.</param>
/// <param name="BlockId">Number of its block in estate.gpkg.</param>
/// <param name="Block">Name of its block.</param>
/// <param name="PlaceInRow">Position in the row, gaps counted.</param>
/// <param name="Last">As it was last seen, its place on the ledger's own footing (the first survey's).</param>
/// <param name="FirstSurvey">That saw it.</param>
/// <param name="LastSurvey">That saw it.</param>
/// <param name="State">What the last survey that covered its block says of it.</param>
internal sealed record LedgerPlant(
    long Number,
    long BlockId,
    string Block,
    int PlaceInRow,
    KnownPlant Last,
    string FirstSurvey,
    string LastSurvey,
    LedgerState State,
    IssuedAt Issued
)
{
    /// <summary>The older number of the same plant, when this one was found to be that; 0 otherwise.</summary>
    public long MergedInto { get; init; }
}

/// <summary>The sighting that a number was issued for: what ties the number to a plant, whatever is grouped anew.</summary>
/// <param name="Survey">Its id.</param>
/// <param name="Place">As that survey found it, on its own footing.</param>
internal sealed record IssuedAt(string Survey, GridPoint Place);

internal enum LedgerState
{
    Standing,
    Stumped,

    /// <summary>The place could not be seen; the plant may stand.</summary>
    Unseen,

    /// <summary>Its place was seen without it; its number is never used again.</summary>
    Gone,

    /// <summary>A person said that it is no plant; its sightings are left out.</summary>
    NotPlant,

    /// <summary>Turned out to be another plant, whose older number stays.</summary>
    Merged,

    /// <summary>No survey in the estate shows it any more; its number is never used again.</summary>
    Withdrawn,
}

/// <summary>One survey's part.</summary>
/// <param name="Survey">Its id.</param>
/// <param name="Parts">By block part, in the order of its plants.json.</param>
internal sealed record LedgerSurvey(string Survey, IReadOnlyList<LedgerPart> Parts);

/// <param name="Block">Name of the block.</param>
/// <param name="Numbers">By plant in the order found.</param>
/// <param name="ShiftEastMetres">Added to the survey's places to bring them onto the ledger's.</param>
/// <param name="ShiftNorthMetres">Likewise.</param>
/// <param name="ShiftSupport">Share of known plants that the shift explains; 0 where none were known.</param>
internal sealed record LedgerPart(
    string Block,
    IReadOnlyList<long> Numbers,
    double ShiftEastMetres,
    double ShiftNorthMetres,
    double ShiftSupport
);
