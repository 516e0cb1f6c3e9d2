using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Imaging.Tests;

/// <summary>Poses and points by construction: what is projected through a known pose must be found again.</summary>
public sealed class PoseAndPointTests
{
    private const double Metres = 1e-6; // noise-free: only rounding and the inverse lens (1e-9 pixel) are left

    private static readonly BrownConradyLens Lens = new(
        1088,
        1456,
        new BrownConradyValues(1594, 1593, new PixelPoint(731, 541), -0.105, 0.142, 0.0004, -0.0007, -0.031)
    );

    [Theory]
    [InlineData(4, 0.0)]
    [InlineData(12, 0.0)]
    [InlineData(12, 0.02)]
    [InlineData(6, 8.0)]
    [InlineData(30, 8.0)]
    public void Solve_PointsOfAnyRelief_FindsThePoseThatSawThem(int count, double reliefMetres)
    {
        CameraPose pose = CameraPose.FromAttitude(new Vector3D(12, -7, 61), Attitude.FromDegrees(217, 6, -4));
        (Vector3D[] points, PixelPoint[] pixels) = Seen(pose, count, reliefMetres, seed: count);
        ResectionResult? got = Resection.Solve(Lens, points, pixels);
        Assert.NotNull(got);
        Assert.Equal(0, got.RmsPixels, 1e-6);
        Assert.Equal(0, (got.Pose.CentreLocalMetres - pose.CentreLocalMetres).Length, 1e-4);
    }

    [Fact]
    public void Solve_WithAStart_NeedsNoMoreThanFourPoints()
    {
        CameraPose pose = CameraPose.FromAttitude(new Vector3D(0, 0, 50), Attitude.FromDegrees(10, 1, 2));
        (Vector3D[] points, PixelPoint[] pixels) = Seen(pose, 4, 5, seed: 3);
        CameraPose start = CameraPose.FromAttitude(new Vector3D(2, -3, 55), Attitude.FromDegrees(14, 0, 0));
        ResectionResult? got = Resection.Solve(Lens, points, pixels, start);
        Assert.Equal(0, (got!.Pose.CentreLocalMetres - pose.CentreLocalMetres).Length, 1e-4);
    }

    [Fact]
    public void Solve_TooFewPoints_Throws() =>
        Assert.Throws<ArgumentException>(() => Resection.Solve(Lens, new Vector3D[3], new PixelPoint[3]));

    [Fact]
    public void LeastReprojection_ThreePictures_FindsThePoint()
    {
        Vector3D point = new(3.2, -1.7, 0.9);
        CameraPose[] poses =
        [
            CameraPose.FromAttitude(new Vector3D(0, 0, 50), Attitude.FromDegrees(0, 2, 1)),
            CameraPose.FromAttitude(new Vector3D(8, 1, 52), Attitude.FromDegrees(5, -3, 0)),
            CameraPose.FromAttitude(new Vector3D(-6, 9, 49), Attitude.FromDegrees(181, 0, 4)),
        ];
        Sighting[] sightings = [.. poses.Select(pose => new Sighting(Lens, pose, PixelOf(pose, point)))];
        var got = Triangulation.LeastReprojection(sightings);
        Assert.NotNull(got);
        Assert.Equal(0, (got.Value.PointLocalMetres - point).Length, Metres);
        Assert.Equal(0, got.Value.RmsPixels, 1e-7);
    }

    [Fact]
    public void Of_CameraThatSeesTheHorizon_HasNoFootprint()
    {
        CameraPose pose = CameraPose.FromAttitude(new Vector3D(0, 0, 50), Attitude.FromDegrees(0, 85, 0));
        Assert.Null(PlaneFootprint.Of(Lens, pose, new GroundPlane(Angle.Zero, Angle.Zero)));
    }

    private static PixelPoint PixelOf(CameraPose pose, Vector3D point)
    {
        Assert.True(Lens.TryProject(pose.ToCamera(point), out PixelPoint pixel));
        return pixel;
    }

    private static (Vector3D[] Points, PixelPoint[] Pixels) Seen(CameraPose pose, int count, double relief, int seed)
    {
        SplittableRandom random = new((ulong)seed);
        Vector3D[] points = new Vector3D[count];
        PixelPoint[] pixels = new PixelPoint[count];
        for (int index = 0; index < count; index++)
        {
            pixels[index] = new PixelPoint(random.NextDouble(50, 1400), random.NextDouble(50, 1040));
            Vector3D ray = pose.ToLocalDirection(Lens.RayOf(pixels[index]));

            // Ground that slopes 20 % to the east, with its own relief on top.
            double height = relief * random.NextDouble(-0.5, 0.5);
            double distance =
                (height + (0.2 * pose.CentreLocalMetres.X) - pose.CentreLocalMetres.Z) / (ray.Z - (0.2 * ray.X));
            points[index] = pose.CentreLocalMetres + (ray * distance);
        }

        return (points, pixels);
    }
}
