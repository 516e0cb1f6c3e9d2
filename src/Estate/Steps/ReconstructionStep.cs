using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;
using Hillrow.Reconstruction;
using Hillrow.Sight;

namespace Hillrow.Estate;

/// <summary>
/// Captures → poses, lenses, and the surface with the ground below it. Out: geometry.json, surface.tif, ground.tif,
/// canopy.tif, canopy-sigma.tif, confidence.tif, ground-seen.tif, landmarks.bin (what later surveys are tied to).
/// </summary>
internal static class ReconstructionStep
{
    public const string Name = "reconstruction";
    private const string GeometryName = "geometry.json";
    private const string SurfaceName = HeightFiles.Surface;
    private const string GroundName = HeightFiles.Ground;
    private const string CanopyName = HeightFiles.Canopy;
    private const string GroundSeenName = "ground-seen.tif";
    private const string LandmarksName = "landmarks.bin";
    private const string TerrainInput = "terrain";

    /// <summary>Folder on the card where surveyed points and their marks are put.</summary>
    private const string ControlFolder = "ground-control";

    /// <summary>Earlier surveys that one is tied to: the first, which sets the place of all, and the last ones, which look most alike.</summary>
    private const int LastEarlierSurveys = 3;

    /// <summary>Share of the step's time until the surfaces are written.</summary>
    private const double ShareOfStage = 0.97;

    private static readonly Words Doing = new(
        "placing captures and shaping the ground",
        "ubicando las capturas y modelando el terreno",
        "posicionando as capturas e modelando o terreno"
    );

    /// <param name="subject">The survey.</param>
    /// <param name="earlier">Surveys before it, in order of date; it never depends on later ones.</param>
    /// <param name="area">What surfaces must cover.</param>
    public static RunStep Of(SurveySubject subject, IReadOnlyList<SurveySubject> earlier, MappedArea? area)
    {
        SurveySubject[] tied =
        [
            .. earlier.Where((_, index) => index == 0 || index >= earlier.Count - LastEarlierSurveys),
        ];
        ReconstructionSettings settings = new();
        return new RunStep(
            subject.Key(Name),
            Doing,
            "Features matched between captures, poses and lens by least squares over all ties, bands tied to the reference band; heights by matching along rays, ground below the canopy from its lowest points",
            "Triggs et al. 2000, doi 10.1007/3-540-44480-7_21; Hirschmüller 2008, doi 10.1109/TPAMI.2007.1166",
            [
                subject.OutputOf(IntakeStep.Name),
                subject.Card,
                subject.Camera,
                StepInput.Folder(TerrainInput, subject.Estate.TerrainFolder),
                .. tied.Select(survey => StepInput.Output(survey.Survey.Id, survey.Key(Name), optional: true)),
            ],
            StepSettings.TextOf(new { stage = settings with { Threads = 1 }, mappedArea = area }),
            context => Work(context, settings, area, [.. tied.Select(survey => survey.Survey.Id)])
        )
        {
            Weight = 70,
        };
    }

    public static StoredGeometry Geometry(StepContext context, string input = Name) =>
        StageJson.Read<StoredGeometry>(Path.Combine(context.PathOf(input), GeometryName));

    public static string SurfaceFile(StepContext context) => Path.Combine(context.PathOf(Name), SurfaceName);

    private static StepResult Work(
        StepContext context,
        ReconstructionSettings settings,
        MappedArea? area,
        IReadOnlyList<string> earlier
    )
    {
        IReadOnlyList<Capture> captures = IntakeStep.Read(context).OfRole(CaptureRole.Survey);
        GroundControl? control = ControlOf(context);
        IEnumerable<GeographicPoint> surveyed = (control?.Points ?? []).Select(point => new GeographicPoint(
            point.Place.Latitude,
            point.Place.Longitude
        ));
        ReconstructionResult result = ReconstructionStage.Run(
            new ReconstructionInput(
                captures,
                SurveySubject.Profile(context),
                StageWork.TerrainAround(captures, surveyed, context.PathOf(TerrainInput)),
                FrameReaders.FromFolder(SurveySubject.CardFolder(context)),
                context.Estate.ReferenceSystem,
                area?.ToPolygon()
            )
            {
                Control = control,
                Earlier = [.. earlier.Where(context.Has).Select(survey => LandmarksOf(context, survey))],
            },
            settings with
            {
                Threads = context.Threads,
            },
            context.Progress(0, ShareOfStage),
            context.Cancellation
        );
        if (result.Outcome.Usable)
        {
            Write(context, result);
        }

        return new StepResult(result.Outcome) { Warnings = [.. Unplaced(result)], Figures = [.. FiguresOf(result)] };
    }

