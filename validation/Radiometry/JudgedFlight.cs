using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;
using Hillrow.Radiometry;
using Hillrow.Rehearsal;
using Hillrow.Sight;

namespace Hillrow.Validation.Radiometry;

/// <summary>A rehearsed flight as radiometry takes it, and the truth of its frames to judge by.</summary>
internal sealed class JudgedFlight
{
    private const double PoseSigmaMetres = 0.3;
    private const double PoseSigmaDegrees = 0.1;
    private const double SurfaceSigmaMetres = 0.3;
    private const double SurfaceCellMetres = 1;
    private const int ReferenceBand = 4;

    private readonly TruthFolder truth;
    private readonly Dictionary<string, int> numberOf;

    private JudgedFlight(
        string name,
        RadiometryInput input,
        IReadOnlyList<Capture> survey,
        SurveyGeometry geometry,
        HeightField surface,
        TruthFolder truth,
        Dictionary<string, int> numberOf,
        RehearsedEstate model
    )
    {
        Name = name;
        Input = input;
        Survey = survey;
        Geometry = geometry;
        Surface = surface;
        this.truth = truth;
        this.numberOf = numberOf;
        Model = model;
    }

    public string Name { get; }

    /// <summary>All captures, the panel's too.</summary>
    public RadiometryInput Input { get; }

    /// <summary>Over the crop.</summary>
    public IReadOnlyList<Capture> Survey { get; }

    /// <summary>Of the captures over the crop; a little off, as decision 0033 says.</summary>
    public SurveyGeometry Geometry { get; }

    public HeightField Surface { get; }

    public RehearsedEstate Model { get; }

    public static JudgedFlight Open(
        string name,
        string card,
        RehearsedEstate model,
        TruthFolder truth,
        CardDialect dialect
    )
    {
        CameraProfile profile = NominalProfile.Of(model.Rig, dialect, model.Panel);
        IntakeResult intake = IntakeStage.Run(IntakeInput.OfFolder(card, profile), IntakeSettings.Default);
        FlightTruth told = truth.Read<FlightTruth>(name + "/flight.json");
        Dictionary<string, PoseTruth> poseOfFile = [];
        for (int number = 1; number <= told.Captures; number++)
        {
            PoseTruth pose = truth.Read<PoseTruth>(CardFlight.PoseFile(name, number));
            foreach (string file in dialect.FilesOf(number))
            {
                poseOfFile[file] = pose;
            }
        }

        PoseTruth PoseOf(Capture capture) => poseOfFile[capture.Frames[0].File.Replace('\\', '/')];
        Capture[] all = [.. intake.Captures.Select(entry => entry.Capture)];
        IReadOnlyList<Capture> survey = intake.OfRole(CaptureRole.Survey);
        SplittableRandom draw = new SplittableRandom(model.Settings.Seed).Split("judged " + name);
        return new JudgedFlight(
            name,
            new RadiometryInput(
                profile,
                card,
                all,
                [.. intake.OfRole(CaptureRole.Panel).Select(capture => capture.Id)]
            ),
            survey,
            GeometryOf(model, survey, PoseOf, draw.Split("poses")),
            SurfaceOf(model, truth, name, draw.Split("surface")),
            truth,
            all.ToDictionary(capture => capture.Id, capture => PoseOf(capture).Number),
            model
        );
    }

    /// <summary>What the capture's frames truly show, by band.</summary>
    public IReadOnlyList<WindowTruth> WindowsOf(string captureId)
    {
        string file = truth.PathOf(FrameTruthFiles.WindowsFile(Name, numberOf[captureId]));
        using PictureFile picture = PictureFile.Open(file);
        List<WindowTruth> bands = [];
        for (int band = 0; band < RigBand.Five.Count; band++)
        {
            PictureInfo page = picture.Pages[2 * band];
            ushort[] factor = new ushort[page.Rows * page.Columns];
            ushort[] share = new ushort[factor.Length];
            picture.ReadCounts(2 * band, factor);
            picture.ReadCounts((2 * band) + 1, share);
            bands.Add(
                new WindowTruth(
                    page.Columns,
                    page.Rows,
                    Array.ConvertAll(factor, value => value / (float)FrameTruthFiles.FactorScale),
                    Array.ConvertAll(share, value => value / (float)FrameTruthFiles.ShareScale)
                )
            );
        }

        return bands;
    }

