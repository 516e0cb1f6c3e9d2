using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Reconstruction;
using Hillrow.Sight;

namespace Hillrow.Checks;

/// <summary>How a flight is simulated.</summary>
public sealed record SimulatedFlightSettings
{
    public ulong Seed { get; init; }

    public int Lines { get; init; } = 6;

    public int PerLine { get; init; } = 16;

    public double HeightAboveGroundMetres { get; init; } = 65;

    public double AlongMetres { get; init; } = 9;

    public double AcrossMetres { get; init; } = 19;

    /// <summary>Of a spot's place in a frame; one in twenty is three times worse.</summary>
    public double SpotSigmaPixels { get; init; } = 0.5;

    /// <summary>Chance that a frame shows a spot that lies in it.</summary>
    public double SeenShare { get; init; } = 0.5;

    /// <summary>Features of a frame that are no spot of the ground.</summary>
    public int Clutter { get; init; } = 700;

    /// <summary>Spots to a square metre.</summary>
    public double Density { get; init; } = 1.1;

    /// <summary>True where there is water: no spots, but glitter that looks alike and moves.</summary>
    public Func<double, double, bool> IsWater { get; init; } = (_, _) => false;

    /// <summary>True for captures, by line and number, that were not taken.</summary>
    public Func<int, int, bool> IsLeftOut { get; init; } = (_, _) => false;

    /// <summary>Added to the recorded position of a capture, by index: east, north, up, metres.</summary>
    public IReadOnlyDictionary<int, Vector3D> WrongBy { get; init; } = new Dictionary<int, Vector3D>();

    public int ControlPoints { get; init; }

    public int Checkpoints { get; init; }

    /// <summary>Root mean square of what the true lens does beside its polynomial, pixels.</summary>
    public double LensResiduePixels { get; init; }

    /// <summary>Another date: light and leaves change how spots look, the receiver errs anew.</summary>
    public int Date { get; init; }
}

/// <summary>
/// What a camera would find on a hillside of 25 %, without rendering it: spots with looks, put through the true cameras
/// with noise, beside false ones. Row crops look alike: a third of the spots share forty looks.
/// </summary>
public sealed class SimulatedFlight
{
    private const int Rows = 1088;
    private const int Columns = 1456;
    private const double Slope = 0.25;
    private const double CellMetres = 8;
    private const int SharedLooks = 40;
    private const double PositionSigma = 1.5;
    private const double HeightSigma = 3;
    private const double CorrelationSeconds = 240;

    private readonly SimulatedFlightSettings settings;
    private readonly SplittableRandom random;
    private readonly Dictionary<(int, int), List<Spot>> spots = [];
    private readonly byte[][] looks;
    private readonly Dictionary<string, int> indexOf = [];

    public SimulatedFlight(SimulatedFlightSettings asked)
    {
        settings = asked;
        random = new SplittableRandom(asked.Seed);
        looks = [.. Enumerable.Range(0, SharedLooks).Select(look => Look(random.Split("looks").Split((ulong)look)))];
        Frame = new LocalFrame(GeodeticPosition.FromDegrees(5.6, -75.7, 1500));
        SplittableRandom draw = random.Split($"date {asked.Date}");
        TrueLens = new BrownConradyLens(
            Rows,
            Columns,
            new BrownConradyValues(
                1594 * (1 + (0.004 * draw.NextGaussian())),
                1594 * (1 + (0.0001 * draw.NextGaussian())),
                new PixelPoint((Columns / 2.0) + (5 * draw.NextGaussian()), (Rows / 2.0) + (5 * draw.NextGaussian())),
                -0.1 + (0.006 * draw.NextGaussian()),
                0.12 + (0.01 * draw.NextGaussian()),
                0.0003 * draw.NextGaussian(),
                0.0003 * draw.NextGaussian()
            )
        );
        TrueLens = TrueLens.WithParameters([
            TrueLens.Parameters[0],
            TrueLens.Parameters[0] * (1 + (0.0001 * draw.NextGaussian())),
            .. TrueLens.Parameters.Skip(2),
        ]);
        if (settings.LensResiduePixels > 0)
        {
            TrueLens = new ResidualGridLens(TrueLens, Residue(settings.LensResiduePixels, random.Split("residue")));
        }

        Fly(draw, out List<Capture> captures, out List<CameraPose> poses);
        Captures = captures;
        TruePoses = poses;
        for (int index = 0; index < captures.Count; index++)
        {
            indexOf[captures[index].Id] = index;
        }

        (Control, CheckPlaces) = Survey(draw.Split("control"));
    }

