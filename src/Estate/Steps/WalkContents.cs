using System.Globalization;
using Hillrow.Earth;
using Hillrow.Findings;
using Hillrow.Handover;

namespace Hillrow.Estate;

/// <summary>Gathers what a survey's walk list says, and knows the formats that it is written in.</summary>
internal static class WalkContents
{
    /// <summary>From here on a way is steep: a quarter of the height of its length makes a loaded person slip when it is wet (common practice).</summary>
    private const double SteepShare = 0.25;

    public static IReadOnlyList<(string File, Action<WalkContent, Stream> Write)> Formats { get; } =
    [
        ("walk.html", WalkPage.Write),
        ("walk.csv", WalkFiles.WriteCsv),
        ("walk.gpx", WalkFiles.WriteGpx),
        ("walk.kml", WalkFiles.WriteKml),
    ];

    public static WalkContent Of(EstateFolder estate, SurveyFindings survey, Language language)
    {
        GeographicPoint Place(GridPoint place) => estate.ReferenceSystem.ToWgs84(place);
        return new WalkContent
        {
            EstateName = estate.Settings.Name,
            Language = LanguageCodes.CodeOf(language),
            Survey = survey.Survey,
            SurveyDate = SurveyDay.Of(survey.Survey),
            Stops =
            [
                .. survey.Walk.Stops.Select(stop => new WalkRow(
                    stop.Number,
                    stop.Plant,
                    stop.Block,
                    TaskOf(stop),
                    PatchOf(survey, stop),
                    Place(stop.Place),
                    stop.LegMetres,
                    stop.SteepestShare > SteepShare
                )),
            ],
            // The first leg leads back from the last stop: the round closes.
            Way =
            [
                .. survey
                    .Walk.Stops.Skip(1)
                    .Concat(survey.Walk.Stops.Take(1))
                    .SelectMany(stop => stop.Leg)
                    .Select(Place),
            ],
            Blocks =
            [
                .. new BlockBook(estate)
                    .Blocks()
                    .SelectMany(block =>
                        BlockPolygons
                            .Of(block)
                            .Select(polygon => new WalkOutline(block.Name, [.. polygon.Outer.Select(Place)]))
                    ),
            ],
            Metres = Figure(survey, "metres", FigureForm.WholeMetres),
            Minutes = Figure(survey, "minutes", FigureForm.Count),
        };
    }

    public static string TaskOf(WalkStop stop) => stop.Task.ToString().ToLowerInvariant();

    public static string PatchOf(SurveyFindings survey, WalkStop stop) =>
        stop.Patch < 0 ? ""
        : stop.Patch < survey.Patches.Count ? survey.Patches[stop.Patch].Name
        : (stop.Patch + 1).ToString(CultureInfo.InvariantCulture);

    private static ReportFigure Figure(SurveyFindings survey, string quantity, FigureForm form)
    {
        string key = FindingRows.KeyOf(survey.Survey, "walk", "all", quantity);
        return new ReportFigure(
            key,
            survey.Figures.FirstOrDefault(figure => figure.Key == key)?.Value ?? double.NaN,
            form
        );
    }
}
