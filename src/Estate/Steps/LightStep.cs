using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;
using Hillrow.Radiometry;
using Hillrow.Sight;

namespace Hillrow.Estate;

/// <summary>
/// Reflectance of overlapping captures made to agree, once poses and surface are known. Out: calibration.json, the one that
/// maps are made by; light.json, what the report tells of it.
/// </summary>
internal static class LightStep
{
    public const string Name = "light";
    public const string FiguresName = "light.json";

    /// <summary>Places are compared over windows of a metre and more: finer heights tell nothing.</summary>
    private const double PostMetres = 1;

    /// <summary>Beyond the outermost captures; frames reach about as far as the camera is high.</summary>
    private const double MarginMetres = 150;

    private static readonly Words Doing = new(
        "comparing the light of captures",
        "comparando la luz entre tomas",
        "comparando a luz entre tomadas"
    );

    public static RunStep Of(SurveySubject subject)
    {
        OverlapSettings settings = OverlapSettings.Default;
        return new RunStep(
            subject.Key(Name),
            Doing,
            "Overlapping captures made to agree on the same ground: the light of each capture by robust least squares with the irradiance sensor as prior, and how crowns and soil change with the view angle",
            "Honkavaara & Khoramshahi 2018, doi 10.3390/rs10020256; Lucht et al. 2000, doi 10.1109/36.841980; docs/stages/3-radiometry.md",
            [
                subject.OutputOf(IntakeStep.Name),
                subject.OutputOf(RadiometryStep.Name),
                subject.OutputOf(ReconstructionStep.Name),
                subject.Card,
                subject.Camera,
            ],
            StepSettings.TextOf(settings with { Threads = 1 }),
            context => Work(context, settings)
        )
        {
            Weight = 6,
        };
    }

    /// <summary>The survey's frames as reflectance, for a step that declares this one, intake, card and camera as inputs.</summary>
    public static ReflectanceFrames Frames(StepContext context, CameraProfile profile, IntakeResult intake) =>
        RadiometryStep.Frames(context, profile, intake, Read(context));

    /// <summary>What turns those frames to the reference sun and straight above; null when captures were not compared.</summary>
    /// <param name="context">Of a step that declares this one, intake, card and camera as inputs.</param>
    /// <param name="profile">Of the camera.</param>
    /// <param name="intake">Of the survey.</param>
    /// <param name="geometry">Of the survey.</param>
    public static IFrameNormalisation? Normalisation(
        StepContext context,
        CameraProfile profile,
        IntakeResult intake,
        SurveyGeometry geometry
    ) =>
        Read(context) is { Light: { } light } calibration
            ? new NormalisedFrames(
                RadiometryStep.Frames(context, profile, intake, calibration),
                light,
                geometry,
                [.. intake.Captures.Select(entry => entry.Capture)]
            )
            : null;

    public static Calibration Read(StepContext context, string input = Name) =>
        StageJson.Read<Calibration>(Path.Combine(context.PathOf(input), RadiometryStep.FileName));

    /// <summary>What the report tells of a survey's light.</summary>
    public static StoredLight Figures(StepContext context, string input = Name) =>
        StageJson.Read<StoredLight>(Path.Combine(context.PathOf(input), FiguresName));

    private static StepResult Work(StepContext context, OverlapSettings settings)
    {
        IntakeResult intake = IntakeStep.Read(context);
        CameraProfile profile = SurveySubject.Profile(context);
        SurveyGeometry geometry = ReconstructionStep.Geometry(context).Geometry;
        Calibration before = RadiometryStep.Read(context);
        Calibration calibration = LightAdjusting.Adjust(
            new OverlapInput(
                profile,
                [.. intake.Captures.Select(entry => entry.Capture)],
                before,
                RadiometryStep.Frames(context, profile, intake, before),
                geometry,
                SurfaceOf(context, geometry)
            ),
            settings with
            {
                Threads = context.Threads,
            },
            context.Progress(),
            context.Cancellation
        );
        StageJson.Write(context.NewFile(RadiometryStep.FileName), calibration);
        StageJson.Write(context.NewFile(FiguresName), StoredLight.Of(calibration));
        StageOutcome outcome = calibration.Light is null
            ? StageOutcome.Degraded(
                "Captures overlap too little to be compared: each keeps the light that panel and sensor tell. Fly with more overlap."
            )
            : StageOutcome.Done;
        return new StepResult(outcome)
        {
            Figures =
            [
                .. (calibration.Light?.Agreements ?? []).SelectMany(band =>
                    new[]
                    {
                        new StepFigure($"looks.{band.Band}", band.Looks),
                        new StepFigure($"agreementBefore.{band.Band}", band.Before),
                        new StepFigure($"agreementAfter.{band.Band}", band.After),
                        new StepFigure($"levelSigma.{band.Band}", band.LevelSigma),
                    }
                ),
            ],
        };
    }

    private static HeightField SurfaceOf(StepContext context, SurveyGeometry geometry)
    {
        Raster<float> surface = RasterFile.ReadWhole<float>(ReconstructionStep.SurfaceFile(context));
        Vector3D[] places = [.. geometry.Captures.Select(capture => capture.Pose.CentreLocalMetres)];
        double west = places.Min(place => place.X) - MarginMetres;
        double north = places.Max(place => place.Y) + MarginMetres;
        double wide = places.Max(place => place.X) + MarginMetres - west;
        double tall = north - places.Min(place => place.Y) + MarginMetres;
        LocalGrid area = new(
            west,
            north,
            PostMetres,
            (int)Math.Ceiling(tall / PostMetres),
            (int)Math.Ceiling(wide / PostMetres)
        );
        return LocalHeights.Of(surface.Grid, surface.BandMemory(0), geometry.Frame, area, context.Threads);
    }
}
