using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Sight.Tests;

public sealed class CoverageMapTests
{
    private static readonly BrownConradyLens Lens = new(
        960,
        1280,
        new BrownConradyValues(1400, 1400, new PixelPoint(640, 480))
    );

    [Fact]
    public void Count_FlatGroundStraightDown_SeesExactlyTheFootprint()
    {
        HeightField flat = Ground(121, 121, 1, (_, _) => 0);
        SightedFrame frame = Down(60, -60, 50);
        LocalGrid grid = new(0, 0, 1, 120, 120);
        CoverageMap map = CoverageMap.Count([frame], flat, grid, threads: 1);
        double halfWidth = 50 * 640 / 1400.0;
        double halfHeight = 50 * 480 / 1400.0;
        for (int row = 0; row < grid.Rows; row++)
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                double across = Math.Abs(grid.EastOf(column) - 60);
                double along = Math.Abs(grid.NorthOf(row) + 60);
                bool edge = Math.Abs(across - halfWidth) < 0.05 || Math.Abs(along - halfHeight) < 0.05;
                if (!edge)
                {
                    bool inside = across < halfWidth && along < halfHeight;
                    Assert.Equal(inside ? 1 : 0, map.Counts[(row * grid.Columns) + column]);
                }
            }
        }
    }

    [Fact]
    public void Count_PlainTwin_AgreesOnRoughSteepGround()
    {
        SplittableRandom random = new(5);
        HeightField ground = Ground(
            101,
            111,
            2,
            (x, y) => (0.35 * x) + (6 * Math.Sin(x / 9)) + (5 * Math.Cos(y / 7)) + random.NextDouble(0, 1.5)
        );
        SightedFrame[] frames = Flight(ground, random, 24);
        LocalGrid grid = new(4, -4, 3, 60, 70);
        CoverageMap map = CoverageMap.Count(frames, ground, grid, threads: 2);
        int seen = 0;
        int hidden = 0;
        for (int row = 0; row < grid.Rows; row++)
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                Vector3D place = new(
                    grid.EastOf(column),
                    grid.NorthOf(row),
                    (float)ground.HeightAt(grid.EastOf(column), grid.NorthOf(row)) + 0.02
                );
                int count = 0;
                foreach (SightedFrame frame in frames)
                {
                    Vector3D inCamera = frame.Pose.ToCamera(place);
                    if (frame.Lens.TryProject(inCamera, out PixelPoint pixel) && frame.Lens.Contains(pixel))
                    {
                        bool clear = ground.Sees(place, frame.Pose.CentreLocalMetres);
                        count += clear ? 1 : 0;
                        hidden += clear ? 0 : 1;
                    }
                }

                seen += count;
                Assert.Equal(count, map.Counts[(row * grid.Columns) + column]);
            }
        }

        Assert.True(seen > 3000, $"only {seen} sights");
        Assert.True(hidden > 20, $"only {hidden} hidden sights: the ground hides too little for this test");
    }

    [Fact]
    public void Count_OneAndTwoThreads_SameArrays()
    {
        SplittableRandom random = new(9);
        HeightField ground = Ground(81, 81, 2, (x, y) => 0.2 * x);
        SightedFrame[] frames = Flight(ground, random, 12);
        LocalGrid grid = new(0, 0, 2, 80, 80);
        CoverageMap one = CoverageMap.Count(frames, ground, grid, threads: 1);
        CoverageMap two = CoverageMap.Count(frames, ground, grid, threads: 2);
        Assert.Equal(one.Counts, two.Counts);
        Assert.Equal(one.SteepestFrame, two.SteepestFrame);
        Assert.Equal(one.FinestPixelMetres, two.FinestPixelMetres);
        Assert.Equal(one.LeastOffNadirDegrees, two.LeastOffNadirDegrees);
    }

    [Fact]
    public void Footprint_OnPlane_CornersLieOnPlaneAndProjectToFrameEdge()
    {
        HeightField ground = Ground(161, 161, 2, (x, y) => 0.3 * x);
        SightedFrame frame = Down(150, -150, 150);
        Footprint footprint = Footprint.Of(frame, ground);
        Assert.True(footprint.Complete);
        foreach (Vector3D corner in footprint.OutlineLocalMetres)
        {
            Assert.Equal(0.3 * corner.X, corner.Z, 3);
            Assert.True(frame.Lens.TryProject(frame.Pose.ToCamera(corner), out PixelPoint pixel));
            double toEdge = Math.Min(
                Math.Min(Math.Abs(pixel.Column), Math.Abs(pixel.Column - Lens.Columns)),
                Math.Min(Math.Abs(pixel.Row), Math.Abs(pixel.Row - Lens.Rows))
            );
            Assert.InRange(toEdge, 0, 0.01);
        }
    }

    private static SightedFrame[] Flight(HeightField ground, SplittableRandom random, int count)
    {
        SightedFrame[] frames = new SightedFrame[count];
        for (int at = 0; at < count; at++)
        {
            double x = random.NextDouble(20, ground.EastMetres - 20);
            double y = random.NextDouble(ground.SouthMetres + 20, -20);
            Attitude attitude = Attitude.FromDegrees(
                random.NextDouble(0, 360),
                random.NextDouble(-25, 25),
                random.NextDouble(-25, 25)
            );
            frames[at] = new SightedFrame(
                CameraPose.FromAttitude(new Vector3D(x, y, ground.HeightAt(x, y) + 40), attitude),
                Lens
            );
        }

        return frames;
    }

    private static SightedFrame Down(double x, double y, double z) =>
        new(CameraPose.FromAttitude(new Vector3D(x, y, z), Attitude.FromDegrees(0, 0, 0)), Lens);

    private static HeightField Ground(int rows, int columns, double cell, Func<double, double, double> height)
    {
        float[] posts = new float[rows * columns];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                posts[(row * columns) + column] = (float)height(column * cell, -row * cell);
            }
        }

        return new HeightField(0, 0, cell, rows, columns, posts);
    }
}
