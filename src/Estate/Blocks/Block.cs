using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>A management unit: one crop, one planting or last stumping date.</summary>
/// <param name="Id">Stable number in estate.gpkg; 0 before it is stored.</param>
/// <param name="Name">Unique in the estate, whatever its capitals.</param>
/// <param name="Boundary">Valid polygons with their holes, eastings and northings in the estate's UTM zone, metres.</param>
/// <param name="Facts">What people said about it.</param>
/// <param name="Source">File and feature that the boundary came from.</param>
public sealed record Block(long Id, string Name, MultiPolygon Boundary, BlockFacts Facts, string Source)
{
    /// <summary>Area on the grid, without holes.</summary>
    public double AreaSquareMetres => Boundary.Area;
}

/// <summary>What people said about a block; null where nobody has.</summary>
/// <param name="Crop">"coffee", "avocado" …</param>
/// <param name="Variety">As the grower says it.</param>
/// <param name="Planted">Day of planting.</param>
/// <param name="Stumped">Day of the last hard cutting-back.</param>
/// <param name="PlantSpacingMetres">From plant to plant in the row.</param>
/// <param name="RowSpacingMetres">From row to row.</param>
/// <param name="ShadePercent">Share of the ground under shade trees, 0 … 100.</param>
public sealed record BlockFacts(
    string? Crop = null,
    string? Variety = null,
    DateOnly? Planted = null,
    DateOnly? Stumped = null,
    double? PlantSpacingMetres = null,
    double? RowSpacingMetres = null,
    double? ShadePercent = null
)
{
    /// <summary>These facts, with the other's where these say nothing.</summary>
    public BlockFacts Or(BlockFacts other) =>
        new(
            Crop ?? other.Crop,
            Variety ?? other.Variety,
            Planted ?? other.Planted,
            Stumped ?? other.Stumped,
            PlantSpacingMetres ?? other.PlantSpacingMetres,
            RowSpacingMetres ?? other.RowSpacingMetres,
            ShadePercent ?? other.ShadePercent
        );

    /// <summary>Every broken rule, with the value and what is allowed.</summary>
    public IReadOnlyList<string> Problems()
    {
        List<string> problems = [];
        Range("plant spacing", PlantSpacingMetres, 0.1, 30, "metres");
        Range("row spacing", RowSpacingMetres, 0.1, 30, "metres");
        Range("shade", ShadePercent, 0, 100, "percent");
        DateOnly earliest = new(1800, 1, 1);
        foreach ((string what, DateOnly? day) in new[] { ("planted", Planted), ("stumped", Stumped) })
        {
            if (day is { } given && (given < earliest || given > DateOnly.FromDateTime(DateTime.Now).AddYears(1)))
            {
                problems.Add($"{what} is {given:yyyy-MM-dd}, which is too long ago or too far ahead");
            }
        }

        if (Planted is { } planted && Stumped is { } stumped && stumped < planted)
        {
            problems.Add($"stumped ({stumped:yyyy-MM-dd}) is before planted ({planted:yyyy-MM-dd})");
        }

        return problems;

        void Range(string what, double? value, double lowest, double highest, string unit)
        {
            if (value is { } given && !(given >= lowest && given <= highest))
            {
                problems.Add(
                    FormattableString.Invariant($"{what} is {given}, but must be from {lowest} to {highest} {unit}")
                );
            }
        }
    }
}
