using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;
using Hillrow.Reconstruction;
using Hillrow.Rehearsal;
using Hillrow.Sight;

namespace Hillrow.Validation.Reconstruction;

/// <summary>A rehearsed flight as the reconstruction takes it, and its truth to judge by.</summary>
internal sealed class RehearsedSurvey
{
    private const double TerrainMarginMetres = 600;

    private readonly RehearsedEstate model;
    private readonly Dictionary<string, PoseTruth> truthOf;

    private RehearsedSurvey(
        string flight,
        string card,
        RehearsedEstate model,
        ReconstructionInput input,
        Dictionary<string, PoseTruth> truthOf,
        ScoredMap heights,
        FlightTruth truth,
        IReadOnlyList<PlantTruth> plants
    )
    {
        Flight = flight;
        CardFolder = card;
        this.model = model;
        this.truthOf = truthOf;
        Input = input;
        Heights = heights;
        Truth = truth;
        Plants = plants;
    }

    public string Flight { get; }

    public string CardFolder { get; }

    public ReconstructionInput Input { get; }

    /// <summary>True surface, middle and ground heights.</summary>
    public ScoredMap Heights { get; }

    public FlightTruth Truth { get; }

    public IReadOnlyList<PlantTruth> Plants { get; }

    /// <summary>Duration of the flight from first to last capture.</summary>
    public double FlightSeconds => (Input.Captures[^1].TimeUtc!.Value - Input.Captures[0].TimeUtc!.Value).TotalSeconds;

    /// <summary>Reads a flown rehearsal through the same doors as the run does.</summary>
    /// <param name="estateFolder">Of the rehearsed estate.</param>
    /// <param name="flight">Id of the flight.</param>
    public static RehearsedSurvey Open(string estateFolder, string flight)
    {
        TruthFolder truth = TruthFolder.Open(TruthFolder.Beside(estateFolder));
        RehearsedEstate estate = RehearsedEstate.Build(truth.Settings());
        string card = Path.Combine(estateFolder + "-cards", flight);
        FlightTruth told = truth.Read<FlightTruth>(flight + "/flight.json");
        CameraProfile profile = CameraProfile.Load(Path.Combine(estateFolder, "cameras", told.Dialect + ".toml"));
        IntakeResult intake = IntakeStage.Run(IntakeInput.OfFolder(card, profile), IntakeSettings.Default);
        IReadOnlyList<Capture> captures = intake.OfRole(CaptureRole.Survey);
        GeographicArea area = GeographicArea
            .Around(captures.Select(entry => new GeographicPoint(entry.Position!.Latitude, entry.Position.Longitude)))
            .Widened(TerrainMarginMetres);
        ReconstructionInput input = new(
            captures,
            profile,
            TerrainTiles.OpenFolder(Path.Combine(estateFolder, "terrain"), area),
            FrameReaders.FromFolder(card),
            estate.Place.Zone.ToReferenceSystem()
        );
        CardDialect dialect = CardDialect.Named(told.Dialect);
        Dictionary<string, PoseTruth> poses = [];
        foreach (
            string file in Directory.EnumerateFiles(Path.Combine(truth.FlightFolder(flight), "captures"), "*.json")
        )
        {
            PoseTruth pose = truth.Read<PoseTruth>(Path.GetRelativePath(truth.Root, file));
            foreach (string name in dialect.FilesOf(pose.Number))
            {
                poses[name] = pose;
            }
        }

        return new RehearsedSurvey(
            flight,
            card,
            estate,
            input,
            poses,
            ScoredMap.Open(Path.Combine(truth.FlightFolder(flight), TruthMaps.Heights)),
            told,
            truth.ReadLines<PlantTruth>(flight + "/plants.jsonl")
        );
    }

