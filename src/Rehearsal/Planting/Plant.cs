namespace Hillrow.Rehearsal;

/// <summary>A plant of the modelled estate: what never changes while it lives.</summary>
/// <param name="Number">Its own number, the same at every date; a replanted one has a new number.</param>
/// <param name="Position">Planting position in the row pattern; a replanted plant shares it with the one it follows.</param>
/// <param name="BlockIndex">Index into the layout's blocks.</param>
/// <param name="Row">Row number in the block.</param>
/// <param name="EastMetres">Stem at the ground, local frame.</param>
/// <param name="NorthMetres">Stem at the ground, local frame.</param>
/// <param name="Stems">Stems from one root: 1, 2, or the sprouts of a stump.</param>
/// <param name="PlantedOn">Day of planting.</param>
/// <param name="Vigour">Inborn size relative to its peers, about 1.</param>
/// <param name="Susceptibility">Share of the pest's full harm that it suffers, 0 … 1.</param>
public sealed record Plant(
    int Number,
    int Position,
    int BlockIndex,
    int Row,
    double EastMetres,
    double NorthMetres,
    int Stems,
    DateOnly PlantedOn,
    double Vigour,
    double Susceptibility
);

/// <summary>A plant on one day: the truth that the stages are judged against.</summary>
/// <param name="Plant">Who.</param>
/// <param name="HeightMetres">From the ground at the stem to the topmost leaf.</param>
/// <param name="CrownRadiusMetres">Mean radius of the crown seen from above.</param>
/// <param name="CrownStretch">Radius along the row over radius across it.</param>
/// <param name="FoliageDensity">Share of the leaf places that hold a leaf; 1 is a full healthy plant.</param>
/// <param name="ChlorophyllMicrogramsPerSquareCentimetre">Of a leaf.</param>
/// <param name="PestSeverity">Root pest, 0 … 1.</param>
/// <param name="NutrientIndex">Soil nutrients, -1 poor … 1 rich; not disease.</param>
/// <param name="PickingStress">Leaf loss by picking, 0 … 1.</param>
/// <param name="IsDead">Stands dead: brown leaves and bare twigs.</param>
/// <param name="IsTreated">Its block was treated before this day.</param>
public sealed record PlantState(
    Plant Plant,
    double HeightMetres,
    double CrownRadiusMetres,
    double CrownStretch,
    double FoliageDensity,
    double ChlorophyllMicrogramsPerSquareCentimetre,
    double PestSeverity,
    double NutrientIndex,
    double PickingStress,
    bool IsDead,
    bool IsTreated
);

/// <summary>A planting position where no plant stands on a day.</summary>
public sealed record GapState(int Position, int BlockIndex, int Row, double EastMetres, double NorthMetres);

/// <summary>A shade tree over a block; not a plant of the crop.</summary>
public sealed record ShadeTree(
    int Number,
    double EastMetres,
    double NorthMetres,
    double HeightMetres,
    double CrownRadiusMetres
);

/// <summary>A root-pest patch: where and when it starts and how fast it grows.</summary>
public sealed record PestPatch(
    double EastMetres,
    double NorthMetres,
    DateOnly StartsOn,
    double SpreadMetresPerDay,
    double StartRadiusMetres
)
{
    public double RadiusOn(DateOnly day) =>
        day < StartsOn ? 0 : StartRadiusMetres + (SpreadMetresPerDay * (day.DayNumber - StartsOn.DayNumber));
}

/// <summary>The crop on one day.</summary>
/// <param name="Day">The day.</param>
/// <param name="Plants">Standing plants, dead ones included, by number.</param>
/// <param name="Gaps">Positions without a plant.</param>
/// <param name="ShadeTrees">The same at every date.</param>
/// <param name="Patches">Pest patches, also those not yet started.</param>
public sealed record PlantingOnDay(
    DateOnly Day,
    IReadOnlyList<PlantState> Plants,
    IReadOnlyList<GapState> Gaps,
    IReadOnlyList<ShadeTree> ShadeTrees,
    IReadOnlyList<PestPatch> Patches
);
