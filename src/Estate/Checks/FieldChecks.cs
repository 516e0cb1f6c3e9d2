using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;
using Hillrow.Sight;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>Checks a survey of an estate in the field, and keeps what was found with the survey.</summary>
public static class FieldChecks
{
    private const double MarginMetres = 300;
    private const double FinestPostMetres = 10;
    private const double MostPosts = 160_000;

    /// <summary>The newest survey when none is named; what is said of captures is taken into its decisions.toml first.</summary>
    /// <exception cref="InputProblemException">No survey, no block, no terrain, or a card that cannot be read.</exception>
    /// <param name="readings">Files that were read on their way from the card; null: as kept with the survey, else read now.</param>
    /// <param name="plan">That was flown; null takes the last made for the survey's day.</param>
    public static (SurveyFolder Survey, FieldCheckInput Input) Gather(
        EstateFolder estate,
        string? survey,
        SaidOfCaptures said,
        int threads,
        IProgress<WorkProgress>? progress,
        CancellationToken cancel,
        IReadOnlyDictionary<string, CardFileReading>? readings = null,
        string? plan = null
    )
    {
        ArgumentNullException.ThrowIfNull(estate);
        SurveyFolder chosen = Chosen(estate, survey);
        string camera =
            SurveyToml.Read(chosen.SettingsFile).Camera
            ?? throw new InputProblemException(
                $"survey {chosen.Id}",
                "came as a map: it has no captures to check.",
                "Name a survey that was brought from a card."
            );
        CameraProfile profile = CameraProfile.Load(Path.Combine(estate.Root, camera));
        IReadOnlyList<Block> blocks = new BlockBook(estate).Blocks();
        if (blocks.Count == 0)
        {
            throw new InputProblemException(
                estate.Root,
                "has no blocks yet.",
                "Bring the boundaries with `hillrow block import`."
            );
        }

        IntakeResult intake = IntakeStage.Run(
            IntakeInput.OfFolder(chosen.Captures, profile) with
            {
                Readings = readings,
            },
            IntakeSettings.Default with
            {
                Threads = threads,
            },
            progress,
            cancel
        );
        IReadOnlyList<CaptureDecision> decisions = CaptureDecisions.Take(chosen, intake, said);
        ReferenceSystem system = estate.ReferenceSystem;
        GeographicArea area = GeographicArea
            .Around([
                .. blocks.SelectMany(block => block.Boundary.Coordinates).Select(at => system.ToWgs84(at.X, at.Y)),
            ])
            .Widened(MarginMetres);
        Earth.Terrain terrain = TerrainTiles.OpenFolder(estate.TerrainFolder, area);
        if (!terrain.TryHeightAt(area.Centre, out Height middle))
        {
            throw new InputProblemException(
                estate.TerrainFolder,
                "has no height in the middle of the blocks.",
                "Add a terrain tile that covers the estate."
            );
        }

        LocalFrame frame = new(
            area.Centre.AtHeightAboveEllipsoid(middle.EllipsoidalMetres(area.Centre, GeoidModel.Egm96))
        );
        (double East, double North) Local(GeographicPoint place)
        {
            Vector3D at = frame.ToLocal(place.AtHeightAboveEllipsoid(frame.Origin.HeightAboveEllipsoidMetres));
            return (at.X, at.Y);
        }

        (double west, double south) = Local(GeographicPoint.FromDegrees(area.SouthDegrees, area.WestDegrees));
        (double east, double north) = Local(GeographicPoint.FromDegrees(area.NorthDegrees, area.EastDegrees));
        double post = Math.Max(FinestPostMetres, Math.Sqrt((east - west) * (north - south) / MostPosts));
        LocalGrid grid = new(
            west,
            north,
            post,
            (int)Math.Ceiling((north - south) / post),
            (int)Math.Ceiling((east - west) / post)
        );
        IReadOnlyList<(double, double)> Ring(LineString ring) =>
            [.. ring.Coordinates.SkipLast(1).Select(at => Local(system.ToWgs84(at.X, at.Y)))];
        return (
            chosen,
            new FieldCheckInput(
                intake,
                chosen.Captures,
                profile,
                frame,
                LocalHeights.Of(terrain, frame, grid, threads),
                [
                    .. blocks.Select(block => new CheckBlock(
                        block.Name,
                        [
                            .. block
                                .Boundary.Geometries.Cast<Polygon>()
                                .SelectMany(polygon =>
                                    new[] { Ring(polygon.ExteriorRing) }.Concat(polygon.InteriorRings.Select(Ring))
                                ),
                        ]
                    )),
                ]
            )
            {
                Decisions = decisions,
                Plan = PlannedFlights.Of(estate, chosen, plan, frame),
                Looks = SurveyLooks.Known(chosen, profile, readings),
            }
        );
    }

    /// <summary>Writes check.json, check.html and holes.geojson beside the survey's captures.</summary>
    /// <returns>The page.</returns>
    public static string Keep(
        EstateFolder estate,
        SurveyFolder survey,
        FieldCheckInput input,
        FieldCheckResult check,
        FieldCheckSettings settings
    )
    {
        ArgumentNullException.ThrowIfNull(estate);
        ArgumentNullException.ThrowIfNull(survey);
        ArgumentNullException.ThrowIfNull(input);
        ArgumentNullException.ThrowIfNull(check);
        DurableFiles.WriteAllText(Path.Combine(survey.Root, "check.json"), StageJson.Text(check));
        DurableFiles.WriteAllText(
            Path.Combine(survey.Root, "holes.geojson"),
            HoleGeoJson.Write(check.Holes, input.Frame)
        );
        string page = Path.Combine(survey.Root, "check.html");
        DurableFiles.WriteAllText(
            page,
            FieldCheckPage.Write(
                check,
                settings,
                estate.Settings.Name,
                survey.Id,
                CheckTexts.Of(LanguageCodes.CodeOf(estate.Settings.Language))
            )
        );
        return page;
    }

    private static SurveyFolder Chosen(EstateFolder estate, string? wanted)
    {
        IReadOnlyList<SurveyFolder> surveys = estate.Surveys();
        if (surveys.Count == 0)
        {
            throw new InputProblemException(
                estate.Root,
                "has no survey yet.",
                "Bring a card with `hillrow survey add`."
            );
        }

        return wanted is null
            ? surveys.OrderBy(survey => survey.Id, StringComparer.Ordinal).Last()
            : surveys.FirstOrDefault(survey => survey.Id == wanted)
                ?? throw new InputProblemException(
                    wanted,
                    "is no survey of the estate.",
                    $"There are: {string.Join(", ", surveys.Select(survey => survey.Id))}."
                );
    }
}
