using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Intake.Tests;

/// <summary>Three lines over a textured slope, with thumbnails as the true cameras see it and poses as poor instruments tell them.</summary>
internal sealed class PlacedFlight
{
    private const int Columns = 640;
    private const int Rows = 480;
    private const int Shots = 9;
    private const int Lines = 3;
    private const double Above = 65;
    private const double LineMetres = 30;
    private const double ShotMetres = 11;
    private const double TerrainErrorMetres = 2.5;

    public PlacedFlight(double texture)
    {
        BrownConradyLens lens = new(
            Rows,
            Columns,
            new BrownConradyValues(740, 740, new PixelPoint(Columns / 2.0, Rows / 2.0), 0, 0, 0, 0, 0)
        );
        True = Slope(0);
        Known = Slope(-TerrainErrorMetres);
        SplittableRandom draw = new(41);
        double east = 1.1;
        double north = -0.8;
        double up = 1.9;
        double roll = 0.7;
        double pitch = -0.6;
        double yaw = 2;
        for (int line = 0; line < Lines; line++)
        {
            for (int shot = 0; shot < Shots; shot++)
            {
                double along = (line % 2 == 0 ? shot : Shots - 1 - shot) * ShotMetres;
                Vector3D at = new(along, line * LineMetres, True.HeightAt(along, line * LineMetres) + Above);
                double trueYaw = (line % 2 == 0 ? 90 : 270) + (2 * draw.NextGaussian());
                double truePitch = 1.5 * draw.NextGaussian();
                double trueRoll = 1.5 * draw.NextGaussian();
                // Instruments wander from capture to capture, more from line to line.
                double step = shot == 0 ? 0.5 : 0.08;
                east += step * 0.3 * draw.NextGaussian();
                north += step * 0.3 * draw.NextGaussian();
                up += step * 0.5 * draw.NextGaussian();
                roll += step * draw.NextGaussian();
                pitch += step * draw.NextGaussian();
                yaw += step * draw.NextGaussian();
                SightedFrame seen = new(
                    CameraPose.FromAttitude(at, Attitude.FromDegrees(trueYaw, truePitch, trueRoll)),
                    lens
                );
                Seen.Add(seen);
                Recorded.Add(
                    new SightedFrame(
                        CameraPose.FromAttitude(
                            at + new Vector3D(east, north, up),
                            Attitude.FromDegrees(trueYaw + yaw, truePitch + pitch, trueRoll + roll)
                        ),
                        lens
                    )
                );
                Thumbnails.Add(Look(seen, texture));
                Captures.Add(
                    new Capture
                    {
                        Id = $"{line}/{shot}",
                        TimeUtc = new DateTimeOffset(2026, 4, 12, 15, 0, 0, TimeSpan.Zero).AddSeconds(
                            (line * 40) + (2 * shot)
                        ),
                        Frames = [],
                    }
                );
            }
        }
    }

    public HeightField True { get; }

    /// <summary>The terrain tile: too low.</summary>
    public HeightField Known { get; }

    public List<SightedFrame> Seen { get; } = [];

    public List<SightedFrame> Recorded { get; } = [];

    public List<FrameThumbnail?> Thumbnails { get; } = [];

    public List<Capture> Captures { get; } = [];

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

    private static HeightField Slope(double lift)
    {
        const int Posts = 40;
        float[] heights = new float[Posts * Posts];
        for (int post = 0; post < heights.Length; post++)
        {
            heights[post] = (float)((2 * (post % Posts)) + (3 * Math.Sin(post / Posts * 0.7)) + lift);
        }

        return new HeightField(-150, 230, 10, Posts, Posts, heights);
    }

    private FrameThumbnail Look(SightedFrame frame, double texture)
    {
        const int Box = 4;
        byte[] values = new byte[(Rows / Box) * (Columns / Box)];
        for (int at = 0; at < values.Length; at++)
        {
            PixelPoint pixel = new(((at % (Columns / Box)) + 0.5) * Box, ((at / (Columns / Box)) + 0.5) * Box);
            Vector3D ray = frame.Pose.ToLocalDirection(frame.Lens.RayOf(pixel));
            True.TryHit(frame.Pose.CentreLocalMetres, ray, 0, 1000, out double distance);
            Vector3D ground = frame.Pose.CentreLocalMetres + (ray * distance);
            double value = 128;
            foreach (double scale in (double[])[1.2, 3, 9])
            {
                value += texture * Wave(ground.X / scale, ground.Y / scale, (int)(10 * scale));
            }

            values[at] = (byte)Math.Clamp(value, 0, 255);
        }

        return new FrameThumbnail(Rows / Box, Columns / Box, Box, values);
    }

    /// <summary>Smooth noise, −1 … 1, the same at a place whoever looks.</summary>
    private static double Wave(double x, double y, int layer)
    {
        static double Knot(int column, int row, int layer)
        {
            unchecked
            {
                uint mixed = ((uint)column * 374_761_393) ^ ((uint)row * 668_265_263) ^ ((uint)layer * 2_246_822_519);
                mixed = (mixed ^ (mixed >> 13)) * 1_274_126_177;
                return (((mixed ^ (mixed >> 16)) & 0xFFFF) / 32767.5) - 1;
            }
        }

        int left = (int)Math.Floor(x);
        int below = (int)Math.Floor(y);
        double u = x - left;
        double v = y - below;
        u = u * u * (3 - (2 * u));
        v = v * v * (3 - (2 * v));
        return ((1 - v) * (((1 - u) * Knot(left, below, layer)) + (u * Knot(left + 1, below, layer))))
            + (v * (((1 - u) * Knot(left, below + 1, layer)) + (u * Knot(left + 1, below + 1, layer))));
    }
}