    /// <summary>From the card, or from one of several cards that were brought in together.</summary>
    private static GroundControl? ControlOf(StepContext context)
    {
        string card = SurveySubject.CardFolder(context);
        return Directory
            .EnumerateDirectories(card, ControlFolder, SearchOption.AllDirectories)
            .Order(StringComparer.Ordinal)
            .Select(folder => GroundControlFiles.Read(folder, context.Estate.ReferenceSystem))
            .FirstOrDefault(found => found is not null);
    }

    private static Landmarks LandmarksOf(StepContext context, string survey)
    {
        string file = Path.Combine(context.PathOf(survey), LandmarksName);
        return Landmarks.FromBytes(File.ReadAllBytes(file), file);
    }

    private static void Write(StepContext context, ReconstructionResult result)
    {
        File.WriteAllBytes(context.NewFile(LandmarksName), result.Landmarks!.ToBytes());
        StageJson.Write(
            context.NewFile(GeometryName),
            new StoredGeometry(
                result.Figures.GroundSampleMetres,
                result.Figures.ReprojectionAfterPixels,
                result.Figures.Rig.Count == 0 ? double.NaN : result.Figures.Rig.Values.Max(rig => rig.RmsPixels),
                result.Geometry!
            )
            {
                PositionSigmaMetres = result.Figures.PositionSigmaMetres,
                Checkpoints = result.Figures.Control.Checkpoints,
                RmseHorizontalMetres = result.Figures.Control.RmseHorizontalMetres,
                RmseVerticalMetres = result.Figures.Control.RmseVerticalMetres,
            }
        );
        Cog.Write(context.NewFile(SurfaceName), result.Surface!, null, context.Threads, context.Cancellation);
        Cog.Write(context.NewFile(GroundName), result.Ground!, null, context.Threads, context.Cancellation);
        Cog.Write(context.NewFile(CanopyName), result.CanopyHeight!, null, context.Threads, context.Cancellation);
        context.Report(ShareOfStage + ((1 - ShareOfStage) / 2));
        Cog.Write(
            context.NewFile(HeightFiles.Confidence),
            result.Confidence!,
            null,
            context.Threads,
            context.Cancellation
        );
        Cog.Write(
            context.NewFile(HeightFiles.CanopySigma),
            result.CanopySigma!,
            null,
            context.Threads,
            context.Cancellation
        );
        Cog.Write(context.NewFile(GroundSeenName), result.GroundSeen!, null, context.Threads, context.Cancellation);
    }

    private static IEnumerable<StepWarning> Unplaced(ReconstructionResult result) =>
        (result.Geometry?.Captures ?? [])
            .Where(capture => !capture.Placed)
            .Select(capture => new StepWarning(
                "capture-not-placed",
                capture.CaptureId,
                capture.Reason,
                "It is left out of the map; fly with more overlap there."
            ));

