using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>Terrain heights from GeoTIFF files, in any reference system Earth knows, and from whole terrain folders.</summary>
public static class TerrainTiles
{
    private const long MostPosts = 400_000_000;

    /// <summary>Reads the part of a GeoTIFF that an area needs; null when it lies elsewhere.</summary>
    /// <param name="path">North-up GeoTIFF.</param>
    /// <param name="area">Only this area, a few posts wider, is loaded; null loads all.</param>
    /// <param name="band">Band of the heights, from 0.</param>
    /// <param name="whenUntold">
    /// What heights are measured from when the file does not say; EGM96 is what free terrain is nearly always above.
    /// </param>
    /// <param name="sigmaMetres">Stated standard error of a height.</param>
    /// <exception cref="InputProblemException">Not a raster, not north-up, no known reference system, too large.</exception>
    public static TerrainTile? Read(
        string path,
        GeographicArea? area = null,
        int band = 0,
        VerticalReference whenUntold = VerticalReference.Egm96Geoid,
        double sigmaMetres = TerrainTile.DefaultSigmaMetres
    )
    {
        using RasterFile raster = RasterFile.Open(path);
        if (raster.Placement is not { IsNorthUp: true } placement)
        {
            throw new InputProblemException(
                path,
                "the raster does not say where it lies, or is not north-up.",
                "Warp it to WGS 84 latitude/longitude or a WGS 84 / UTM zone."
            );
        }

        if (band < 0 || band >= raster.BandCount)
        {
            throw new InputProblemException(
                path,
                $"it has {raster.BandCount} bands, none numbered {band + 1}.",
                "Name the band that holds the heights."
            );
        }

        ReferenceSystem system = RasterReferenceSystem.Of(raster);
        RasterWindow? needed = Window(raster, placement, system, area);
        if (needed is not { } window)
        {
            return null;
        }

        if ((long)window.Rows * window.Columns > MostPosts)
        {
            throw new InputProblemException(
                path,
                $"{window.Rows} × {window.Columns} heights are more than fit in memory.",
                "Cut the raster to the estate and its surroundings."
            );
        }

        float[] heights = new float[window.Rows * window.Columns];
        raster.ReadTrueValues(0, band, window, heights);
        return new(
            path,
            system,
            placement.OriginX + (placement.XPerColumn * (window.Column + 0.5)),
            placement.OriginY + (placement.YPerRow * (window.Row + 0.5)),
            placement.XPerColumn,
            -placement.YPerRow,
            window.Rows,
            window.Columns,
            heights,
            raster.Heights is { } told && told != VerticalReference.Unknown ? told : whenUntold,
            sigmaMetres
        );
    }

    /// <summary>Loads every GeoTIFF and .hgt tile of a folder that overlaps an area, in the order of their names.</summary>
    /// <exception cref="InputProblemException">No tile overlaps the area, or one cannot be read.</exception>
    public static Earth.Terrain OpenFolder(
        string folder,
        GeographicArea area,
        VerticalReference whenUntold = VerticalReference.Egm96Geoid
    )
    {
        List<TerrainTile> tiles = [.. Earth.Terrain.HgtTilesIn(folder, area)];
        foreach (string file in Directory.EnumerateFiles(folder).Order(StringComparer.Ordinal))
        {
            if (
                Path.GetExtension(file).ToUpperInvariant() is ".TIF" or ".TIFF"
                && Read(file, area, whenUntold: whenUntold) is { } tile
            )
            {
                tiles.Add(tile);
            }
        }

        return tiles.Count > 0
            ? new(tiles)
            : throw new InputProblemException(
                folder,
                FormattableString.Invariant(
                    $"no terrain tile covers {area.SouthDegrees:0.###} … {area.NorthDegrees:0.###}° north, {area.WestDegrees:0.###} … {area.EastDegrees:0.###}° east."
                ),
                "Add a GeoTIFF or .hgt height tile of the estate."
            );
    }

    /// <summary>The cells an area needs with three around; null when the raster lies elsewhere.</summary>
    private static RasterWindow? Window(
        RasterFile raster,
        RasterPlacement placement,
        ReferenceSystem system,
        GeographicArea? area
    )
    {
        if (area is null)
        {
            return new RasterWindow(0, 0, raster.Rows, raster.Columns);
        }

        // Edges of a rectangle bend in another system: nine points along each side bound them closely enough for a field.
        (double left, double right, double top, double bottom) = (
            double.MaxValue,
            double.MinValue,
            double.MaxValue,
            double.MinValue
        );
        for (int i = 0; i <= 8; i++)
        {
            for (int j = 0; j <= 8; j++)
            {
                GeographicPoint place = GeographicPoint.FromDegrees(
                    area.SouthDegrees + ((area.NorthDegrees - area.SouthDegrees) * i / 8),
                    area.WestDegrees + ((area.EastDegrees - area.WestDegrees) * j / 8)
                );
                (double x, double y) = Coordinates(system, place);
                double column = (x - placement.OriginX) / placement.XPerColumn;
                double row = (y - placement.OriginY) / placement.YPerRow;
                left = Math.Min(left, column);
                right = Math.Max(right, column);
                top = Math.Min(top, row);
                bottom = Math.Max(bottom, row);
            }
        }

        if (!(left < raster.Columns && right > 0 && top < raster.Rows && bottom > 0))
        {
            return null;
        }

        int firstColumn = (int)Math.Max(0, Math.Floor(left) - 3);
        int firstRow = (int)Math.Max(0, Math.Floor(top) - 3);
        int lastColumn = (int)Math.Min(raster.Columns - 1, Math.Ceiling(right) + 3);
        int lastRow = (int)Math.Min(raster.Rows - 1, Math.Ceiling(bottom) + 3);
        return new RasterWindow(firstRow, firstColumn, lastRow - firstRow + 1, lastColumn - firstColumn + 1);
    }

    private static (double X, double Y) Coordinates(ReferenceSystem system, GeographicPoint place)
    {
        if (system.IsProjected)
        {
            GridPoint point = system.ToGrid(place);
            return (point.EastingMetres, point.NorthingMetres);
        }

        GeographicPoint own = system.Datum.FromWgs84Place(place);
        return (own.Longitude.Degrees, own.Latitude.Degrees);
    }
}
