using System.Globalization;
using Hillrow.Earth;
using Hillrow.Handover;
using Hillrow.Imaging;
using Hillrow.Mapping;

namespace Hillrow.Estate;

/// <summary>The report's pictures of the last survey, small copies of its maps.</summary>
internal sealed class ReportMaps(
    StepContext context,
    ReportSettings settings,
    SurveyFindings survey,
    IReadOnlyList<MapOutline> blocks
)
{
    private const string Png = "image/png";

    // Fixed ends, so that two surveys' pages can be laid side by side.
    private static readonly (double Low, double High) NdviRange = (0, 1);
    private static readonly (double Low, double High) NdreRange = (0, 0.6);
    private static readonly (double Low, double High) HeightRange = (0, 4);

    public IEnumerable<ReportMap> All()
    {
        string mapping = SurveyInputs.NameOf(survey.Survey, MappingStep.Name);
        using RasterFile reflectance = RasterFile.Open(MappingStep.Files(context, mapping).Reflectance);
        string cameraInput = ReportStep.CameraInput(survey.Survey);
        CameraProfile? camera = context.Has(cameraInput) ? CameraProfile.Load(context.PathOf(cameraInput)) : null;
        string[] names = [.. reflectance.Bands.Select(band => band.Name)];
        // A map that was brought calls its bands by our words.
        string[] words = camera is null ? names : [.. SpectralWords.Of(camera, names)];
        int[] colours = [.. new[] { "red", "green", "blue" }.Select(word => Array.IndexOf(words, word))];
        if (Array.TrueForAll(colours, band => band >= 0))
        {
            PreviewPicture picture = MapPreview.Composite(reflectance, "", colours, settings.LongestSidePixels);
            yield return MapOf("map.decline", picture, null) with
            {
                Outlines = AllOutlines(),
                Marks = [.. Marks()],
            };
            yield return MapOf("map.colour", picture, null) with
            {
                Outlines = blocks,
            };
        }

        IReadOnlyList<FormulaBand> bands = IndexMap.BandsOf(reflectance, camera);
        if (words.Contains("red") && words.Contains("nir"))
        {
            yield return IndexMapOf(reflectance, bands, "NDVI", NdviRange);
        }

        if (words.Contains("rededge") && words.Contains("nir"))
        {
            yield return IndexMapOf(reflectance, bands, "NDRE", NdreRange);
        }

        if (HeightFiles.Find(context, HeightFiles.Canopy, survey.Survey) is { } heights)
        {
            using RasterFile canopy = RasterFile.Open(heights);
            yield return MapOf(
                "map.height",
                MapPreview.Band(canopy, 0, "", ColourRamp.Cividis, settings.LongestSidePixels, HeightRange),
                "ramp.height"
            ) with
            {
                Outlines = blocks,
            };
        }
    }

    private ReportMap IndexMapOf(
        RasterFile reflectance,
        IReadOnlyList<FormulaBand> bands,
        string index,
        (double Low, double High) range
    )
    {
        string word = index.ToLowerInvariant();
        PreviewPicture picture = MapPreview.Index(
            reflectance,
            index,
            IndexCatalogue.FormulaOf(index, bands),
            ColourRamp.Viridis,
            settings.LongestSidePixels,
            range
        );
        return MapOf($"map.{word}", picture, $"ramp.{word}") with { Outlines = blocks };
    }

    private ReportMap MapOf(string titleKey, PreviewPicture picture, string? rampKey)
    {
        GridGeometry grid = picture.Grid;
        return new ReportMap
        {
            TitleKey = titleKey,
            Picture = picture.Png,
            PictureType = Png,
            Extent = new MapExtent(
                grid.WestMetres,
                grid.SouthMetres,
                grid.EastMetres,
                grid.NorthMetres,
                $"WGS 84 / UTM {UtmZoneText.ZoneOf(grid.ReferenceSystem)}"
            ),
            Date = DateOnly.ParseExact(survey.Survey[..10], "yyyy-MM-dd", CultureInfo.InvariantCulture),
            Ramp =
                rampKey is not null && picture.Legend.Ramp is { } ramp
                    ? new MapRamp(rampKey, picture.Legend.Low, picture.Legend.High, ramp.Stops)
                    : null,
        };
    }

    private IReadOnlyList<MapOutline> AllOutlines() =>
        [.. blocks, .. survey.Patches.Select(patch => new MapOutline(OutlineKind.Patch, patch.Name, patch.Outline))];

    private IEnumerable<MapMark> Marks() =>
        survey.Marks.Select(mark => new MapMark(Enum.Parse<MarkKind>(mark.Word, ignoreCase: true), mark.Place));
}