    /// <summary>The same with the surveyor's targets, as many as asked for, farthest from each other first.</summary>
    public ReconstructionInput WithControl(int points)
    {
        GroundControl all = GroundControlFiles.Read(Path.Combine(CardFolder, "ground-control"), Input.Grid)!;
        LocalFrame frame = new(all.Points[0].Place);
        List<ControlPoint> chosen = [];
        List<ControlPoint> left =
        [
            .. all.Points.Where(point => all.Marks.Count(mark => mark.PointId == point.Id) >= 2),
        ];
        while (chosen.Count < points && left.Count > 0)
        {
            ControlPoint farthest = left.MaxBy(point =>
                chosen.Count == 0
                    ? 0
                    : chosen.Min(other => (frame.ToLocal(point.Place) - frame.ToLocal(other.Place)).Length)
            )!;
            chosen.Add(farthest);
            left.Remove(farthest);
        }

        return Input with
        {
            Control = all with
            {
                Points = chosen,
                Marks = [.. all.Marks.Where(mark => chosen.Exists(point => point.Id == mark.PointId))],
            },
        };
    }

    /// <summary>The same with all of the surveyor's targets, where nobody has marked them.</summary>
    public ReconstructionInput WithUnmarkedControl() =>
        Input with
        {
            Control = GroundControlFiles.Read(Path.Combine(CardFolder, "ground-control"), Input.Grid)! with
            {
                Marks = [],
            },
        };

    /// <summary>The middle of each target in the reference frames that truly show it.</summary>
    /// <param name="marginPixels">Inside the frame's edge.</param>
    public IEnumerable<(string Target, string File, PixelPoint Pixel)> TargetsInFrames(double marginPixels)
    {
        string band = Input.Profile.ReferenceBandName;
        RigLens lens = LensOf(band);
        BandSensor sensor = Input.Profile.ReferenceBand.Sensor;
        int ground = Heights.IndexOf("ground");
        foreach (ControlTarget target in model.Targets)
        {
            GridPoint map = model.Place.ToMap(new Vector3D(target.EastMetres, target.NorthMetres, 0));
            Vector3D at = model.Place.ToLocal(map, Heights.At(ground, map.EastingMetres, map.NorthingMetres));
            foreach (Capture capture in Input.Captures)
            {
                RigPose pose = truthOf[capture.Frames[0].File.Replace('\\', '/')].Pose;
                if (
                    Seen(lens, pose, at) is { } pixel
                    && pixel.Column > marginPixels
                    && pixel.Row > marginPixels
                    && pixel.Column < sensor.Columns - marginPixels
                    && pixel.Row < sensor.Rows - marginPixels
                )
                {
                    yield return (target.Name, capture.FrameOf(band)!.File.Replace('\\', '/'), pixel);
                }
            }
        }
    }

    /// <summary>
    /// Where the geometry puts spots of the true ground, less where they are, local metres: each spot is projected into
    /// the captures by the true camera, and met again by the solved one.
    /// </summary>
    public IReadOnlyList<(Vector3D At, Vector3D Off)> PlaceErrors(SurveyGeometry geometry, double spacingMetres = 2)
    {
        BandGeometry reference = geometry.Bands[0];
        RigLens lens = LensOf(reference.Band);
        List<(SightedFrame Solved, PoseTruth Truth)> frames = [];
        foreach ((PlacedCapture placed, Capture capture) in geometry.Captures.Zip(Input.Captures))
        {
            if (placed.Placed)
            {
                string file = capture.Frames[0].File.Replace('\\', '/');
                frames.Add((new SightedFrame(placed.Pose, reference.Lens), truthOf[file]));
            }
        }

        List<(Vector3D, Vector3D)> found = [];
        GridGeometry grid = Heights.Grid;
        int ground = Heights.IndexOf("ground");
        int step = Math.Max(1, (int)(spacingMetres / grid.CellSizeMetres));
        for (int row = step / 2; row < grid.Rows; row += step)
        {
            for (int column = step / 2; column < grid.Columns; column += step)
            {
                float height = Heights.Band(ground)[(row * grid.Columns) + column];
                Vector3D at = model.Place.ToLocal(grid.CentreOf(row, column), height);
                if (!float.IsNaN(height) && TryMeet(frames, lens, at, geometry.Frame) is { } met)
                {
                    found.Add((at, met - at));
                }
            }
        }

        return found;
    }

