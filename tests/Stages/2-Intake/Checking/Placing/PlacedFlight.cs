using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Intake.Tests;

/// <summary>
/// Lines over a planted slope, with thumbnails as the true cameras see it and poses as poor instruments tell them; no
/// pixel of the full frames is made, so that many flights can be tried.
/// </summary>
internal sealed record PlacedFlight
{
    private const int Columns = 640;
    private const int Rows = 480;
    private const int Box = 4;
    private const int Shots = 14;
    private const double FocalPixels = 740;
    private const double Above = 65;
    private const double ShotMetres = 9.3;
    private const double TriggerSeconds = 2.2;
    private const double TurnSeconds = 12;

    public required ulong Seed { get; init; }

    /// <summary>Contrast of the ground's pattern, 8-bit counts.</summary>
    public double Texture { get; init; } = 40;

    public int Lines { get; init; } = 4;

    /// <summary>Flown, and lost with the card.</summary>
    public int? LostLine { get; init; }

    public double LineMetres { get; init; } = 33.7;

    /// <summary>Of the crowns' tops; 0: bare.</summary>
    public double CropMetres { get; init; } = 1.8;

    /// <summary>Of the terrain tile, smooth over some 60 m.</summary>
    public double TerrainErrorMetres { get; init; } = 2.5;

    /// <summary>Bare ground.</summary>
    public HeightField True { get; private set; } = null!;

    /// <summary>The terrain tile.</summary>
    public HeightField Known { get; private set; } = null!;

    public List<SightedFrame> Seen { get; } = [];

    public List<SightedFrame> Recorded { get; } = [];

    public List<FrameThumbnail?> Thumbnails { get; } = [];

    public List<Capture> Captures { get; } = [];

    public double LengthMetres => (Shots - 1) * ShotMetres;

    public double WidthMetres => (Lines - 1) * LineMetres;

    public PlacedFlight Fly()
    {
        BrownConradyLens lens = new(
            Rows,
            Columns,
            new BrownConradyValues(FocalPixels, FocalPixels, new PixelPoint(Columns / 2.0, Rows / 2.0), 0, 0, 0, 0, 0)
        );
        SplittableRandom draw = new SplittableRandom(Seed).Split("placed flight");
        True = Posts(10, Ground);
        Known = Posts(10, (east, north) => Ground(east, north) + TerrainError(east, north));
        HeightField crop = CropMetres > 0 ? Posts(0.5, (east, north) => Ground(east, north) + Crop(east, north)) : True;
        // As a single-frequency receiver and a small attitude unit wander.
        Wander[] receiver = [new(0.9, 240, draw), new(0.9, 240, draw), new(1.7, 320, draw)];
        Wander[] attitude = [new(1.4, 90, draw), new(0.55, 45, draw), new(0.55, 45, draw)];
        double time = 0;
        for (int line = 0; line < Lines; line++)
        {
            for (int shot = 0; shot < Shots; shot++)
            {
                double step = shot == 0 ? TurnSeconds : TriggerSeconds;
                time += step;
                double along = (line % 2 == 0 ? shot : Shots - 1 - shot) * ShotMetres;
                double across = line * LineMetres;
                Vector3D at = new(
                    along + (0.4 * draw.NextGaussian()),
                    across + (0.4 * draw.NextGaussian()),
                    Ground(along, across) + Above + (0.3 * draw.NextGaussian())
                );
                Attitude turned = Attitude.FromDegrees(
                    (line % 2 == 0 ? 90 : 270) + (2.2 * draw.NextGaussian()),
                    -1.2 + (1.6 * draw.NextGaussian()),
                    1.9 * draw.NextGaussian()
                );
                Vector3D off = new(
                    receiver[0].After(step, draw),
                    receiver[1].After(step, draw),
                    receiver[2].After(step, draw)
                );
                Attitude said = Attitude.FromDegrees(
                    turned.Yaw.Degrees + attitude[0].After(step, draw) + (0.1 * draw.NextGaussian()),
                    turned.Pitch.Degrees + attitude[1].After(step, draw) + (0.05 * draw.NextGaussian()),
                    turned.Roll.Degrees + attitude[2].After(step, draw) + (0.05 * draw.NextGaussian())
                );
                if (line == LostLine)
                {
                    continue;
                }

                Seen.Add(new SightedFrame(CameraPose.FromAttitude(at, turned), lens));
                Recorded.Add(new SightedFrame(CameraPose.FromAttitude(at + off, said), lens));
                Thumbnails.Add(Look(Seen[^1], crop));
                Captures.Add(
                    new Capture
                    {
                        Id = $"{line}/{shot}",
                        TimeUtc = new DateTimeOffset(2026, 4, 12, 15, 0, 0, TimeSpan.Zero).AddSeconds(time),
                        Frames = [],
                    }
                );
            }
        }

        return this;
    }