    public LocalFrame Frame { get; }

    public Lens TrueLens { get; }

    public IReadOnlyList<Capture> Captures { get; }

    public IReadOnlyList<CameraPose> TruePoses { get; }

    public GroundControl? Control { get; }

    /// <summary>True places of the checkpoints, local metres, and their noisy marks.</summary>
    public IReadOnlyList<(Vector3D Place, IReadOnlyList<(int Capture, PixelPoint Pixel)> Marks)> CheckPlaces { get; }

    public double GroundSampleMetres => settings.HeightAboveGroundMetres / 1594;

    public static ReferenceSystem Grid => ReferenceSystem.UtmAt(GeographicPoint.FromDegrees(5.6, -75.7));

    public ReconstructionInput Input =>
        new(Captures, Profile, CoarseTerrain(), (_, _, counts) => counts.Clear(), Grid)
        {
            FindFeatures = capture => FeaturesOf(indexOf[capture.Id]),
            Control = Control,
        };

    private static CameraProfile Profile { get; } =
        new()
        {
            Name = "simulated camera",
            ReferenceBandName = "near infrared",
            ShortestTriggerIntervalSeconds = 1,
            AntennaFromLensMetres = new Vector3D(0, 0.02, -0.12),
            Bands =
            [
                new CameraBand
                {
                    Name = "near infrared",
                    CentreNanometres = 840,
                    WidthNanometres = 30,
                    Sensor = new BandSensor(Columns, Rows, 3.45, 12),
                    Lens = new BrownConradyLens(
                        Rows,
                        Columns,
                        new BrownConradyValues(1594, 1594, new PixelPoint(Columns / 2.0, Rows / 2.0), -0.1, 0.12)
                    ),
                    Mount = CameraMount.Reference,
                },
            ],
        };

    /// <summary>Up coordinate of the ground: a hillside with hollows and humps.</summary>
    public static double GroundAt(double east, double north) =>
        (Slope * north)
        + (4 * Math.Sin(east / 47) * Math.Cos(north / 61))
        + (0.8 * Math.Sin((east + (2 * north)) / 13));

    /// <summary>Where a geometry has the checkpoints, less where they are, local metres of the truth.</summary>
    public IReadOnlyList<Vector3D> CheckErrors(SurveyGeometry geometry)
    {
        List<Vector3D> errors = [];
        foreach ((Vector3D place, IReadOnlyList<(int Capture, PixelPoint Pixel)> marks) in CheckPlaces)
        {
            Imaging.Sighting[] sights =
            [
                .. marks
                    .Where(mark => geometry.Captures[mark.Capture].Placed)
                    .Select(mark => new Imaging.Sighting(
                        geometry.Bands[0].Lens,
                        geometry.Captures[mark.Capture].Pose,
                        mark.Pixel
                    )),
            ];
            if (sights.Length >= 2 && Triangulation.LeastReprojection(sights) is { } met)
            {
                errors.Add(Frame.ToLocal(geometry.Frame.ToGeodetic(met.PointLocalMetres)) - place);
            }
        }

        return errors;
    }

    /// <summary>The spot of ground that a capture's middle shows: where it is, and where the geometry has it.</summary>
    public (Vector3D Truth, Vector3D Ours) MiddleOf(SurveyGeometry geometry, int capture)
    {
        PixelPoint middle = new(Columns / 2.0, Rows / 2.0);
        CameraPose truth = TruePoses[capture];
        CameraPose ours = geometry.Captures[capture].Pose;
        Vector3D at = Meet(truth.CentreLocalMetres, truth.ToLocalDirection(TrueLens.RayOf(middle)));
        double far = (at - truth.CentreLocalMetres).Length;
        Vector3D found = ours.CentreLocalMetres + (ours.ToLocalDirection(geometry.Bands[0].Lens.RayOf(middle)) * far);
        return (at, Frame.ToLocal(geometry.Frame.ToGeodetic(found)));
    }