    public IReadOnlyList<CrownTruth> CrownsOf(string captureId) =>
        truth.ReadLines<CrownTruth>(FrameTruthFiles.CrownsFile(Name, numberOf[captureId]));

    public PoseTruth PoseOf(string captureId) => truth.Read<PoseTruth>(CardFlight.PoseFile(Name, numberOf[captureId]));

    private static SurveyGeometry GeometryOf(
        RehearsedEstate model,
        IReadOnlyList<Capture> survey,
        Func<Capture, PoseTruth> poseOf,
        SplittableRandom draw
    )
    {
        RigLens reference = model.Rig.Lenses[ReferenceBand];
        Matrix3D fromRig = reference.CameraToRig.Transposed();
        BandGeometry[] bands =
        [
            .. model
                .Rig.Lenses.OrderBy(lens => lens == reference ? 0 : 1)
                .Select(lens => new BandGeometry(
                    lens.Band.Name,
                    LensOf(lens.Lens),
                    new CameraMount(
                        lens.CameraToRig.Transposed() * reference.CameraToRig,
                        fromRig * (lens.OffsetMetres - reference.OffsetMetres)
                    )
                )),
        ];
        Vector3D Three(double sigma) =>
            new(sigma * draw.NextGaussian(), sigma * draw.NextGaussian(), sigma * draw.NextGaussian());
        double turn = PoseSigmaDegrees * Math.PI / 180;
        PlacedCapture[] placed =
        [
            .. survey.Select(capture =>
            {
                RigPose pose = poseOf(capture).Pose;
                return new PlacedCapture(
                    capture.Id,
                    new CameraPose(
                        reference.Centre(pose) + Three(PoseSigmaMetres),
                        Matrix3D.FromRotationVector(Three(turn)) * reference.CameraToLocal(pose).Transposed()
                    ),
                    PoseSigmaMetres,
                    turn,
                    true
                );
            }),
        ];
        return new SurveyGeometry(model.Place.Frame, bands, placed);
    }

    private static BrownConradyLens LensOf(TrueLens lens) =>
        new(
            TrueRig.Rows,
            TrueRig.Columns,
            new BrownConradyValues(
                lens.FocalColumns,
                lens.FocalRows,
                new PixelPoint(lens.CentreColumn, lens.CentreRow),
                lens.Radial1,
                lens.Radial2,
                lens.Decentring1,
                lens.Decentring2,
                lens.Radial3
            )
        );

    private static HeightField SurfaceOf(RehearsedEstate model, TruthFolder truth, string flight, SplittableRandom draw)
    {
        ScoredMap heights = ScoredMap.Open(Path.Combine(truth.FlightFolder(flight), TruthMaps.Heights));
        int middle = heights.IndexOf("middle");
        SceneExtent extent = model.Model.Extent;
        int columns = (int)(extent.WidthMetres / SurfaceCellMetres);
        int rows = (int)(extent.LengthMetres / SurfaceCellMetres);
        float[] up = new float[rows * columns];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                double east = extent.WestMetres + (column * SurfaceCellMetres);
                double north = extent.NorthMetres - (row * SurfaceCellMetres);
                GridPoint at = model.Place.ToMap(new Vector3D(east, north, 0));
                double height = heights.At(middle, at.EastingMetres, at.NorthingMetres);
                up[(row * columns) + column] = (float)(
                    model.Place.ToLocal(at, height).Z + (SurfaceSigmaMetres * draw.NextGaussian())
                );
            }
        }

        return new HeightField(extent.WestMetres, extent.NorthMetres, SurfaceCellMetres, rows, columns, up);
    }
}

/// <summary>One band's frame in windows of 8 × 8 pixels.</summary>
internal sealed record WindowTruth(int Columns, int Rows, float[] Factor, float[] CrownShare);

/// <summary>A plant in one band's frame.</summary>
internal sealed record CrownTruth(string Band, int Plant, double Factor, double Pixels, double Column, double Row);
