using CsCheck;
using Hillrow.Numerics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Imaging.Tests;

public sealed class TiffPictureTests
{
    public static TheoryData<int, int, bool> Kinds =>
        new()
        {
            { 1, 1, false },
            { 4, 1, false },
            { 8, 1, false },
            { 10, 1, false },
            { 10, 1, true },
            { 12, 1, false },
            { 12, 1, true },
            { 14, 1, false },
            { 16, 1, false },
            { 32, 1, false },
            { 8, 2, false },
            { 16, 2, false },
            { 32, 2, false },
            { 16, 3, false },
            { 32, 3, false },
            { 64, 3, false },
        };

    [Theory]
    [MemberData(nameof(Kinds))]
    public void Read_EveryCoding_KeepsSamples(int bits, int format, bool wide)
    {
        Gen.Select(
                Gen.Int[1, 23],
                // A single column of 9-15 bits takes two bytes a row either way: nobody can tell the packing.
                Gen.Int[wide ? 2 : 1, 37],
                Gen.Int[1, 5],
                OneOf(1, 5, 8, 32946, 32773),
                OneOf(0, 1, 7, 100),
                OneOf(0, 16),
                Gen.Select(Gen.Bool, Gen.Bool, Gen.Bool, Gen.Bool)
            )
            .Sample(
                (rows, columns, bands, compression, stripRows, tile, flags) =>
                {
                    (bool bigEndian, bool bigTiff, bool planar, bool predicted) = flags;
                    bool canPredict = predicted && compression is 5 or 8 or 32946 && (bits % 8 == 0 || wide);
                    PixelCoding coding = new()
                    {
                        Bits = bits,
                        Format = format,
                        Wide = wide,
                        Compression = compression,
                        Predictor =
                            !canPredict ? 1
                            : format == 3 ? 3
                            : 2,
                        RowsPerStrip = stripRows,
                        TileEdge = tile,
                        Planar = planar && bands > 1,
                    };
                    double Sample(int row, int column, int band) => TrueSample(bits, format, row, column, band);
                    TiffSpecimen specimen = new(bigEndian, bigTiff);
                    specimen.AddPage().Pixels(specimen, rows, columns, bands, coding, Sample);

                    using PictureFile file = PictureFile.Open(specimen.ToBytes(), "frame.tif");
                    Picture picture = file.Read();

                    Assert.Equal((rows, columns, bands), (picture.Rows, picture.Columns, picture.Bands));
                    Assert.Equal(bits, picture.BitsPerSample);
                    float[] plane = new float[rows * columns];
                    float[] all = new float[rows * columns * bands];
                    file.ReadValues(0, all);
                    for (int band = 0; band < bands; band++)
                    {
                        picture.CopyTo(band, plane);
                        for (int i = 0; i < plane.Length; i++)
                        {
                            float want = (float)Sample(i / columns, i % columns, band);
                            Assert.Equal(want, plane[i]);
                            Assert.Equal(want, all[(band * plane.Length) + i]);
                        }
                    }
                },
                iter: 30,
                seed: "0N0XIzNsQ0O2"
            );
    }

    [Fact]
    public void Read_LongLzwStrip_PassesEveryCodeWidth()
    {
        Random random = new(7);
        int[] noise = [.. Enumerable.Range(0, 200 * 150).Select(i => (i % 7) + random.Next(40))];
        TiffSpecimen specimen = new(false, false);
        PixelCoding coding = new() { Compression = 5 };
        specimen.AddPage().Pixels(specimen, 200, 150, 1, coding, (row, column, _) => noise[(row * 150) + column]);

        using PictureFile file = PictureFile.Open(specimen.ToBytes(), "frame.tif");

        Assert.Equal(noise, file.Read().Counts(0).ToArray().Select(count => (int)count));
    }

