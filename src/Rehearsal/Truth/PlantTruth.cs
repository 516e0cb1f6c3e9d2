namespace Hillrow.Rehearsal;

/// <summary>A plant on one day as the scorer judges by; map coordinates in the estate's UTM zone.</summary>
/// <param name="Number">Its own, the same at every date.</param>
/// <param name="Position">Planting position; a replanted plant shares it with the one before.</param>
/// <param name="Block">Name of its block.</param>
/// <param name="BlockKind">How the block is grown.</param>
/// <param name="EastingMetres">Stem at the ground.</param>
/// <param name="NorthingMetres">Stem at the ground.</param>
/// <param name="CrownAreaSquareMetres">π times the mean radius squared.</param>
/// <param name="SeenAreaSquareMetres">Cells of the plant's own leaves and wood seen from straight above.</param>
/// <param name="IsDeclining">Root-pest severity is 0.25 or more and the plant stands alive.</param>
public sealed record PlantTruth(
    int Number,
    int Position,
    string Block,
    BlockKind BlockKind,
    int Row,
    double EastingMetres,
    double NorthingMetres,
    double HeightMetres,
    double CrownAreaSquareMetres,
    double SeenAreaSquareMetres,
    double FoliageDensity,
    double Chlorophyll,
    double PestSeverity,
    double NutrientIndex,
    double PickingStress,
    bool IsDead,
    bool IsTreated,
    bool IsDeclining
);

/// <summary>A planting position without a plant.</summary>
public sealed record GapTruth(int Position, string Block, int Row, double EastingMetres, double NorthingMetres);

/// <summary>Truth of a flight as a whole.</summary>
/// <param name="Date">Day flown.</param>
/// <param name="PlantSpacingMetres">Planting distance in the row.</param>
/// <param name="SurveyedWestMetres">Map rectangle that the plan covers twice or better, and so the scorer judges.</param>
public sealed record FlightTruth(
    DateOnly Date,
    string Dialect,
    int Captures,
    DateTimeOffset Start,
    double SunAzimuthDegrees,
    double SunElevationDegrees,
    double PlantSpacingMetres,
    double SurveyedWestMetres,
    double SurveyedSouthMetres,
    double SurveyedEastMetres,
    double SurveyedNorthMetres,
    IReadOnlyList<string> Bands
);
