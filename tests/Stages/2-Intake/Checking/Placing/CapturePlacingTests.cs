using Xunit;

namespace Hillrow.Intake.Tests;

/// <summary>Captures placed by each other's thumbnails.</summary>
public sealed class CapturePlacingTests(ITestOutputHelper output)
{
    [Fact]
    public void Place_DriftingInstrumentsAndTerrainOff_FootprintsComeRight()
    {
        PlacedFlight flight = new PlacedFlight { Seed = 3, Lines = 3 }.Fly();
        PlacedFrames placed = Place(flight, threads: 2);
        double before = flight.OutlineErrorMetres(flight.Recorded, flight.Known);
        double after = flight.OutlineErrorMetres(placed.Frames, placed.Ground);
        Assert.True(placed.Told.ByPictures, $"{placed.Told}");
        Assert.True(before > 0.8, $"recorded {before}");
        Assert.True(after < 0.6 * before, $"recorded {before} m, placed {after} m, {placed.Told}");
    }

    [Fact]
    public void Place_LostLine_HolesHaveTheTrueFormSoonerThanByTheReceiver()
    {
        const int Flights = 5;
        double recorded = 0;
        double mended = 0;
        for (ulong seed = 4; seed < 4 + Flights; seed++)
        {
            PlacedFlight flight = new PlacedFlight { Seed = seed, LostLine = seed % 2 == 0 ? 1 : 2 }.Fly();
            PlacedFrames placed = Place(flight, threads: 2);
            // Where the whole flight lies nobody can tell: that shift is taken off.
            double plain = flight.HoleOverlap(flight.Recorded, flight.Known, flight.MeanError);
            double now = flight.HoleOverlap(placed.Frames, placed.Ground, flight.MeanError);
            recorded += plain / Flights;
            mended += now / Flights;
            output.WriteLine(
                FormattableString.Invariant($"{seed}: receiver {plain:0.00}, pictures {now:0.00}; {placed.Told}")
            );
        }

        Assert.True(mended > recorded + 0.05, $"receiver {recorded:0.000}, pictures {mended:0.000}");
        Assert.True(mended > 0.85, $"receiver {recorded:0.000}, pictures {mended:0.000}");
    }

    [Fact]
    public void Place_GroundWithoutTexture_RecordedPosesStandAndAreTold()
    {
        PlacedFlight flight = new PlacedFlight
        {
            Seed = 2,
            Lines = 2,
            Texture = 0,
            CropMetres = 0,
        }.Fly();
        PlacedFrames placed = Place(flight, threads: 2);
        Assert.False(placed.Told.ByPictures);
        Assert.Same(flight.Known, placed.Ground);
        Assert.Equal(flight.Recorded, placed.Frames);
        Assert.True(placed.Told.EdgeSigmaMetres > 1);
    }

    [Fact]
    public void Place_MoreThreads_SameResult()
    {
        PlacedFlight flight = new PlacedFlight { Seed = 4, Lines = 2 }.Fly();
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