    [Fact]
    public void Read_SeveralPages_KeepsEachAndItsOrientation()
    {
        TiffSpecimen specimen = new(true, false);
        for (int page = 0; page < 5; page++)
        {
            int offset = page * 100;
            specimen
                .AddPage()
                .Pixels(specimen, 3, 4, 1, new PixelCoding(), (row, column, _) => offset + (row * 4) + column)
                .Short(274, page + 1);
        }

        using PictureFile file = PictureFile.Open(specimen.ToBytes(), "frames.tif");

        Assert.Equal(5, file.Pages.Count);
        Assert.Equal(4, file.Pages[3].Orientation);
        Assert.Equal(311, file.Read(3).Counts(0)[11]);
        Assert.Contains(
            "5 page(s)",
            Assert.Throws<InputProblemException>(() => file.Read(5)).Message,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void ReadCounts_SameTarget_AllocatesLittle()
    {
        TiffSpecimen specimen = new(false, false);
        PixelCoding coding = new() { RowsPerStrip = 4 };
        specimen.AddPage().Pixels(specimen, 512, 640, 1, coding, (row, column, _) => row + column);
        byte[] bytes = specimen.ToBytes();
        ushort[] target = new ushort[512 * 640];
        using PictureFile file = PictureFile.Open(bytes, "frame.tif");
        file.ReadCounts(0, target);
        long before = GC.GetAllocatedBytesForCurrentThread();

        file.ReadCounts(0, target);

        Assert.True(GC.GetAllocatedBytesForCurrentThread() - before < 10_000);
        Assert.Equal(511 + 639, target[^1]);
    }

    [Fact]
    public void Read_StripCutOff_SaysWhichStrip()
    {
        TiffSpecimen specimen = new(false, false);
        SpecimenDirectory page = specimen.AddPage();
        page.Pixels(specimen, 8, 8, 1, new PixelCoding { RowsPerStrip = 2, Compression = 8 }, (row, _, _) => row);
        page.Blocks[2] = page.Blocks[2][..^9];
        AssertProblem(specimen.ToBytes(), "strip 3 of page 1 holds");
    }

    [Fact]
    public void Open_AbsurdSize_SaysSoWithoutTakingMemory()
    {
        TiffSpecimen specimen = new(false, false);
        SpecimenDirectory page = specimen.AddPage();
        page.Long(256, 60_000).Long(257, 60_000).Short(258, 16).Short(259, 8).Short(277, 1);
        page.Blocks.Add(new byte[100]);
        long before = GC.GetAllocatedBytesForCurrentThread();
        AssertProblem(specimen.ToBytes(), "needs 7200000000 bytes of pixels but is stored in 100 bytes");
        Assert.True(GC.GetAllocatedBytesForCurrentThread() - before < 1 << 20);
    }

    [Fact]
    public void Open_UnknownCompression_NamesIt()
    {
        TiffSpecimen specimen = new(false, false);
        specimen.AddPage().Pixels(specimen, 2, 2, 1, new PixelCoding { Compression = 34712 }, (_, _, _) => 0);
        AssertProblem(specimen.ToBytes(), "compression is number 34712");
    }

    private static Gen<int> OneOf(params int[] values) => Gen.Int[0, values.Length - 1].Select(i => values[i]);

    private static double TrueSample(int bits, int format, int row, int column, int band)
    {
        long mixed = unchecked(((row * 7919L) + (column * 104729L) + (band * 1299709L) + 12345) * 2654435761L) >> 7;
        return format switch
        {
            1 => mixed & ((1L << bits) - 1),
            2 => (mixed & ((1L << bits) - 1)) - (1L << (bits - 1)),
            _ => (float)(Half)(((mixed & 0xFFF) / 64.0) - 20),
        };
    }

    private static void AssertProblem(byte[] bytes, string part)
    {
        InputProblemException fault = Assert.Throws<InputProblemException>(() =>
        {
            using PictureFile file = PictureFile.Open(bytes, "bad.tif");
            file.Read();
        });
        Assert.Contains(part, fault.Message, StringComparison.Ordinal);
        Assert.Equal("bad.tif", fault.Where);
    }
}