    /// <summary>Mean of the receiver's error over the captures that are there.</summary>
    public Vector3D MeanError
    {
        get
        {
            Vector3D sum = Vector3D.Zero;
            for (int at = 0; at < Seen.Count; at++)
            {
                sum += Recorded[at].Pose.CentreLocalMetres - Seen[at].Pose.CentreLocalMetres;
            }

            return sum / Seen.Count;
        }
    }

    /// <summary>How far the footprints' outlines are off, one shift of all of them taken off; root mean square, metres.</summary>
    public double OutlineErrorMetres(IReadOnlyList<SightedFrame> frames, HeightField ground)
    {
        List<Vector3D> off = [];
        for (int at = 0; at < frames.Count; at++)
        {
            IReadOnlyList<Vector3D> told = Footprint.Of(frames[at], ground).OutlineLocalMetres;
            IReadOnlyList<Vector3D> real = Footprint.Of(Seen[at], True).OutlineLocalMetres;
            off.AddRange(told.Zip(real, (one, other) => one - other));
        }

        double east = off.Average(one => one.X);
        double north = off.Average(one => one.Y);
        return Math.Sqrt(off.Average(one => Math.Pow(one.X - east, 2) + Math.Pow(one.Y - north, 2)));
    }

    /// <summary>Shared cells over all cells of what fewer than three captures see, truly and as told.</summary>
    /// <param name="frames">As told.</param>
    /// <param name="ground">As told.</param>
    /// <param name="shift">By which the true ones are moved first.</param>
    public double HoleOverlap(IReadOnlyList<SightedFrame> frames, HeightField ground, Vector3D shift)
    {
        const double Cell = 2;
        const int LeastViews = 3;
        LocalGrid grid = new(
            20,
            WidthMetres - 10,
            Cell,
            (int)((WidthMetres - 20) / Cell),
            (int)((LengthMetres - 40) / Cell)
        );
        ushort[] told = CoverageMap.Count(frames, ground, grid, 2).Counts;
        SightedFrame[] moved =
        [
            .. Seen.Select(frame =>
                frame with
                {
                    Pose = frame.Pose with { CentreLocalMetres = frame.Pose.CentreLocalMetres + shift },
                }
            ),
        ];
        HeightField under = Posts(10, (east, north) => Ground(east - shift.X, north - shift.Y) + shift.Z);
        ushort[] real = CoverageMap.Count(moved, under, grid, 2).Counts;
        int both = 0;
        int all = 0;
        for (int cell = 0; cell < told.Length; cell++)
        {
            both += told[cell] < LeastViews && real[cell] < LeastViews ? 1 : 0;
            all += told[cell] < LeastViews || real[cell] < LeastViews ? 1 : 0;
        }

        return all == 0 ? 1 : both / (double)all;
    }

