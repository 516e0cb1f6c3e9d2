using Hillrow.Numerics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Imaging.Tests;

public sealed class TiffFileTests
{
    public static TheoryData<bool, bool> Dialects =>
        new()
        {
            { false, false },
            { true, false },
            { false, true },
            { true, true },
        };

    [Theory]
    [MemberData(nameof(Dialects))]
    public void Open_EveryFieldType_KeepsValues(bool bigEndian, bool bigTiff)
    {
        TiffSpecimen specimen = new(bigEndian, bigTiff);
        specimen
            .AddPage()
            .Short(256, 7)
            .Short(258, 1, 2, 3, 65535)
            .Long(257, 4_000_000_000)
            .Long8(50000, 1L << 40)
            .SignedLong(50001, -5, 7)
            .Whole(50002, 6, 1, [-1, -128, 127])
            .Whole(50003, 8, 2, [-32768])
            .Rational(282, (72, 1), (4_294_967_295, 3))
            .SignedRational(50004, (-1, 3), (5, 0))
            .Float(50005, 1.5f, -2.25f)
            .Double(50006, Math.PI)
            .Text(270, "Gully block, row 4 – naïve")
            .Bytes(50007, 7, 1, 2, 3)
            .Directory(34665, new SpecimenDirectory().Rational(33434, (1, 250)))
            .Directory(34853, new SpecimenDirectory().Text(1, "S").Rational(2, (11, 1), (30, 1), (4512, 100)));
        specimen.AddPage().Short(256, 8);

        using TiffFile file = TiffFile.Open(specimen.ToBytes(), "specimen");

        Assert.Equal(2, file.Directories.Count);
        Assert.Equal(bigTiff, file.IsBigTiff);
        Assert.Equal(bigEndian, file.IsBigEndian);
        TiffDirectory page = file.Directories[0];
        Assert.Equal(7, page.Integer(256));
        Assert.Equal([1, 2, 3, 65535], page.Integers(258));
        Assert.Equal(4_000_000_000, page.Integer(257));
        Assert.Equal(1L << 40, page.Integer(50000));
        Assert.Equal([-5, 7], page.Integers(50001));
        Assert.Equal([-1, -128, 127], page.Integers(50002));
        Assert.Equal(-32768, page.Integer(50003));
        Assert.Equal([new Rational(72, 1), new Rational(4_294_967_295, 3)], page.Find(282)!.ReadRationals());
        Assert.Equal([new Rational(-1, 3), new Rational(5, 0)], page.Find(50004)!.ReadRationals());
        Assert.Equal([1.5, -2.25], page.Doubles(50005));
        Assert.Equal([Math.PI], page.Doubles(50006));
        Assert.Equal("Gully block, row 4 – naïve", page.Text(270));
        Assert.Equal([1, 2, 3], page.Find(50007)!.ReadBytes());
        Assert.Equal([new Rational(1, 250)], page.Exif()!.Find(33434)!.ReadRationals());
        Assert.Equal("S", page.Gps()!.Text(1));
        Assert.Equal([11, 30, 45.12], page.Gps()!.Doubles(2));
        Assert.Equal(8, file.Directories[1].Integer(256));
    }

    [Fact]
    public void Open_Empty_SaysSo() => AssertProblem([], "the file is empty");

    [Fact]
    public void Open_WrongMagic_SaysSo() => AssertProblem("\u0089PNG\r\n"u8.ToArray(), "no TIFF file");

    [Fact]
    public void Open_HeaderCutShort_SaysSo() => AssertProblem("II*\0\u0008"u8.ToArray(), "cut short");

    [Fact]
    public void Open_CutAtEveryLength_NeverThrowsAnythingElse()
    {
        TiffSpecimen specimen = new(true, false);
        specimen.AddPage().Short(256, 7).Text(270, "Terrace wall");
        byte[] whole = specimen.ToBytes();
        for (int length = 0; length < whole.Length - 4; length++)
        {
            InputProblemException fault = Assert.Throws<InputProblemException>(() =>
                TiffFile.Open(whole.AsMemory(0, length), "cut.tif")
            );
            Assert.StartsWith("cut.tif: ", fault.Message, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Open_DirectoriesInCircle_SaysSo()
    {
        // Header, then one directory of one entry that names itself as its follower.
        byte[] loop = [.. "II*\0"u8, 8, 0, 0, 0, 1, 0, 0, 1, 3, 0, 1, 0, 0, 0, 5, 0, 0, 0, 8, 0, 0, 0];
        AssertProblem(loop, "circle");
    }

    [Fact]
    public void ReadBytes_AbsurdCount_SaysSoWithoutTakingMemory()
    {
        byte[] absurd = [.. "II*\0"u8, 8, 0, 0, 0, 1, 0, 0, 1, 3, 0, 255, 255, 255, 255, 5, 0, 0, 0, 0, 0, 0, 0];
        using TiffFile file = TiffFile.Open(absurd, "absurd.tif");
        long before = GC.GetAllocatedBytesForCurrentThread();
        InputProblemException fault = Assert.Throws<InputProblemException>(() => file.Directories[0].Integers(256));
        Assert.Contains("claims 4294967295 values", fault.Message, StringComparison.Ordinal);
        Assert.True(GC.GetAllocatedBytesForCurrentThread() - before < 1 << 20);
    }

    private static void AssertProblem(byte[] bytes, string part)
    {
        InputProblemException fault = Assert.Throws<InputProblemException>(() => TiffFile.Open(bytes, "bad.tif"));
        Assert.Contains(part, fault.Message, StringComparison.Ordinal);
        Assert.Equal("bad.tif", fault.Where);
        Assert.NotEmpty(fault.Remedy);
    }
}
