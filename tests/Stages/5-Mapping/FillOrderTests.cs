using Hillrow.Earth;
using Hillrow.Sight;
using Xunit;

namespace Hillrow.Mapping;

public sealed class FillOrderTests
{
    /// <summary>8 × 6 tiles of 64 cells, 0.1 m each; 16 × 16 patches in a tile.</summary>
    private static readonly PatchGrid Patches = new(
        new GridGeometry(
            ReferenceSystem.UtmAt(GeographicPoint.FromDegrees(5.6, -75.7)),
            new GridPoint(400000, 600000),
            0.1,
            512,
            384
        ),
        new LocalFrame(GeodeticPosition.FromDegrees(5.6, -75.7, 0)),
        0.4,
        0
    );

    [Fact]
    public void Of_CapturesThatReachOverTheWholeMap_OpensFewTilesAtATime()
    {
        // Every fourth patch is each one's: all tiles would be open at once.
        List<int>[] own =
        [
            .. Enumerable
                .Range(0, 4)
                .Select(view => Enumerable.Range(0, Patches.Count).Where(patch => patch % 4 == view).ToList()),
        ];
        IReadOnlyList<FillTurn> turns = FillOrder.Of(own, Patches, 64, 12);
        Assert.InRange(FillOrder.MostOpen(turns), 6, 12);
        Assert.Equal(Enumerable.Range(0, Patches.Count), turns.SelectMany(turn => turn.Patches).Order());
        Assert.All(turns, turn => Assert.All(turn.Patches, patch => Assert.Contains(patch, own[turn.View])));
        Assert.All(
            turns,
            turn =>
                Assert.Equal(
                    turn.Patches.Select(patch => CaptureFill.TileOf(Patches, 64, patch)).Distinct().Order(),
                    turn.Tiles
                )
        );
    }

    [Fact]
    public void Of_CapturesThatFollowEachOther_ReadsEachOnce()
    {
        int third = Patches.Count / 3;
        List<int>[] own =
        [
            .. Enumerable.Range(0, 3).Select(view => Enumerable.Range((2 - view) * third, third).ToList()),
        ];
        IReadOnlyList<FillTurn> turns = FillOrder.Of(own, Patches, 64, 24);
        Assert.Equal([2, 1, 0], turns.Select(turn => turn.View));
    }
}
