using Hillrow.Sight;
using Xunit;

namespace Hillrow.Intake.Tests;

/// <summary>Captures placed by each other's thumbnails.</summary>
public sealed class CapturePlacingTests
{
    [Fact]
    public void Place_DriftingInstrumentsAndTerrainTooLow_FootprintsComeRight()
    {
        PlacedFlight flight = new(texture: 40);
        PlacedFrames placed = Place(flight, threads: 2);
        double before = flight.OutlineErrorMetres(flight.Recorded, flight.Known);
        double after = flight.OutlineErrorMetres(placed.Frames, placed.Ground);
        Assert.True(placed.Told.ByPictures, $"{placed.Told}");
        Assert.True(before > 1.2, $"recorded {before}");
        Assert.True(after < 0.6, $"recorded {before} m, placed {after} m, {placed.Told}");
    }

    [Fact]
    public void Place_GroundWithoutTexture_RecordedPosesStandAndAreTold()
    {
        PlacedFlight flight = new(texture: 0);
        PlacedFrames placed = Place(flight, threads: 2);
        Assert.False(placed.Told.ByPictures);
        Assert.Same(flight.Known, placed.Ground);
        Assert.Equal(flight.Recorded, placed.Frames);
        Assert.True(placed.Told.EdgeSigmaMetres > 1);
    }

    [Fact]
    public void Place_MoreThreads_SameResult()
    {
        PlacedFlight flight = new(texture: 40);
        PlacedFrames one = Place(flight, threads: 1);
        PlacedFrames many = Place(flight, threads: 4);
        Assert.Equal(one.Told, many.Told);
        Assert.Equal(one.Frames.Select(frame => frame.Pose), many.Frames.Select(frame => frame.Pose));
        Assert.Equal(one.Ground.Heights.ToArray(), many.Ground.Heights.ToArray());
    }

    private static PlacedFrames Place(PlacedFlight flight, int threads) =>
        CapturePlacing.Place(
            flight.Recorded,
            flight.Captures,
            flight.Thumbnails,
            flight.Known,
            new InstrumentErrors(),
            threads,
            TestContext.Current.CancellationToken
        );
}