    /// <summary>True spots of a capture that two others of the given ones see too; water has none.</summary>
    public int CommonSpots(int capture, Func<int, bool> others)
    {
        Vector3D at = TruePoses[capture].CentreLocalMetres;
        int[] near =
        [
            .. Enumerable
                .Range(0, Captures.Count)
                .Where(index =>
                    index != capture && others(index) && (TruePoses[index].CentreLocalMetres - at).Length < 60
                ),
        ];
        return SpotsBelow(TruePoses[capture])
            .Count(spot =>
                !settings.IsWater(spot.Place.X, spot.Place.Y)
                && Contains(TruePoses[capture], spot.Place)
                && near.Count(other => Contains(TruePoses[other], spot.Place)) >= 2
            );
    }

    /// <summary>Waves of one to three halves across the frame, each way.</summary>
    private static ResidualGrid Residue(double rmsPixels, SplittableRandom draw)
    {
        const int NodeRows = 25;
        const int NodeColumns = 33;
        double[] Field()
        {
            double[] waves = [.. Enumerable.Range(0, 16).Select(_ => draw.NextGaussian())];
            return
            [
                .. Enumerable
                    .Range(0, NodeRows * NodeColumns)
                    .Select(node =>
                        Enumerable
                            .Range(0, waves.Length)
                            .Where(wave => (wave / 4) + (wave % 4) >= 2)
                            .Sum(wave =>
                                waves[wave]
                                * Math.Cos(Math.PI * (wave % 4) * (node % NodeColumns) / (NodeColumns - 1.0))
                                * Math.Cos(Math.PI * (wave / 4) * (node / NodeColumns) / (NodeRows - 1.0))
                            )
                    ),
            ];
        }

        (double[] columns, double[] rows) = (Field(), Field());
        double scale =
            rmsPixels / Math.Sqrt(columns.Zip(rows, (a, b) => (a * a) + (b * b)).Sum() / (NodeRows * NodeColumns));
        return new ResidualGrid(
            NodeRows,
            NodeColumns,
            [.. columns.Select(value => scale * value)],
            [.. rows.Select(value => scale * value)],
            GridInterpolation.Bicubic
        );
    }

    private bool Contains(CameraPose pose, Vector3D place) =>
        TrueLens.TryProject(pose.ToCamera(place), out PixelPoint pixel) && TrueLens.Contains(pixel);

    private void Fly(SplittableRandom draw, out List<Capture> captures, out List<CameraPose> poses)
    {
        captures = [];
        poses = [];
        Vector3D drift = new(
            PositionSigma * draw.NextGaussian(),
            PositionSigma * draw.NextGaussian(),
            HeightSigma * draw.NextGaussian()
        );
        Matrix3D mount = Matrix3D.FromRotationVector(
            new Vector3D(0.03 * draw.NextGaussian(), 0.03 * draw.NextGaussian(), 0.03 * draw.NextGaussian())
        );
        double seconds = 0;
        for (int line = 0; line < settings.Lines; line++)
        {
            seconds += 12;
            for (int at = 0; at < settings.PerLine; at++)
            {
                seconds += 1.5;
                double keep = Math.Exp(-(at == 0 ? 13.5 : 1.5) / CorrelationSeconds);
                double fresh = Math.Sqrt(1 - (keep * keep));
                drift =
                    (drift * keep)
                    + (
                        fresh
                        * new Vector3D(
                            PositionSigma * draw.NextGaussian(),
                            PositionSigma * draw.NextGaussian(),
                            HeightSigma * draw.NextGaussian()
                        )
                    );
                bool there = line % 2 == 0;
                double east = (at - ((settings.PerLine - 1) / 2.0)) * settings.AlongMetres * (there ? 1 : -1);
                double north = (line - ((settings.Lines - 1) / 2.0)) * settings.AcrossMetres;
                CameraPose pose = CameraPose.FromAttitude(
                    new Vector3D(
                        east + (0.7 * draw.NextGaussian()),
                        north + (0.7 * draw.NextGaussian()),
                        (Slope * north) + settings.HeightAboveGroundMetres + draw.NextGaussian()
                    ),
                    Attitude.FromDegrees(
                        (there ? 90 : 270) + (4 * draw.NextGaussian()),
                        3 * draw.NextGaussian(),
                        3 * draw.NextGaussian()
                    )
                );
                Capture capture = Recorded(captures.Count, seconds, pose, drift, mount, draw);
                if (!settings.IsLeftOut(line, at))
                {
                    captures.Add(capture);
                    poses.Add(pose);
                }
            }
        }
    }

