using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction.Tests;

/// <summary>
/// A bumpy hillside of smooth random texture, seen by a small camera of two bands whose true numbers differ from the
/// profile's: rays are marched onto an analytic surface, so poses, lenses and heights are known exactly.
/// </summary>
internal sealed class PlainScene
{
    public const int Rows = 288;

    public const int Columns = 384;

    private const double Slope = 0.25;

    private readonly Dictionary<string, ushort[]> frames = [];

    public PlainScene(int lines, int perLine, ulong seed)
    {
        SplittableRandom draw = new(seed);
        TrueLens = Lens(402, new PixelPoint(194, 142), -0.085, 0.11);
        TrueBandLens = Lens(398, new PixelPoint(190, 147), -0.095, 0.12);
        TrueMount = CameraMount.FromRotationVector(new Vector3D(0.004, -0.003, 0.002), new Vector3D(0.03, 0, 0));
        Frame = new LocalFrame(GeodeticPosition.FromDegrees(5.6, -75.7, 1500));
        Profile = new CameraProfile
        {
            Name = "small camera",
            ReferenceBandName = "near infrared",
            ShortestTriggerIntervalSeconds = 1,
            Bands =
            [
                Band("red", new CameraMount(Matrix3D.Identity, new Vector3D(0.03, 0, 0))),
                Band("near infrared", CameraMount.Reference),
            ],
        };
        List<Capture> captures = [];
        List<CameraPose> poses = [];
        for (int line = 0; line < lines; line++)
        {
            for (int at = 0; at < perLine; at++)
            {
                double east = (at - ((perLine - 1) / 2.0)) * 9 * (line % 2 == 0 ? 1 : -1);
                double north = (line - ((lines - 1) / 2.0)) * 14;
                CameraPose pose = CameraPose.FromAttitude(
                    new Vector3D(east, north, (Slope * north) + 50 + draw.NextGaussian()),
                    Attitude.FromDegrees(
                        (line % 2 == 0 ? 90 : 270) + (3 * draw.NextGaussian()),
                        2 * draw.NextGaussian(),
                        2 * draw.NextGaussian()
                    )
                );
                captures.Add(Recorded(captures.Count, pose, draw));
                poses.Add(pose);
            }
        }

        Captures = captures;
        TruePoses = poses;
        Parallel.For(
            0,
            captures.Count,
            index =>
            {
                ushort[] near = Render(poses[index], TrueLens, 0);
                ushort[] red = Render(TrueMount.PoseOfBand(poses[index]), TrueBandLens, 1);
                lock (frames)
                {
                    frames[$"{captures[index].Id}/near infrared"] = near;
                    frames[$"{captures[index].Id}/red"] = red;
                }
            }
        );
    }

    public Lens TrueLens { get; }

    public Lens TrueBandLens { get; }

    public CameraMount TrueMount { get; }

    public LocalFrame Frame { get; }

    public CameraProfile Profile { get; }

    public IReadOnlyList<Capture> Captures { get; }

    public IReadOnlyList<CameraPose> TruePoses { get; }

    public static ReferenceSystem Grid => ReferenceSystem.UtmAt(GeographicPoint.FromDegrees(5.6, -75.7));

    public ReconstructionInput Input => new(Captures, Profile, CoarseTerrain(), Read, Grid);

    /// <summary>Up coordinate of the surface.</summary>
    public static double HeightAt(double east, double north) =>
        (Slope * north) + (0.9 * Math.Sin(east / 3.1) * Math.Cos(north / 2.7)) + (0.4 * Math.Sin((east + north) / 1.7));

    private static BrownConradyLens Lens(double focal, PixelPoint principal, double k1, double k2) =>
        new(Rows, Columns, new BrownConradyValues(focal, focal, principal, k1, k2));

    private static CameraBand Band(string name, CameraMount mount) =>
        new()
        {
            Name = name,
            CentreNanometres = 700,
            WidthNanometres = 20,
            Sensor = new BandSensor(Columns, Rows, 3.2, 12),
            Lens = Lens(400, new PixelPoint(Columns / 2.0, Rows / 2.0), -0.09, 0.115),
            Mount = mount,
        };

    private void Read(Capture capture, BandFrame frame, Span<ushort> counts) =>
        frames[$"{capture.Id}/{frame.Band}"].CopyTo(counts);

