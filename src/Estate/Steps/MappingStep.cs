using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Mapping;
using Hillrow.Numerics;
using Hillrow.Radiometry;

namespace Hillrow.Estate;

/// <summary>
/// Poses, surface and reflectance → the orthomosaic. Out: reflectance.tif, sigma.tif, capture.tif, view.tif, shadow.tif,
/// nadir-factor.tif, map.json.
/// </summary>
internal static class MappingStep
{
    public const string Name = "mapping";
    public const string FiguresName = "map.json";

    /// <summary>The map's cells are the pixels' size on the ground, rounded to this: a size that people can say.</summary>
    private const int CellDecimals = 3;
    private const double SmallestCellMetres = 0.005;

    private static readonly Words Doing = new("laying the map", "componiendo el mapa", "compondo o mapa");

    public static RunStep Of(SurveySubject subject)
    {
        MappingSettings settings = new();
        return new RunStep(
            subject.Key(Name),
            Doing,
            "Each cell of all bands from one capture that sees it past the surface, seams led between crowns; sigma, capture, view angles and cast shadow with it",
            "own; docs/stages/5-mapping.md",
            [
                subject.OutputOf(IntakeStep.Name),
                subject.OutputOf(LightStep.Name),
                subject.OutputOf(ReconstructionStep.Name),
                subject.Card,
                subject.Camera,
            ],
            StepSettings.TextOf(settings with { Threads = 1 }),
            context => Work(context, settings)
        )
        {
            Weight = 20,
        };
    }

    public static MapFiles Files(StepContext context, string input = Name) => MapFiles.In(context.PathOf(input));

    public static StoredMap Figures(StepContext context, string input = Name) =>
        StageJson.Read<StoredMap>(Path.Combine(context.PathOf(input), FiguresName));

    private static StepResult Work(StepContext context, MappingSettings settings)
    {
        IntakeResult intake = IntakeStep.Read(context);
        CameraProfile profile = SurveySubject.Profile(context);
        StoredGeometry stored = ReconstructionStep.Geometry(context);
        ReflectanceFrames frames = LightStep.Frames(context, profile, intake);
        Raster<float> surface = RasterFile.ReadWhole<float>(ReconstructionStep.SurfaceFile(context));
        MapFiles files = MapFiles.In(context.OutputFolder);
        IReadOnlyList<Vector3D>? sun = Suns(stored, intake);
        MappingResult result = MappingStage.Run(
            new MappingInput(stored.Geometry, frames, surface, GridOver(surface.Grid, stored.GroundSampleMetres), files)
            {
                TowardsSunLocal = sun,
                Normalisation = LightStep.Normalisation(context, profile, intake, stored.Geometry),
            },
            settings with
            {
                Threads = context.Threads,
            },
            context.Progress(),
            context.Cancellation
        );
        StoredMap figures = new(
            result.CapturesUsed,
            result.CellsMapped,
            sun is null ? double.NaN : Elevation(sun[sun.Count / 2]),
            result.Outcome.Usable ? TypicalSigma(files.Sigma, RedBand(profile, frames.Bands)) : double.NaN
        );
        if (result.Outcome.Usable)
        {
            StageJson.Write(context.NewFile(FiguresName), figures);
        }

        StageOutcome outcome =
            !result.Outcome.Usable || SurveySubject.FindsPlants(profile)
                ? result.Outcome
                : result.Outcome.With(
                    new StageOutcome(
                        StageVerdict.Done,
                        [
                            "plants are not looked for without a red and a near-infrared band: the survey ends with its map.",
                        ]
                    )
                );
        return new StepResult(outcome)
        {
            Figures =
            [
                new StepFigure("cellsMapped", result.CellsMapped),
                new StepFigure("cellsWithSurface", result.CellsWithSurface),
                new StepFigure("cellsHidden", result.CellsHidden),
                new StepFigure("cellsShaded", result.CellsShaded),
                new StepFigure("capturesUsed", result.CapturesUsed),
                new StepFigure("lensLatticeErrorPixels", result.LensLatticeErrorPixels),
                new StepFigure("meanViewZenithDegrees", result.MeanViewZenithDegrees),
                new StepFigure("sunElevationDegrees", figures.SunElevationDegrees),
                new StepFigure("typicalRedSigma", figures.TypicalRedSigma),
            ],
        };
    }

    /// <summary>Cells on whole multiples of their size, so that maps of equal cells lie on one another.</summary>
    private static GridGeometry GridOver(GridGeometry surface, double groundSampleMetres)
    {
        double cell = Math.Max(SmallestCellMetres, Math.Round(groundSampleMetres, CellDecimals));
        long west = (long)Math.Ceiling(surface.WestMetres / cell);
        long east = (long)Math.Floor(surface.EastMetres / cell);
        long south = (long)Math.Ceiling(surface.SouthMetres / cell);
        long north = (long)Math.Floor(surface.NorthMetres / cell);
        return new GridGeometry(
            surface.ReferenceSystem,
            new GridPoint(west * cell, north * cell),
            cell,
            (int)(north - south),
            (int)(east - west)
        );
    }

    /// <summary>Null unless every capture knows its time: a map half of whose shadows are unknown misleads.</summary>
    internal static IReadOnlyList<Vector3D>? Suns(StoredGeometry stored, IntakeResult intake)
    {
        Dictionary<string, DateTimeOffset?> times = intake.Captures.ToDictionary(
            entry => entry.Capture.Id,
            entry => entry.Capture.TimeUtc
        );
        DateTimeOffset[] known =
        [
            .. stored
                .Geometry.Captures.Select(capture => times.GetValueOrDefault(capture.CaptureId))
                .OfType<DateTimeOffset>(),
        ];
        return known.Length > 0 && known.Length == stored.Geometry.Captures.Count
            ? SunDirections.At(stored.Geometry, known)
            : null;
    }

    private static double Elevation(Vector3D towardsSun) =>
        Angle.FromRadians(Math.Asin(Math.Clamp(towardsSun.Z, -1, 1))).Degrees;

    private static int RedBand(CameraProfile profile, IReadOnlyList<string> bands)
    {
        int at = 0;
        for (int band = 1; band < bands.Count; band++)
        {
            at = FromRed(band) < FromRed(at) ? band : at;
        }

        return at;

        double FromRed(int band) => Math.Abs(profile.Band(bands[band]).CentreNanometres - SpectralWords.RedNanometres);
    }

    /// <summary>Median of a coarse level; a report's figure, not a result.</summary>
    private static double TypicalSigma(string file, int band)
    {
        using RasterFile raster = RasterFile.Open(file);
        int level = raster.Levels.Count - 1;
        RasterWindow window = new(0, 0, raster.Levels[level].Rows, raster.Levels[level].Columns);
        byte[] codes = new byte[window.CellCount];
        raster.Read<byte>(level, band, window, codes);
        byte[] known = [.. codes.Where(code => code != 0).Order()];
        return known.Length == 0 ? double.NaN : SigmaCode.Decode(known[known.Length / 2]);
    }
}

/// <summary>Figures of a map that the report tells.</summary>
/// <param name="CapturesUsed">Captures with at least one cell.</param>
/// <param name="CellsMapped">Cells that got a capture.</param>
/// <param name="SunElevationDegrees">At the middle of the survey; NaN when the time is unknown.</param>
/// <param name="TypicalRedSigma">Median standard error of red reflectance.</param>
internal sealed record StoredMap(
    int CapturesUsed,
    long CellsMapped,
    double SunElevationDegrees,
    double TypicalRedSigma
);
