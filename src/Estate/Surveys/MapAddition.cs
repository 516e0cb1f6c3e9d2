using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>A map that was made elsewhere, as a person gives it.</summary>
/// <param name="Map">Orthomosaic, GeoTIFF of any known reference system.</param>
public sealed record GivenMap(string Map)
{
    /// <summary>Heights of ground and plants, GeoTIFF; null when there are none.</summary>
    public string? Surface { get; init; }

    /// <summary>Heights of the ground alone; null: found from the surface's lowest points.</summary>
    public string? Ground { get; init; }

    /// <summary>"red,green,blue,nir"; null: as the file names them.</summary>
    public string? Bands { get; init; }

    /// <summary>Number that stands for a reflectance of 1; null: 1 for fractions and scaled bands, none for plain integers.</summary>
    public double? ReflectanceOne { get; init; }
}

/// <summary>Brings a map that was made elsewhere into the estate as a survey, instead of captures.</summary>
public static class MapAddition
{
    /// <summary>What a reflectance cannot be; a share of bright roofs may.</summary>
    private const double LargestReflectance = 2;

    /// <summary>Farther than this from the zone's middle a map is stretched, or of elsewhere.</summary>
    private const double FarthestFromZoneDegrees = 6;

    /// <summary>Copies (or links) the files; the survey is there only when all is.</summary>
    /// <exception cref="InputProblemException">A file cannot be used, is in the estate already, or no day is given.</exception>
    public static SurveyAdded Add(EstateFolder estate, GivenMap given, SurveyWishes wishes)
    {
        ArgumentNullException.ThrowIfNull(estate);
        ArgumentNullException.ThrowIfNull(given);
        ArgumentNullException.ThrowIfNull(wishes);
        if (given.Surface is null && given.Ground is not null)
        {
            throw new InputProblemException(
                "--ground",
                "was given without --surface.",
                "Give both, or the surface alone: heights of plants are the one less the other."
            );
        }

        DateOnly day =
            wishes.Day
            ?? throw new InputProblemException(
                given.Map,
                "does not tell the day it was flown.",
                "Give it with --date YYYY-MM-DD."
            );
        List<string> told = [];
        BroughtBands bands = Look(estate, given, told);
        RefuseTaken(estate, given.Map);
        string id = SurveyAddition.IdOf(estate, day, wishes.Name);
        SurveyFolder added = estate.AddSurvey(id);
        (string From, string Name)[] files =
        [
            .. new (string? From, string Name)[]
            {
                (given.Map, BroughtFiles.Map),
                (given.Surface, BroughtFiles.Surface),
                (given.Ground, BroughtFiles.Ground),
            }
                .Where(file => file.From is not null)
                .Select(file => (Path.GetFullPath(file.From!), file.Name)),
        ];
        MapCopies.Bring(files, added.Maps, wishes.Link);
        DurableFiles.WriteAllText(added.SettingsFile, SurveyToml.Write(new SurveySettings(null, bands)));
        return new SurveyAdded(added, null, files.Length, told);
    }

    private static BroughtBands Look(EstateFolder estate, GivenMap given, List<string> told)
    {
        using RasterFile map = Open(given.Map);
        GridWarp place = Placed(map, estate.ReferenceSystem);
        if (place.IsCopy)
        {
            told.Add("The map lies in the estate's UTM zone: its pixels are taken as they are.");
        }

        BroughtBands bands = new(
            given.Bands is { } words ? BandWords.Parse(words) : BandWords.Of(map),
            OneOf(map, given.ReflectanceOne)
        );
        if (bands.ReflectanceOne is null)
        {
            told.Add(
                "Its whole numbers are taken as a picture's, not as reflectance: plants can be compared within it, not with other surveys. If they are reflectance, say which number means 1 with --reflectance-one."
            );
        }

        BroughtMap.CheckBands(map, bands);
        foreach (string? heights in new[] { given.Surface, given.Ground })
        {
            if (heights is not null)
            {
                CheckHeights(estate, place.Grid, heights);
            }
        }

        return bands;
    }

