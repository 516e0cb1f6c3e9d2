using System.Globalization;
using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>What a grower would bring of the modelled estate: block boundaries with their facts, and a terrain tile.</summary>
public static class EstateBoundaries
{
    /// <summary>GeoJSON (RFC 7946) with one feature per block; attribute names are those that estates know.</summary>
    public static string GeoJson(RehearsedEstate estate)
    {
        ArgumentNullException.ThrowIfNull(estate);
        return JsonSerializer.Serialize(
            new
            {
                type = "FeatureCollection",
                features = estate.Layout.Blocks.Select((block, index) => Feature(estate, block, index)),
            }
        );
    }

    /// <summary>Day on which the treated blocks were treated against the root pest.</summary>
    public static DateOnly TreatedOn(RehearsedEstate estate)
    {
        ArgumentNullException.ThrowIfNull(estate);
        return PlantGrowth.TreatedOn(estate.Model) ?? estate.Settings.Dates[0];
    }

    private static object Feature(RehearsedEstate estate, BlockPlan block, int index)
    {
        (double, double)[] corners =
        [
            (block.West, block.South),
            (block.East, block.South),
            (block.East, block.North),
            (block.West, block.North),
            (block.West, block.South),
        ];
        PlantState[] plants = [.. estate.History[0].Plants.Where(state => state.Plant.BlockIndex == index)];
        (double row, double along) = PlantingHistory.Spacing(estate.Model, block.Kind);
        return new
        {
            type = "Feature",
            properties = new Dictionary<string, object?>
            {
                ["name"] = block.Name,
                ["crop"] = "coffee",
                ["planted"] = Text(plants.Length == 0 ? null : plants.Min(state => state.Plant.PlantedOn)),
                ["stumped"] = Text(block.StumpedOn),
                ["plant_spacing_metres"] = along,
                ["row_spacing_metres"] = row,
                ["shade_percent"] = block.Kind == BlockKind.Shaded ? 15 : 0,
            },
            geometry = new
            {
                type = "Polygon",
                coordinates = new[]
                {
                    corners
                        .Select(corner =>
                        {
                            GeodeticPosition at = estate.Place.ToGeodetic(new Vector3D(corner.Item1, corner.Item2, 0));
                            return new[] { Math.Round(at.Longitude.Degrees, 9), Math.Round(at.Latitude.Degrees, 9) };
                        })
                        .ToArray(),
                },
            },
        };
    }

    private static string? Text(DateOnly? day) => day?.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
}