    private Capture Recorded(
        int index,
        double seconds,
        CameraPose pose,
        Vector3D drift,
        Matrix3D mount,
        SplittableRandom draw
    )
    {
        Vector3D told =
            pose.CentreLocalMetres
            + (pose.LocalToCamera.Transposed() * Profile.AntennaFromLensMetres)
            + drift
            + new Vector3D(0.1 * draw.NextGaussian(), 0.1 * draw.NextGaussian(), 0.2 * draw.NextGaussian())
            + settings.WrongBy.GetValueOrDefault(index);
        GeodeticPosition place = Frame.ToGeodetic(told);
        Attitude attitude = Attitude.FromEnuToCamera(
            mount
                * Matrix3D.FromRotationVector(
                    new Vector3D(0.02 * draw.NextGaussian(), 0.02 * draw.NextGaussian(), 0.03 * draw.NextGaussian())
                )
                * pose.LocalToCamera
        );
        string id = $"c{index:0000}";
        return new Capture
        {
            Id = id,
            TimeUtc = new DateTimeOffset(2026, 4, 12, 15, 0, 0, TimeSpan.Zero).AddSeconds(seconds),
            Sortie = "one",
            Position = new CapturePosition(
                place.Latitude,
                place.Longitude,
                place.HeightAboveEllipsoidMetres,
                VerticalReference.Ellipsoid
            ),
            Attitude = attitude,
            Frames = [new BandFrame { Band = "near infrared", File = id }],
        };
    }

    private PictureFeatures FeaturesOf(int capture)
    {
        SplittableRandom draw = random.Split($"date {settings.Date}").Split("frames").Split((ulong)capture);
        CameraPose pose = TruePoses[capture];
        List<(PixelPoint Place, byte[] Look)> found = [];
        int wet = 0;
        foreach (Spot spot in SpotsBelow(pose))
        {
            if (!TrueLens.TryProject(pose.ToCamera(spot.Place), out PixelPoint pixel) || !TrueLens.Contains(pixel))
            {
                continue;
            }

            if (settings.IsWater(spot.Place.X, spot.Place.Y))
            {
                wet++;
                continue;
            }

            if (draw.NextDouble() < settings.SeenShare)
            {
                double sigma = settings.SpotSigmaPixels * (draw.NextDouble() < 0.05 ? 3 : 1);
                PixelPoint seen = new(
                    pixel.Column + (sigma * draw.NextGaussian()),
                    pixel.Row + (sigma * draw.NextGaussian())
                );
                found.Add((seen, Varied(OfDate(spot), 13, draw)));
            }
        }

        for (int index = 0; index < settings.Clutter; index++)
        {
            found.Add((Anywhere(draw), draw.NextInt32(3) == 0 ? Varied(Shared(draw), 16, draw) : Look(draw)));
        }

        // Glints of the same few looks, each for a moment only; they stay near where the sun is mirrored in the frame.
        for (int index = 0; index < wet / 3; index++)
        {
            PixelPoint glint = new(
                (0.6 * Columns) + (0.15 * Columns * draw.NextGaussian()),
                (0.4 * Rows) + (0.15 * Rows * draw.NextGaussian())
            );
            if (TrueLens.Contains(glint))
            {
                found.Add((glint, Varied(Shared(draw), 10, draw)));
            }
        }

        (PixelPoint Place, byte[] Look)[] order = [.. found];
        draw.Shuffle<(PixelPoint, byte[])>(order);
        return new PictureFeatures(
            [.. order.Select((entry, rank) => new PictureFeature(entry.Place, 4, 0, 1f / (rank + 1)))],
            [.. order.SelectMany(entry => entry.Look)]
        );
    }

