using Hillrow.Earth;

namespace Hillrow.Plants;

/// <summary>What this room needs to know of a block.</summary>
/// <param name="Name">As the grower calls it.</param>
/// <param name="Boundary">In the reference system of the reflectance map.</param>
public sealed record PlantBlock(string Name, GridPolygon Boundary)
{
    /// <summary>Distance of neighbouring plants in a row; null: found from the map.</summary>
    public double? PlantSpacingMetres { get; init; }

    /// <summary>Distance of neighbouring rows; null: found from the map.</summary>
    public double? RowSpacingMetres { get; init; }

    public string Crop { get; init; } = "";

    public DateOnly? LastStumping { get; init; }

    /// <summary>What the survey before found here; null: none did, or it found nothing.</summary>
    public EarlierPlants? Earlier { get; init; }
}

/// <summary>The maps of one survey and the blocks to look at.</summary>
/// <param name="Reflectance">Bands by name: red and nir at least; blue, green and rededge when present. 0 … 1.</param>
/// <param name="Blocks">In the same reference system.</param>
public sealed record PlantsInput(MapLayer Reflectance, IReadOnlyList<PlantBlock> Blocks)
{
    /// <summary>
    /// Reflectance as each capture saw it, same grid and bands, where <see cref="Reflectance"/> is turned to one sun and view; null: they are
    /// the same.
    /// </summary>
    public MapLayer? AsSeen { get; init; }

    /// <summary>Top of ground and plants, metres, same vertical reference as the ground; any grid of the same reference system.</summary>
    public MapLayer? Surface { get; init; }

    /// <summary>Bare ground, metres.</summary>
    public MapLayer? Ground { get; init; }

    /// <summary>Share of shadow of a pixel, 0 … 1.</summary>
    public MapLayer? Shadow { get; init; }

    /// <summary>Standard uncertainty of the reflectance, same band names.</summary>
    public MapLayer? Sigma { get; init; }

    /// <summary>Standard uncertainty of canopy height, metres; null: taken from the map's own noise.</summary>
    public MapLayer? HeightSigma { get; init; }

    /// <summary>0 where the surface was not measured but filled in from around, above 0 where it was; null: measured everywhere.</summary>
    public MapLayer? HeightSeen { get; init; }

    /// <summary>What a person said of places of this survey; other positions learn from it where that is a gain.</summary>
    public IReadOnlyList<PlantLabel> Labels { get; init; } = [];

    /// <summary>What middles of crowns look like, learnt from marks; used only where there are no rows, and if it was kept.</summary>
    public CrownModel? CrownModel { get; init; }
}