    private static double? OneOf(RasterFile map, double? given)
    {
        if (given is { } one)
        {
            return one > 0 && double.IsFinite(one)
                ? one
                : throw new InputProblemException(
                    "--reflectance-one",
                    $"{one} is not above 0.",
                    "Give 1, 255, 10000 …"
                );
        }

        bool fractions = SampleTypes.IsFloatingPoint(map.Type) || map.Bands.Any(band => band.IsScaled);
        if (!fractions)
        {
            return null;
        }

        RasterWindow window = new(0, 0, map.Levels[^1].Rows, map.Levels[^1].Columns);
        if (window.CellCount > 1 << 24)
        {
            window = new RasterWindow(map.Rows / 2, map.Columns / 2, Math.Min(1024, map.Rows / 2), 1024);
            window = window with { Columns = Math.Min(1024, map.Columns / 2) };
        }

        float[] values = new float[window.CellCount];
        map.ReadTrueValues(window.Row == 0 ? map.Levels.Count - 1 : 0, 0, window, values);
        float[] known = [.. values.Where(float.IsFinite).Order()];
        return known.Length == 0 || known[known.Length / 2] <= LargestReflectance
            ? 1
            : throw new InputProblemException(
                map.Name,
                $"half of its numbers are above {known[known.Length / 2]}: no reflectance of 0 … 1.",
                "Say which number means a reflectance of 1 with --reflectance-one."
            );
    }

    private static void CheckHeights(EstateFolder estate, GridGeometry map, string path)
    {
        using RasterFile heights = Open(path);
        GridGeometry grid = Placed(heights, estate.ReferenceSystem).Grid;
        bool meet =
            grid.WestMetres < map.EastMetres
            && grid.EastMetres > map.WestMetres
            && grid.SouthMetres < map.NorthMetres
            && grid.NorthMetres > map.SouthMetres;
        if (heights.BandCount != 1 || !meet)
        {
            throw new InputProblemException(
                path,
                heights.BandCount == 1 ? "does not lie where the map lies." : $"has {heights.BandCount} bands.",
                "Give heights of the same ground, one band, with their own reference system."
            );
        }
    }

    private static GridWarp Placed(RasterFile file, ReferenceSystem zone)
    {
        GridWarp warp = new(file, zone);
        GridPoint middle = new(
            (warp.Grid.WestMetres + warp.Grid.EastMetres) / 2,
            (warp.Grid.SouthMetres + warp.Grid.NorthMetres) / 2
        );
        double off =
            zone.ToWgs84(middle).Longitude.Degrees - zone.ToWgs84(500_000, middle.NorthingMetres).Longitude.Degrees;
        return Math.Abs(off) <= FarthestFromZoneDegrees
            ? warp
            : throw new InputProblemException(
                file.Name,
                $"lies {Math.Abs(off):F0}° of longitude from the middle of the estate's UTM zone.",
                "It is of another place, or names a wrong reference system."
            );
    }

    private static RasterFile Open(string path) =>
        File.Exists(path)
            ? RasterFile.Open(path)
            : throw new InputProblemException(
                path,
                Directory.Exists(path) ? "is a folder." : "does not exist.",
                "Name a GeoTIFF file."
            );

    private static void RefuseTaken(EstateFolder estate, string map)
    {
        long bytes = new FileInfo(map).Length;
        ContentHashes hashes = new(null);
        foreach (SurveyFolder survey in estate.Surveys().Where(survey => File.Exists(survey.SettingsFile)))
        {
            FileInfo there = new(Path.Combine(survey.Maps, BroughtFiles.Map));
            there = there.ResolveLinkTarget(returnFinalTarget: true) as FileInfo ?? there;
            if (there.Exists && there.Length == bytes && hashes.OfFile(there.FullName) == hashes.OfFile(map))
            {
                throw new InputProblemException(
                    map,
                    $"is in the estate already, as survey {survey.Id}.",
                    "Nothing is to be done; to have it twice, remove that survey's folder first."
                );
            }
        }
    }
}

/// <summary>Names of the files of a survey that was brought as a map.</summary>
internal static class BroughtFiles
{
    public const string Map = "map.tif";
    public const string Surface = "surface.tif";
    public const string Ground = "ground.tif";
}
