using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

/// <summary>A camera 50 m over level ground, half angles of 35.8° across and 28.4° down.</summary>
public sealed class WellSeenTests
{
    private const double HeightMetres = 50;
    private static readonly HeightField Level = new(-3000, 3000, 100, 61, 61, new float[61 * 61]);

    private static readonly Lens Small = new BrownConradyLens(
        300,
        400,
        new BrownConradyValues(277, 277, new PixelPoint(200, 150))
    );

    [Fact]
    public void Places_StraightDown_AllAreWellSeen()
    {
        SightedFrame frame = Looking(0);
        WellSeen seen = WellSeen.Of([frame], HeightMetres * frame.PixelAngleRadians);
        Assert.All(seen.Places(frame, Level), place => Assert.NotNull(place));
        Assert.Null(seen.Tell([frame], Level));
    }

    [Theory]
    [InlineData(45)]
    [InlineData(70)]
    public void Places_TowardsTheHorizon_OnlySteepSightsCount(double aslantDegrees)
    {
        SightedFrame frame = Looking(aslantDegrees);
        WellSeen seen = WellSeen.Of([frame], HeightMetres * frame.PixelAngleRadians);
        Vector3D?[] places = seen.Places(frame, Level);
        Assert.Contains(places, place => place is null);
        Assert.Contains(places, place => place is not null);
        Assert.All(
            places.OfType<Vector3D>(),
            place => Assert.InRange(Math.Sqrt((place.X * place.X) + (place.Y * place.Y)), 0, HeightMetres * 1.7321)
        );
        Assert.Contains("60° aslant", seen.Tell([frame], Level), StringComparison.Ordinal);
    }

    [Fact]
    public void Holds_FromFourTimesAsHigh_IsTooCoarse()
    {
        SightedFrame frame = Looking(0);
        WellSeen seen = WellSeen.Of([frame], HeightMetres * frame.PixelAngleRadians);
        Assert.True(seen.Holds(new Vector3D(0, 0, 3.9 * HeightMetres), default));
        Assert.False(seen.Holds(new Vector3D(0, 0, 4.1 * HeightMetres), default));
    }

    [Fact]
    public void SurfaceGrid_NoBlockAndPicturesOfTheHorizon_EndsWhereSightIsTooFlat()
    {
        LocalFrame local = new(GeodeticPosition.FromDegrees(5.6, -75.7, 0));
        SightedFrame[] frames = [Looking(0), Looking(45), Looking(70)];
        WellSeen seen = WellSeen.Of(frames, HeightMetres * frames[0].PixelAngleRadians);
        PlainScene scene = new(1, 1, 5);
        GridGeometry found = SurfaceGrid.Of(scene.Input, local, frames, Level, seen, 0.5);
        Assert.InRange(found.EastMetres - found.WestMetres, 60, 2 * HeightMetres * 1.7321);
        Assert.InRange(found.NorthMetres - found.SouthMetres, 60, 2 * HeightMetres * 1.7321);
    }

    [Fact]
    public void SurfaceGrid_PicturesStraightDown_IsTheirOutline()
    {
        LocalFrame local = new(GeodeticPosition.FromDegrees(5.6, -75.7, 0));
        SightedFrame[] frames = [Looking(0)];
        WellSeen seen = WellSeen.Of(frames, HeightMetres * frames[0].PixelAngleRadians);
        PlainScene scene = new(1, 1, 5);
        GridGeometry found = SurfaceGrid.Of(scene.Input, local, frames, Level, seen, 0.5);
        double across = 400 / 277.0 * HeightMetres;
        Assert.InRange(found.EastMetres - found.WestMetres, across - 1, across + 1.5);
    }

    /// <summary>Towards the north, so far from straight down.</summary>
    private static SightedFrame Looking(double aslantDegrees) =>
        new(
            CameraPose.FromAttitude(new Vector3D(0, 0, HeightMetres), Attitude.FromDegrees(0, aslantDegrees, 0)),
            Small
        );
}
