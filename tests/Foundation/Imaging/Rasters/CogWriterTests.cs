using Hillrow.Earth;
using Xunit;

namespace Hillrow.Imaging.Tests.Rasters;

public sealed class CogWriterTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-cog-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Write_AnyNumberOfThreads_SameBytes(bool pixelInterleaved)
    {
        Raster<float> raster = TestRasters.Waves<float>(rows: 301, columns: 517, bands: 3);
        CogLayout layout = new() { TileSize = 64, PixelInterleaved = pixelInterleaved };
        byte[] one = Written(raster, layout, 1);
        Assert.Equal(one, Written(raster, layout, 2));
        Assert.Equal(one, Written(raster, layout, 7));
    }

    [Fact]
    public void WriteTile_AnyOrder_SameBytes()
    {
        Raster<ushort> raster = TestRasters.Waves<ushort>(rows: 333, columns: 200, bands: 1);
        CogLayout layout = new() { TileSize = 32 };
        byte[] together = Written(raster, layout, 1);
        string path = Path.Combine(folder, "backwards.tif");
        using (CogWriter<ushort> writer = CogWriter.Create<ushort>(path, raster.Label, layout))
        {
            for (int row = writer.TileRows - 1; row >= 0; row--)
            {
                for (int column = writer.TileColumns - 1; column >= 0; column--)
                {
                    writer.WriteTile(0, row, column, TestRasters.Tile(raster, writer, row, column));
                }
            }

            writer.Complete();
        }

        Assert.Equal(together, File.ReadAllBytes(path));
    }

    [Fact]
    public void Complete_TileMissing_ThrowsAndLeavesNothing()
    {
        Raster<byte> raster = TestRasters.Waves<byte>(rows: 40, columns: 40, bands: 1);
        string path = Path.Combine(folder, "incomplete.tif");
        using (CogWriter<byte> writer = CogWriter.Create<byte>(path, raster.Label, new CogLayout { TileSize = 32 }))
        {
            writer.WriteTile(0, 0, TestRasters.Tile(raster, writer, 0, 0));
            InvalidOperationException fault = Assert.Throws<InvalidOperationException>(writer.Complete);
            Assert.Contains("3 of 4 tiles", fault.Message, StringComparison.Ordinal);
        }

        Assert.Empty(Directory.GetFileSystemEntries(folder));
    }

    [Fact]
    public void Dispose_NotCompleted_KeepsTheOlderFile()
    {
        string path = Path.Combine(folder, "older.tif");
        File.WriteAllText(path, "older");
        Raster<byte> raster = TestRasters.Waves<byte>(rows: 20, columns: 20, bands: 1);
        using (CogWriter<byte> writer = CogWriter.Create<byte>(path, raster.Label))
        {
            writer.WriteTile(0, 0, TestRasters.Tile(raster, writer, 0, 0));
            Assert.Equal("older", File.ReadAllText(path));
        }

        Assert.Equal("older", File.ReadAllText(path));
        Assert.Single(Directory.GetFileSystemEntries(folder));
    }

    [Fact]
    public void WriteTile_Twice_Throws()
    {
        Raster<byte> raster = TestRasters.Waves<byte>(rows: 20, columns: 20, bands: 1);
        using CogWriter<byte> writer = CogWriter.Create<byte>(Path.Combine(folder, "twice.tif"), raster.Label);
        byte[] tile = TestRasters.Tile(raster, writer, 0, 0);
        writer.WriteTile(0, 0, tile);
        Assert.Throws<InvalidOperationException>(() => writer.WriteTile(0, 0, tile));
    }

    [Fact]
    public void WriteTile_WrongCount_ThrowsWithBothCounts()
    {
        Raster<byte> raster = TestRasters.Waves<byte>(rows: 20, columns: 30, bands: 1);
        using CogWriter<byte> writer = CogWriter.Create<byte>(Path.Combine(folder, "count.tif"), raster.Label);
        ArgumentException fault = Assert.Throws<ArgumentException>(() => writer.WriteTile(0, 0, new byte[599]));
        Assert.Contains("599", fault.Message, StringComparison.Ordinal);
        Assert.Contains("600", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Create_BrokenLayout_NamesEveryRule()
    {
        InvalidOperationException fault = Assert.Throws<InvalidOperationException>(() =>
            CogWriter.Create<byte>(
                Path.Combine(folder, "rules.tif"),
                TestRasters.Label(1, 1, 1),
                new CogLayout { TileSize = 100, Level = 0 }
            )
        );
        Assert.Contains("TileSize 100", fault.Message, StringComparison.Ordinal);
        Assert.Contains("Level 0", fault.Message, StringComparison.Ordinal);
    }

    private byte[] Written<T>(Raster<T> raster, CogLayout layout, int threads)
        where T : unmanaged, System.Numerics.INumber<T>
    {
        string path = Path.Combine(folder, Guid.NewGuid().ToString("N"));
        Cog.Write(path, raster, layout, threads);
        return File.ReadAllBytes(path);
    }
}
