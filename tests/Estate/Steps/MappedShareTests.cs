using Hillrow.Earth;
using Hillrow.Imaging;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class MappedShareTests : IDisposable
{
    private const ushort Unseen = 65_535;
    private readonly ScratchEstate scratch = new();

    public void Dispose() => scratch.Dispose();

    [Fact]
    public void Of_BlocksInOnAndOffTheMap_IsTheShareSeen()
    {
        // 80 × 60 m in cells of 0.1 m; nothing seen west of 20 m.
        GridGeometry grid = new(ReferenceSystem.Find(32721)!, new GridPoint(500_000, 8_000_060), 0.1, 600, 800);
        Raster<ushort> captures = new(new RasterLabel(grid, [new BandLabel("capture")]) { NoData = Unseen });
        Span<ushort> cells = captures.Band(0);
        for (int at = 0; at < cells.Length; at++)
        {
            cells[at] = at % 800 < 200 ? Unseen : (ushort)7;
        }

        string file = Path.Combine(scratch.Folder, "capture.tif");
        Cog.Write(file, captures);
        MappedShare share = Assert.IsType<MappedShare>(MappedShare.Read(Mapping.MapFiles.In(scratch.Folder)));
        Assert.Equal(1, share.Of([Square(30, 10, 40)]), 2);
        Assert.Equal(0.5, share.Of([Square(0, 10, 40)]), 2);
        Assert.Equal(0.5, share.Of([Square(60, 10, 40)]), 2);
        Assert.Equal(0, share.Of([Square(200, 10, 40)]), 2);
        Assert.Equal(0.75, share.Of([Square(0, 10, 40), Square(40, 10, 40)]), 2);
    }

    private static GridPolygon Square(double west, double south, double edge) =>
        new([
            new GridPoint(500_000 + west, 8_000_000 + south),
            new GridPoint(500_000 + west + edge, 8_000_000 + south),
            new GridPoint(500_000 + west + edge, 8_000_000 + south + edge),
            new GridPoint(500_000 + west, 8_000_000 + south + edge),
        ]);
}
