using System.Globalization;
using System.Text.Json;
using Hillrow.Earth;

namespace Hillrow.Handover;

/// <summary>A file of the survey, as the item names it.</summary>
/// <param name="Key">Short name.</param>
/// <param name="File">Relative to the item.</param>
/// <param name="Type">Media type.</param>
/// <param name="Title">One line.</param>
/// <param name="Role">"data", "metadata", "overview".</param>
public sealed record ItemAsset(string Key, string File, string Type, string Title, string Role);

/// <summary>A survey as an item of a SpatioTemporal Asset Catalog, version 1.0.0 (from memory), projection extension.</summary>
public static class SurveyItem
{
    public const string CogType = "image/tiff; application=geotiff; profile=cloud-optimized";

    /// <param name="id">Survey's id.</param>
    /// <param name="title">One line.</param>
    /// <param name="day">Of the survey; the item covers the whole day.</param>
    /// <param name="extent">Of the maps.</param>
    /// <param name="system">Of the extent.</param>
    /// <param name="pixelMetres">On the ground; left out when it is not known.</param>
    /// <param name="sunElevationDegrees">Likewise.</param>
    /// <param name="assets">Files beside the item.</param>
    /// <param name="destination">UTF-8.</param>
    public static void Write(
        string id,
        string title,
        DateOnly day,
        MapExtent extent,
        ReferenceSystem system,
        double pixelMetres,
        double sunElevationDegrees,
        IReadOnlyList<ItemAsset> assets,
        Stream destination
    )
    {
        ArgumentNullException.ThrowIfNull(extent);
        ArgumentNullException.ThrowIfNull(system);
        ArgumentNullException.ThrowIfNull(assets);
        GeographicPoint[] corners =
        [
            .. new[]
            {
                new GridPoint(extent.West, extent.South),
                new GridPoint(extent.East, extent.South),
                new GridPoint(extent.East, extent.North),
                new GridPoint(extent.West, extent.North),
            }.Select(system.ToWgs84),
        ];
        double[][] ring = [.. corners.Append(corners[0]).Select(Position)];
        Dictionary<string, object?> properties = new()
        {
            ["title"] = title,
            ["datetime"] = null,
            ["start_datetime"] = day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture) + "T00:00:00Z",
            ["end_datetime"] = day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture) + "T23:59:59Z",
            ["proj:epsg"] = system.EpsgCode,
        };
        List<string> extensions = ["https://stac-extensions.github.io/projection/v1.1.0/schema.json"];
        if (double.IsFinite(pixelMetres))
        {
            properties["gsd"] = Math.Round(pixelMetres, 4);
        }

        if (double.IsFinite(sunElevationDegrees))
        {
            properties["view:sun_elevation"] = Math.Round(sunElevationDegrees, 2);
            extensions.Add("https://stac-extensions.github.io/view/v1.0.0/schema.json");
        }

        JsonSerializer.Serialize(
            destination,
            new Dictionary<string, object?>
            {
                ["type"] = "Feature",
                ["stac_version"] = "1.0.0",
                ["stac_extensions"] = extensions,
                ["id"] = id,
                ["geometry"] = new { type = "Polygon", coordinates = new[] { ring } },
                ["bbox"] = new[]
                {
                    ring.Min(place => place[0]),
                    ring.Min(place => place[1]),
                    ring.Max(place => place[0]),
                    ring.Max(place => place[1]),
                },
                ["properties"] = properties,
                ["links"] = Array.Empty<object>(),
                ["assets"] = assets.ToDictionary(
                    asset => asset.Key,
                    asset => new
                    {
                        href = "./" + asset.File,
                        type = asset.Type,
                        title = asset.Title,
                        roles = new[] { asset.Role },
                    }
                ),
            },
            Indented
        );
    }

    private static readonly JsonSerializerOptions Indented = new() { WriteIndented = true };

    private static double[] Position(GeographicPoint place) =>
        [Math.Round(place.Longitude.Degrees, 7), Math.Round(place.Latitude.Degrees, 7)];
}