    private Capture Recorded(int index, CameraPose pose, SplittableRandom draw)
    {
        Vector3D told =
            pose.CentreLocalMetres
            + new Vector3D(0.03 * draw.NextGaussian(), 0.03 * draw.NextGaussian(), 0.05 * draw.NextGaussian());
        GeodeticPosition place = Frame.ToGeodetic(told);
        Attitude attitude = Attitude.FromEnuToCamera(pose.LocalToCamera);
        return new Capture
        {
            Id = $"c{index:000}",
            TimeUtc = new DateTimeOffset(2026, 4, 12, 15, 0, 0, TimeSpan.Zero).AddSeconds(2 * index),
            Position = new CapturePosition(
                place.Latitude,
                place.Longitude,
                place.HeightAboveEllipsoidMetres,
                VerticalReference.Ellipsoid,
                0.03,
                0.05
            ),
            Attitude = Attitude.FromDegrees(
                attitude.Yaw.Degrees + (2 * draw.NextGaussian()),
                attitude.Pitch.Degrees + draw.NextGaussian(),
                attitude.Roll.Degrees + draw.NextGaussian()
            ),
            Frames =
            [
                new BandFrame { Band = "red", File = $"c{index:000}_red" },
                new BandFrame { Band = "near infrared", File = $"c{index:000}_nir" },
            ],
        };
    }

    private Terrain CoarseTerrain()
    {
        const int Posts = 24;
        GridPoint middle = Grid.ToGrid(GeographicPoint.FromDegrees(5.6, -75.7));
        float[] heights = new float[Posts * Posts];
        for (int row = 0; row < Posts; row++)
        {
            for (int column = 0; column < Posts; column++)
            {
                Vector3D local = Frame.ToLocal(
                    Grid.ToWgs84(
                            new GridPoint(
                                middle.EastingMetres + ((column - (Posts / 2)) * 30),
                                middle.NorthingMetres + (((Posts / 2) - row) * 30)
                            )
                        )
                        .AtHeightAboveEllipsoid(1500)
                );
                heights[(row * Posts) + column] = (float)(1500 + (Slope * local.Y) + 3);
            }
        }

        return new Terrain([
            new TerrainTile(
                "made for the test",
                Grid,
                middle.EastingMetres - (Posts / 2 * 30),
                middle.NorthingMetres + (Posts / 2 * 30),
                30,
                30,
                Posts,
                Posts,
                heights,
                VerticalReference.Ellipsoid,
                3
            ),
        ]);
    }

    private static ushort[] Render(CameraPose pose, Lens lens, uint band)
    {
        ushort[] counts = new ushort[Rows * Columns];
        for (int row = 0; row < Rows; row++)
        {
            for (int column = 0; column < Columns; column++)
            {
                double sum = 0;
                for (int sample = 0; sample < 4; sample++)
                {
                    PixelPoint pixel = new(column + 0.25 + (0.5 * (sample & 1)), row + 0.25 + (0.25 * (sample & 2)));
                    Vector3D ray = pose.ToLocalDirection(lens.RayOf(pixel));
                    sum += Brightness(Meet(pose.CentreLocalMetres, ray), band);
                }

                counts[(row * Columns) + column] = (ushort)(600 + (600 * sum));
            }
        }

        return counts;
    }

    private static Vector3D Meet(Vector3D from, Vector3D ray)
    {
        // The surface is gentle against the view: the secant steps settle in a few rounds.
        double distance = (from.Z - HeightAt(from.X, from.Y)) / -ray.Z;
        for (int step = 0; step < 12; step++)
        {
            Vector3D at = from + (ray * distance);
            distance += 0.9 * (at.Z - HeightAt(at.X, at.Y)) / -ray.Z;
        }

        return from + (ray * distance);
    }

    /// <summary>0 … 1; the other band sees the same shapes in reverse and with patches of its own.</summary>
    private static double Brightness(Vector3D place, uint band)
    {
        double leaf =
            (0.45 * Smooth(place.X / 0.31, place.Y / 0.31, 11))
            + (0.35 * Smooth(place.X / 0.83, place.Y / 0.83, 12))
            + (0.2 * Smooth(place.X / 3.1, place.Y / 3.1, 13));
        return band == 0
            ? leaf
            : Math.Clamp((0.8 * (1 - leaf)) + (0.2 * Smooth(place.X / 1.3, place.Y / 1.3, 14)), 0, 1);
    }

    private static double Smooth(double x, double y, uint seed)
    {
        int column = (int)Math.Floor(x);
        int row = (int)Math.Floor(y);
        double u = x - column;
        double v = y - row;
        u = u * u * (3 - (2 * u));
        v = v * v * (3 - (2 * v));
        double top = Unit(column, row, seed) + ((Unit(column + 1, row, seed) - Unit(column, row, seed)) * u);
        double low =
            Unit(column, row + 1, seed) + ((Unit(column + 1, row + 1, seed) - Unit(column, row + 1, seed)) * u);
        return top + ((low - top) * v);
    }

    private static double Unit(int column, int row, uint seed)
    {
        unchecked
        {
            // A hash wraps by design.
            uint h = ((uint)column * 0x9e3779b1u) ^ ((uint)row * 0x85ebca77u) ^ (seed * 0xc2b2ae3du);
            h = (h ^ (h >> 15)) * 0x2c1b3c6du;
            h = (h ^ (h >> 12)) * 0x297a2d39u;
            return ((h ^ (h >> 15)) >> 8) / 16777216.0;
        }
    }
}