    /// <summary>
    /// How far bands lie from the reference band on the ground, pixels: places all over the reference frame at the given distance, through the
    /// true lenses (all that they do) and through the solved ones; one for each place and other band.
    /// </summary>
    public IReadOnlyList<double> BandErrors(SurveyGeometry geometry, double distanceMetres)
    {
        const int Step = 48;
        const int Margin = 12;
        RigLens reference = LensOf(geometry.Bands[0].Band);
        List<double> off = [];
        foreach (BandGeometry band in geometry.Bands.Skip(1))
        {
            RigLens lens = LensOf(band.Band);
            for (int row = Margin; row < band.Lens.Rows - Margin; row += Step)
            {
                for (int column = Margin; column < band.Lens.Columns - Margin; column += Step)
                {
                    Vector3D real =
                        reference.OffsetMetres
                        + (reference.CameraToRig * (reference.Lens.Ray(column, row) * distanceMetres));
                    PixelPoint truth = lens.Lens.Project(lens.CameraToRig.Transposed() * (real - lens.OffsetMetres));
                    Vector3D ray = geometry.Bands[0].Lens.RayOf(new PixelPoint(column, row));
                    if (
                        band.Lens.Contains(truth)
                        && band.Lens.TryProject(band.Mount.ToBand(ray * (distanceMetres / ray.Z)), out PixelPoint found)
                    )
                    {
                        off.Add(double.Hypot(found.Column - truth.Column, found.Row - truth.Row));
                    }
                }
            }
        }

        return off;
    }

    /// <summary>
    /// Where the true camera sees a place; null when it does not. Far outside the frame the true lens's polynomial turns back and would put
    /// the place into it: the pixel's own line of sight must lead to the place.
    /// </summary>
    private static PixelPoint? Seen(RigLens lens, RigPose pose, Vector3D at)
    {
        const double LargestTangentOff = 1e-6;
        Vector3D inCamera = lens.CameraToLocal(pose).Transposed() * (at - lens.Centre(pose));
        PixelPoint pixel = lens.Lens.Project(inCamera);
        if (!(pixel.Column > 0 && pixel.Row > 0 && pixel.Column < TrueRig.Columns && pixel.Row < TrueRig.Rows))
        {
            return null;
        }

        Vector3D ray = lens.Lens.Ray(pixel.Column, pixel.Row);
        double off = double.Hypot((inCamera.X / inCamera.Z) - ray.X, (inCamera.Y / inCamera.Z) - ray.Y);
        return off < LargestTangentOff ? pixel : null;
    }

    private RigLens LensOf(string band) => model.Rig.Lenses.Single(lens => lens.Band.Name == band);

    private Vector3D? TryMeet(
        List<(SightedFrame Solved, PoseTruth Truth)> frames,
        RigLens lens,
        Vector3D at,
        LocalFrame frame
    )
    {
        double[] normal = new double[6];
        Vector3D right = default;
        int views = 0;
        foreach ((SightedFrame solved, PoseTruth truth) in frames)
        {
            if (Seen(lens, truth.Pose, at) is not { } pixel || !solved.Lens.TryRayOf(pixel, out Vector3D ray))
            {
                continue;
            }

            Vector3D d = solved.Pose.ToLocalDirection(ray);
            Vector3D c = solved.Pose.CentreLocalMetres;
            normal[0] += 1 - (d.X * d.X);
            normal[1] -= d.X * d.Y;
            normal[2] -= d.X * d.Z;
            normal[3] += 1 - (d.Y * d.Y);
            normal[4] -= d.Y * d.Z;
            normal[5] += 1 - (d.Z * d.Z);
            right += c - (d * Vector3D.Dot(d, c));
            views++;
        }

        if (views < 4)
        {
            return null;
        }

        Matrix3D matrix = new(
            normal[0],
            normal[1],
            normal[2],
            normal[1],
            normal[3],
            normal[4],
            normal[2],
            normal[4],
            normal[5]
        );
        Vector3D place =
            (
                (Vector3D.Cross(matrix.Row2, matrix.Row3) * right.X)
                + (Vector3D.Cross(matrix.Row3, matrix.Row1) * right.Y)
                + (Vector3D.Cross(matrix.Row1, matrix.Row2) * right.Z)
            ) / matrix.Determinant;
        return model.Place.ToLocal(frame.ToGeodetic(place));
    }
}
