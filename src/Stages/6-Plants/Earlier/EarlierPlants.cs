using Hillrow.Earth;

namespace Hillrow.Plants;

/// <summary>What the survey before knew of a block: plants do not walk, so its places tell where to look.</summary>
/// <param name="Plants">Found, or hidden then and known from before.</param>
/// <param name="Rows">Their rows.</param>
/// <param name="RowSpacingMetres">NaN without rows.</param>
/// <param name="PlantSpacingMetres">Planting distance; without rows the usual width of a crown.</param>
public sealed record EarlierPlants(
    IReadOnlyList<EarlierPlant> Plants,
    IReadOnlyList<PlantRow> Rows,
    double RowSpacingMetres,
    double PlantSpacingMetres
)
{
    /// <returns>Null where that survey found nothing in the block.</returns>
    public static EarlierPlants? Of(BlockPlants found)
    {
        ArgumentNullException.ThrowIfNull(found);
        EarlierPlant[] plants =
        [
            .. found.Plants.Select(plant => new EarlierPlant(
                plant.Row,
                plant.PositionInRow,
                plant.Place,
                plant.PlaceSigmaMetres,
                plant.CrownAreaSquareMetres.Value
            )),
            .. found
                .Hidden.Where(place => place.IsKnownPlant)
                .Select(place => new EarlierPlant(
                    place.Row,
                    place.PositionInRow,
                    place.Place,
                    place.PlaceSigmaMetres,
                    double.NaN
                )),
        ];
        return plants.Length == 0
            ? null
            : new EarlierPlants(plants, found.Rows, found.RowSpacingMetres, found.PlantSpacingMetres);
    }
}

/// <summary>A plant of the survey before.</summary>
/// <param name="Row">As that survey numbered its rows.</param>
/// <param name="PositionInRow">Likewise.</param>
/// <param name="Place">On that survey's own footing.</param>
/// <param name="PlaceSigmaMetres">Standard uncertainty of each coordinate.</param>
/// <param name="CrownAreaSquareMetres">NaN unknown.</param>
public sealed record EarlierPlant(
    int Row,
    int PositionInRow,
    GridPoint Place,
    double PlaceSigmaMetres,
    double CrownAreaSquareMetres
);
