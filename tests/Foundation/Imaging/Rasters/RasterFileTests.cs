using System.Numerics;
using CsCheck;
using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Imaging.Tests.Rasters;

public sealed class RasterFileTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-raster-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Read_AnyLayoutAndWindow_GivesWhatWasWritten()
    {
        Gen.Select(
                Gen.Int[1, 150],
                Gen.Int[1, 150],
                Gen.Int[1, 4],
                Gen.Int[0, 71],
                Gen.Int[0, 5],
                Gen.Int[0, int.MaxValue]
            )
            .Sample(
                (rows, columns, bands, form, type, seed) =>
                {
                    CogLayout layout = new()
                    {
                        TileSize = 16 * (1 + (form % 3)),
                        Codec = form % 2 == 0 ? RasterCodec.Deflate : RasterCodec.None,
                        Level = 1 + (form % 9),
                        Predict = form % 8 < 6,
                        PixelInterleaved = form % 4 < 2,
                        BigTiff = form % 5 == 0 ? BigTiffUse.Always : BigTiffUse.WhenNeeded,
                        Durable = false,
                    };
                    switch (type)
                    {
                        case 0:
                            RoundTrip<float>(rows, columns, bands, layout, seed);
                            break;
                        case 1:
                            RoundTrip<ushort>(rows, columns, bands, layout, seed);
                            break;
                        case 2:
                            RoundTrip<byte>(rows, columns, bands, layout, seed);
                            break;
                        case 3:
                            RoundTrip<short>(rows, columns, bands, layout, seed);
                            break;
                        case 4:
                            RoundTrip<int>(rows, columns, bands, layout, seed);
                            break;
                        default:
                            RoundTrip<double>(rows, columns, bands, layout, seed);
                            break;
                    }
                },
                seed: "0000KR9mSSB4",
                iter: 150,
                threads: 1
            );
    }

    [Fact]
    public void Open_OurFile_KeepsTheLabel()
    {
        RasterLabel label = new(
            TestRasters.Label(30, 40, 1).Grid,
            [new BandLabel("surface", "m", 0.01, -50), new BandLabel("sigma <1>", "m")]
        )
        {
            NoData = 65535,
            Heights = VerticalReference.Ellipsoid,
            Items = new Dictionary<string, string> { ["SURVEY"] = "2026-11-25 café & río" },
        };
        string path = Path.Combine(folder, "label.tif");
        Cog.Write(path, new Raster<ushort>(label));
        Raster<ushort> read = RasterFile.ReadWhole<ushort>(path);
        Assert.Equal(label.Grid, read.Grid);
        Assert.Equal(label.Bands, read.Label.Bands);
        Assert.Equal(label.NoData, read.Label.NoData);
        Assert.Equal(label.Heights, read.Label.Heights);
        Assert.Equal(label.Items, read.Label.Items);
    }

    [Fact]
    public void ReadTrueValues_ScaledWithNoData_ScalesAndGivesNaN()
    {
        RasterLabel label = new(TestRasters.Label(1, 3, 1).Grid, [new BandLabel("r", "", 0.0001, -0.1)]) { NoData = 0 };
        string path = Path.Combine(folder, "scaled.tif");
        Cog.Write(
            path,
            new Raster<ushort>(
                label,
                [
                    [0, 1000, 11000],
                ]
            )
        );
        using RasterFile file = RasterFile.Open(path);
        float[] values = new float[3];
        file.ReadTrueValues(0, 0, new RasterWindow(0, 0, 1, 3), values);
        Assert.Equal([float.NaN, 0f, 1f], values, (one, other) => one.Equals(other) || Math.Abs(one - other) < 1e-6);
    }

    [Fact]
    public void Read_ManyThreads_EachGetsItsWindow()
    {
        Raster<float> raster = TestRasters.Waves<float>(200, 300, 3);
        string path = Path.Combine(folder, "threads.tif");
        Cog.Write(path, raster, new CogLayout { TileSize = 32, PixelInterleaved = true });
        using RasterFile file = RasterFile.Open(path);
        Parallel.For(
            0,
            200,
            new ParallelOptions { MaxDegreeOfParallelism = 8 },
            seed => CheckWindow(raster, file, new Random(seed))
        );
    }

    [Fact]
    public void Open_CutShortAnywhere_RefusedWithOneLine()
    {
        Raster<float> raster = TestRasters.Waves<float>(70, 50, 2);
        string path = Path.Combine(folder, "whole.tif");
        Cog.Write(path, raster, new CogLayout { TileSize = 32 });
        byte[] whole = File.ReadAllBytes(path);
        for (int length = 0; length < whole.Length; length += 97)
        {
            InputProblemException problem = Assert.Throws<InputProblemException>(() => ReadAll(whole[..length]));
            Assert.Contains("cut.tif", problem.Message, StringComparison.Ordinal);
            Assert.DoesNotContain('\n', problem.Message);
        }

        ReadAll(whole);

        static void ReadAll(byte[] bytes)
        {
            using RasterFile file = RasterFile.Open(bytes, "cut.tif");
            float[] cells = new float[70 * 50 * 2];
            file.Read(0, new RasterWindow(0, 0, 70, 50), cells);
        }
    }

    [Fact]
    public void Read_WindowOutside_Throws()
    {
        string path = Path.Combine(folder, "small.tif");
        Cog.Write(path, TestRasters.Waves<byte>(10, 10, 1));
        using RasterFile file = RasterFile.Open(path);
        Assert.Throws<ArgumentOutOfRangeException>(() => file.Read(0, 0, new RasterWindow(5, 5, 6, 1), new byte[6]));
        Assert.Throws<ArgumentException>(() => file.Read(0, 0, new RasterWindow(0, 0, 2, 2), new byte[3]));
    }

    [Fact]
    public void Read_NarrowerIntegers_Throws()
    {
        string path = Path.Combine(folder, "wide.tif");
        Cog.Write(path, TestRasters.Waves<ushort>(10, 10, 1));
        using RasterFile file = RasterFile.Open(path);
        Assert.Throws<ArgumentException>(() => file.Read(0, 0, new RasterWindow(0, 0, 1, 1), new byte[1]));
        Assert.Throws<ArgumentException>(() => file.Read(0, 0, new RasterWindow(0, 0, 1, 1), new short[1]));
        Assert.Throws<InputProblemException>(() => RasterFile.ReadWhole<byte>(path));
    }

    [Fact]
    public void LevelFor_CellsWanted_GivesTheFinestThatSuffices()
    {
        string path = Path.Combine(folder, "levels.tif");
        Cog.Write(path, TestRasters.Waves<byte>(100, 130, 1), new CogLayout { TileSize = 32 });
        using RasterFile file = RasterFile.Open(path);
        Assert.Equal([130, 65, 33, 17], file.Levels.Select(level => level.Columns));
        Assert.Equal([0, 0, 1, 1, 2, 3, 3], ((double[])[0.5, 1.9, 2, 3.9, 4, 8, 1000]).Select(file.LevelFor));
    }

    private void RoundTrip<T>(int rows, int columns, int bands, CogLayout layout, int seed)
        where T : unmanaged, INumber<T>
    {
        Raster<T> raster = TestRasters.Waves<T>(rows, columns, bands, seed);
        string path = Path.Combine(folder, "round.tif");
        Cog.Write(path, raster, layout, threads: 1);
        using RasterFile file = RasterFile.Open(path);
        Assert.Equal(raster.Grid, file.TryGrid());
        Assert.Equal(layout.BigTiff == BigTiffUse.Always, file.IsBigTiff);
        Random random = new(seed);
        for (int window = 0; window < 3; window++)
        {
            CheckWindow(raster, file, random);
        }
    }

    private static void CheckWindow<T>(Raster<T> raster, RasterFile file, Random random)
        where T : unmanaged, INumber<T>
    {
        int row = random.Next(raster.Rows);
        int column = random.Next(raster.Columns);
        RasterWindow window = new(
            row,
            column,
            1 + random.Next(raster.Rows - row),
            1 + random.Next(raster.Columns - column)
        );
        T[] all = new T[window.CellCount * raster.BandCount];
        file.Read(0, window, all.AsSpan());
        T[] one = new T[window.CellCount];
        float[] asFloats = new float[window.CellCount];
        for (int band = 0; band < raster.BandCount; band++)
        {
            file.Read(0, band, window, one.AsSpan());
            file.Read(0, band, window, asFloats.AsSpan());
            Assert.Equal(one, all.AsSpan(band * one.Length, one.Length).ToArray());
            Assert.Equal(one.Select(float.CreateSaturating), asFloats);
            for (int line = 0; line < window.Rows; line++)
            {
                Assert.True(
                    raster
                        .Row(band, row + line)
                        .Slice(column, window.Columns)
                        .SequenceEqual(one.AsSpan(line * window.Columns, window.Columns)),
                    $"{window}, band {band}, line {line}"
                );
            }
        }
    }
}