    private byte[] Shared(SplittableRandom draw) => looks[draw.NextInt32(looks.Length)];

    /// <summary>What a spot looks like on this date: one in three looks quite different on the next.</summary>
    private byte[] OfDate(Spot spot)
    {
        if (settings.Date == 0)
        {
            return spot.Look;
        }

        SplittableRandom own = random.Split("other date").Split(unchecked(spot.Number * 31UL) + (ulong)settings.Date);
        return own.NextInt32(3) == 0 ? Look(own) : Varied(spot.Look, 16, own);
    }

    private static PixelPoint Anywhere(SplittableRandom draw) =>
        new(Columns * draw.NextDouble(), Rows * draw.NextDouble());

    /// <summary>Spots of the cells that a frame may see.</summary>
    private IEnumerable<Spot> SpotsBelow(CameraPose pose)
    {
        Vector3D at = pose.CentreLocalMetres;
        double reach = 0.75 * settings.HeightAboveGroundMetres;
        int west = (int)Math.Floor((at.X - reach) / CellMetres);
        int east = (int)Math.Floor((at.X + reach) / CellMetres);
        int south = (int)Math.Floor((at.Y - reach) / CellMetres);
        int north = (int)Math.Floor((at.Y + reach) / CellMetres);
        List<Spot> all = [];
        for (int row = south; row <= north; row++)
        {
            for (int column = west; column <= east; column++)
            {
                all.AddRange(Cell(column, row));
            }
        }

        return all;
    }

    private List<Spot> Cell(int column, int row)
    {
        lock (spots)
        {
            if (spots.TryGetValue((column, row), out List<Spot>? known))
            {
                return known;
            }
        }

        SplittableRandom draw = random.Split("cells").Split(unchecked(((ulong)(uint)column << 32) | (uint)row));
        int count = (int)(settings.Density * CellMetres * CellMetres);
        List<Spot> made = [];
        for (int index = 0; index < count; index++)
        {
            double x = (column + draw.NextDouble()) * CellMetres;
            double y = (row + draw.NextDouble()) * CellMetres;

            // Half on the ground, half on plants up to two metres.
            double up = draw.NextInt32(2) == 0 ? 0 : 2 * draw.NextDouble();
            byte[] look = draw.NextInt32(3) == 0 ? Varied(Shared(draw), 8, draw) : Look(draw);
            made.Add(new Spot(new Vector3D(x, y, GroundAt(x, y) + up), look, draw.NextUInt64()));
        }

        lock (spots)
        {
            return spots[(column, row)] = spots.GetValueOrDefault((column, row)) ?? made;
        }
    }

    /// <summary>128 numbers such as gradient histograms have: many small, some large; length 512.</summary>
    private static byte[] Look(SplittableRandom draw)
    {
        double[] values = new double[PictureFeatures.DescriptorLength];
        for (int k = 0; k < values.Length; k++)
        {
            values[k] = -Math.Log(1 - draw.NextDouble());
        }

        double length = Math.Sqrt(values.Sum(value => value * value));
        return [.. values.Select(value => (byte)Math.Clamp(512 * value / length, 0, 255))];
    }

    private static byte[] Varied(byte[] look, double sigma, SplittableRandom draw) =>
        [.. look.Select(value => (byte)Math.Clamp(value + (sigma * draw.NextGaussian()), 0, 255))];