    private static IEnumerable<StepFigure> FiguresOf(ReconstructionResult result)
    {
        ReconstructionFigures figures = result.Figures;
        yield return new StepFigure("captures", figures.Captures);
        yield return new StepFigure("capturesPlaced", figures.CapturesPlaced);
        yield return new StepFigure("pairs", figures.Pairs);
        yield return new StepFigure("ties", figures.Ties);
        yield return new StepFigure("tiePoints", figures.TiePoints);
        yield return new StepFigure("sights", figures.Sights);
        yield return new StepFigure("sightsKeptShare", figures.SightsKeptShare);
        yield return new StepFigure("reprojectionBeforePixels", figures.ReprojectionBeforePixels);
        yield return new StepFigure("reprojectionAfterPixels", figures.ReprojectionAfterPixels);
        yield return new StepFigure("positionResidualEastMetres", figures.PositionResidualMetres.X);
        yield return new StepFigure("positionResidualNorthMetres", figures.PositionResidualMetres.Y);
        yield return new StepFigure("positionResidualUpMetres", figures.PositionResidualMetres.Z);
        yield return new StepFigure("positionSigmaMetres", figures.PositionSigmaMetres);
        yield return new StepFigure("pointSigmaHorizontalMetres", figures.PointSigmaHorizontalMetres);
        yield return new StepFigure("pointSigmaVerticalMetres", figures.PointSigmaVerticalMetres);
        yield return new StepFigure("wrongPositions", figures.WrongPositions.Count);
        yield return new StepFigure("parts", figures.Parts.Count);
        yield return new StepFigure("foundMarks", result.FoundMarks.Count);
        yield return new StepFigure("controlPoints", figures.Control.ControlPoints);
        yield return new StepFigure("checkpoints", figures.Control.Checkpoints);
        if (figures.Control.ControlPoints > 0)
        {
            yield return new StepFigure("controlRmseHorizontalMetres", figures.Control.ControlRmseHorizontalMetres);
            yield return new StepFigure("controlRmseVerticalMetres", figures.Control.ControlRmseVerticalMetres);
        }

        if (figures.Control.Checkpoints > 0)
        {
            yield return new StepFigure("checkRmseHorizontalMetres", figures.Control.RmseHorizontalMetres);
            yield return new StepFigure("checkRmseVerticalMetres", figures.Control.RmseVerticalMetres);
        }

        yield return new StepFigure("earlierSpots", figures.Earlier.Spots);
        if (figures.Earlier.Spots > 0)
        {
            yield return new StepFigure("earlierScatterHorizontalMetres", figures.Earlier.HorizontalSigmaMetres);
            yield return new StepFigure("earlierScatterVerticalMetres", figures.Earlier.VerticalSigmaMetres);
        }

        yield return new StepFigure("focalRatio", figures.FocalRatio);
        yield return new StepFigure("groundSampleMetres", figures.GroundSampleMetres);
        yield return new StepFigure("surfaceMeasuredShare", figures.SurfaceMeasuredShare);
        foreach ((string band, RigFigure rig) in figures.Rig.OrderBy(entry => entry.Key, StringComparer.Ordinal))
        {
            yield return new StepFigure($"rigTies.{band}", rig.Ties);
            yield return new StepFigure($"rigRmsPixels.{band}", rig.RmsPixels);
        }
    }
}

/// <summary>A survey's geometry as it is kept.</summary>
/// <param name="GroundSampleMetres">Distance of neighbouring pixels on the ground, middle of the captures.</param>
/// <param name="ReprojectionPixels">Root mean square distance between sight and projected point after adjustment.</param>
/// <param name="BandShiftPixels">Root mean square miss of a band-to-band tie, the worst band; NaN with one band.</param>
/// <param name="Geometry">Poses, lenses, mounts.</param>
internal sealed record StoredGeometry(
    double GroundSampleMetres,
    double ReprojectionPixels,
    double BandShiftPixels,
    SurveyGeometry Geometry
)
{
    /// <summary>Standard error of a coordinate of the whole; without control the receiver's common error.</summary>
    public double PositionSigmaMetres { get; init; } = double.NaN;

    /// <summary>Surveyed points that the map was judged by.</summary>
    public int Checkpoints { get; init; }

    /// <summary>At the checkpoints, their own error included (ASPRS 2023); NaN without.</summary>
    public double RmseHorizontalMetres { get; init; } = double.NaN;

    public double RmseVerticalMetres { get; init; } = double.NaN;
}