    private static HeightField Posts(double metres, Func<double, double, double> height)
    {
        const double West = -60;
        const double North = 165;
        const double Edge = 230;
        int posts = (int)(Edge / metres) + 1;
        float[] heights = new float[posts * posts];
        for (int post = 0; post < heights.Length; post++)
        {
            heights[post] = (float)height(West + (post % posts * metres), North - (post / posts * metres));
        }

        return new HeightField(West, North, metres, posts, posts, heights);
    }

    private double Ground(double east, double north) => (0.24 * north) + (4 * Wave(east / 70, north / 70, 1));

    private double TerrainError(double east, double north) =>
        TerrainErrorMetres * ((1.2 * Wave(east / 60, north / 60, 2)) + (0.8 * Wave(0.3, 0.7, 5)));

    /// <summary>Rows 2.4 m apart with crowns of different heights and gaps between.</summary>
    private double Crop(double east, double north)
    {
        double row = Math.Abs((north / 2.4) - Math.Round(north / 2.4)) * 2.4;
        double crown = Math.Max(0, 1 - Math.Pow(row / 0.9, 2));
        return CropMetres * crown * (0.7 + (0.3 * Wave(east / 1.1, Math.Round(north / 2.4) * 3.7, 3)));
    }

    private FrameThumbnail Look(SightedFrame frame, HeightField surface)
    {
        byte[] values = new byte[Rows / Box * (Columns / Box)];
        Parallel.For(
            0,
            Rows / Box,
            row =>
            {
                for (int column = 0; column < Columns / Box; column++)
                {
                    Vector3D ray = frame.Pose.ToLocalDirection(
                        frame.Lens.RayOf(new PixelPoint((column + 0.5) * Box, (row + 0.5) * Box))
                    );
                    if (!surface.TryHit(frame.Pose.CentreLocalMetres, ray, 0, 1000, out double distance))
                    {
                        continue;
                    }

                    Vector3D at = frame.Pose.CentreLocalMetres + (ray * distance);
                    double value = 128 + (Texture > 0 ? 25 * Crop(at.X, at.Y) : 0);
                    foreach (double scale in (double[])[1.2, 3, 9])
                    {
                        value += Texture * Wave(at.X / scale, at.Y / scale, (int)(10 * scale));
                    }

                    values[(row * (Columns / Box)) + column] = (byte)Math.Clamp(value, 0, 255);
                }
            }
        );
        return new FrameThumbnail(Rows / Box, Columns / Box, Box, values);
    }

    /// <summary>Smooth noise, −1 … 1, the same at a place whoever looks.</summary>
    private double Wave(double x, double y, int layer)
    {
        int left = (int)Math.Floor(x);
        int below = (int)Math.Floor(y);
        double u = x - left;
        double v = y - below;
        u = u * u * (3 - (2 * u));
        v = v * v * (3 - (2 * v));
        double low = ((1 - u) * Knot(left, below, layer)) + (u * Knot(left + 1, below, layer));
        double high = ((1 - u) * Knot(left, below + 1, layer)) + (u * Knot(left + 1, below + 1, layer));
        return ((1 - v) * low) + (v * high);
    }

    private double Knot(int column, int row, int layer)
    {
        unchecked
        {
            uint mixed =
                ((uint)column * 374_761_393)
                ^ ((uint)row * 668_265_263)
                ^ ((uint)layer * 2_246_822_519)
                ^ ((uint)Seed * 3_266_489_917);
            mixed = (mixed ^ (mixed >> 13)) * 1_274_126_177;
            return (((mixed ^ (mixed >> 16)) & 0xFFFF) / 32767.5) - 1;
        }
    }

    /// <summary>First-order Gauss–Markov.</summary>
    private sealed class Wander(double sigma, double seconds, SplittableRandom draw)
    {
        private double value = sigma * draw.NextGaussian();

        public double After(double step, SplittableRandom next)
        {
            double keep = Math.Exp(-step / seconds);
            value = (keep * value) + (sigma * Math.Sqrt(1 - (keep * keep)) * next.NextGaussian());
            return value;
        }
    }
}