    private (GroundControl?, IReadOnlyList<(Vector3D, IReadOnlyList<(int, PixelPoint)>)>) Survey(SplittableRandom draw)
    {
        double east = ((settings.PerLine - 1) / 2.0 * settings.AlongMetres) + 4;
        double north = ((settings.Lines - 1) / 2.0 * settings.AcrossMetres) + 4;
        (double, double)[] corners = [(-1, -1), (1, -1), (1, 1), (-1, 1), (0, 0)];
        List<ControlPoint> points = [];
        List<ControlMark> marks = [];
        for (int index = 0; index < settings.ControlPoints; index++)
        {
            (double u, double v) = corners[index % corners.Length];
            Vector3D place = OnGround(0.85 * u * east, 0.85 * v * north);
            Vector3D told =
                place
                + new Vector3D(0.02 * draw.NextGaussian(), 0.02 * draw.NextGaussian(), 0.03 * draw.NextGaussian());
            string id = $"p{index}";
            points.Add(new ControlPoint(id, Frame.ToGeodetic(told), 0.02, 0.03, false));
            marks.AddRange(
                Marks(place, draw).Select(mark => new ControlMark(id, Captures[mark.Capture].Id, 0, mark.Pixel, 0.5))
            );
        }

        List<(Vector3D, IReadOnlyList<(int, PixelPoint)>)> checks = [];

        // The same places on every date.
        SplittableRandom spread = random.Split("checkpoints");
        for (int index = 0; index < settings.Checkpoints; index++)
        {
            Vector3D place = OnGround(east * ((2 * spread.NextDouble()) - 1), north * ((2 * spread.NextDouble()) - 1));
            checks.Add((place, Marks(place, draw)));
        }

        return (points.Count == 0 ? null : new GroundControl(points, marks), checks);
    }

    private static Vector3D OnGround(double east, double north) => new(east, north, GroundAt(east, north));

    private List<(int Capture, PixelPoint Pixel)> Marks(Vector3D place, SplittableRandom draw)
    {
        List<(int, PixelPoint)> marks = [];
        for (int index = 0; index < Captures.Count; index++)
        {
            if (
                TrueLens.TryProject(TruePoses[index].ToCamera(place), out PixelPoint pixel)
                && pixel.Column is > 10 and < Columns - 10
                && pixel.Row is > 10 and < Rows - 10
            )
            {
                marks.Add(
                    (
                        index,
                        new PixelPoint(
                            pixel.Column + (0.5 * draw.NextGaussian()),
                            pixel.Row + (0.5 * draw.NextGaussian())
                        )
                    )
                );
            }
        }

        return marks;
    }

    private static Vector3D Meet(Vector3D from, Vector3D ray)
    {
        double distance = (from.Z - GroundAt(from.X, from.Y)) / -ray.Z;
        for (int step = 0; step < 20; step++)
        {
            Vector3D at = from + (ray * distance);
            distance += 0.9 * (at.Z - GroundAt(at.X, at.Y)) / -ray.Z;
        }

        return from + (ray * distance);
    }

    /// <summary>Posts every 30 m, some metres too high and off at random, as global terrain is.</summary>
    private Terrain CoarseTerrain()
    {
        const int Posts = 64;
        const double Apart = 30;
        SplittableRandom draw = random.Split("terrain");
        GridPoint middle = Grid.ToGrid(GeographicPoint.FromDegrees(5.6, -75.7));
        float[] heights = new float[Posts * Posts];
        double west = middle.EastingMetres - (Posts / 2 * Apart);
        double north = middle.NorthingMetres + (Posts / 2 * Apart);
        for (int row = 0; row < Posts; row++)
        {
            for (int column = 0; column < Posts; column++)
            {
                Vector3D local = Frame.ToLocal(
                    Grid.ToWgs84(new GridPoint(west + (column * Apart), north - (row * Apart)))
                        .AtHeightAboveEllipsoid(1500)
                );
                heights[(row * Posts) + column] = (float)(
                    1500 + GroundAt(local.X, local.Y) + 3 + (1.5 * draw.NextGaussian())
                );
            }
        }

        return new Terrain([
            new TerrainTile(
                "made for the simulation",
                Grid,
                west,
                north,
                Apart,
                Apart,
                Posts,
                Posts,
                heights,
                VerticalReference.Ellipsoid,
                3
            ),
        ]);
    }

    private sealed record Spot(Vector3D Place, byte[] Look, ulong Number);
}
