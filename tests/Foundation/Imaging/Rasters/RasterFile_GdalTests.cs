using System.Runtime.InteropServices;
using Hillrow.Checks;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Imaging.Tests.Rasters;

/// <summary>Rasters that GDAL wrote in many layouts, read by us: value for value what GDAL was given.</summary>
public sealed class RasterFile_GdalTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-raster-gdal-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    public static TheoryData<string> Layouts =>
        [
            "",
            "-co COMPRESS=LZW",
            "-co COMPRESS=LZW -co PREDICTOR=2",
            "-co COMPRESS=PACKBITS",
            "-co COMPRESS=DEFLATE -co PREDICTOR=2 -co INTERLEAVE=BAND",
            "-co COMPRESS=DEFLATE -co TILED=YES -co BLOCKXSIZE=64 -co BLOCKYSIZE=32",
            "-co COMPRESS=LZW -co TILED=YES -co INTERLEAVE=BAND -co BIGTIFF=YES",
            "-co ENDIANNESS=BIG",
            "-co ENDIANNESS=BIG -co COMPRESS=DEFLATE -co PREDICTOR=2",
            "-co BLOCKYSIZE=7 -co COMPRESS=DEFLATE",
            "-ot Float32 -co COMPRESS=DEFLATE -co PREDICTOR=3",
            // Not ENDIANNESS=BIG with PREDICTOR=3: what GDAL 3.6 writes so, it does not read back itself.
            "-ot Float32 -co ENDIANNESS=BIG -co COMPRESS=LZW",
            "-ot Float32 -co NBITS=16 -co COMPRESS=DEFLATE",
            "-ot Float64 -co COMPRESS=DEFLATE -co PREDICTOR=3 -co TILED=YES",
            "-ot UInt32 -co COMPRESS=LZW -co PREDICTOR=2",
            "-of COG -co COMPRESS=DEFLATE -co PREDICTOR=YES -co BLOCKSIZE=128",
            "-of COG -co COMPRESS=LZW",
        ];

    [Theory]
    [MemberData(nameof(Layouts))]
    public void Read_GdalLayout_EveryValue(string options)
    {
        Assert.SkipWhen(GdalJudge.Absence is not null, GdalJudge.Absence ?? "");
        Raster<ushort> raster = TestRasters.Waves<ushort>(203, 301, 3);
        using RasterFile file = Translated(raster, options);
        Assert.Equal(raster.Grid, file.TryGrid());
        Assert.Equal(raster.Label.Bands, file.Bands);
        Random random = new(1);
        for (int turn = 0; turn < 12; turn++)
        {
            int row = turn == 0 ? 0 : random.Next(203);
            int column = turn == 0 ? 0 : random.Next(301);
            RasterWindow window = new(
                row,
                column,
                turn == 0 ? 203 : 1 + random.Next(203 - row),
                turn == 0 ? 301 : 1 + random.Next(301 - column)
            );
            float[] read = new float[window.CellCount * 3];
            file.Read(0, window, read.AsSpan());
            for (int line = 0; line < window.Rows * 3; line++)
            {
                float[] wanted =
                [
                    .. raster
                        .Row(line / window.Rows, row + (line % window.Rows))
                        .Slice(column, window.Columns)
                        .ToArray()
                        .Select(value => (float)value),
                ];
                Assert.Equal(wanted, read.AsSpan(line * window.Columns, window.Columns).ToArray());
            }
        }
    }

    [Fact]
    public void Read_ColumnsOfWideStrips_DecodesEachStripOnce()
    {
        Assert.SkipWhen(GdalJudge.Absence is not null, GdalJudge.Absence ?? "");
        Raster<ushort> raster = TestRasters.Waves<ushort>(60, 301, 1);
        using RasterFile file = Translated(raster, "-co COMPRESS=DEFLATE -co BLOCKYSIZE=8");
        for (int column = 0; column < 301; column += 43)
        {
            ushort[] cells = new ushort[60 * 43];
            file.Read(0, 0, new RasterWindow(0, column, 60, 43), cells.AsSpan());
            Assert.Equal(raster.Row(0, 59).Slice(column, 43).ToArray(), cells[^43..]);
        }

        Assert.Equal(8, file.StripsDecoded);
    }

    [Fact]
    public void Open_PixelIsPoint_SamePlaceAsArea()
    {
        Assert.SkipWhen(GdalJudge.Absence is not null, GdalJudge.Absence ?? "");
        Raster<ushort> raster = TestRasters.Waves<ushort>(20, 30, 1);
        using RasterFile file = Translated(raster, "-mo AREA_OR_POINT=Point");
        Assert.True(file.GeoKeys.IsPoint);
        Assert.Equal(raster.Grid, file.TryGrid());
    }

    [Fact]
    public void Open_Geographic_GivesCodeAndPlacementButNoGrid()
    {
        Assert.SkipWhen(GdalJudge.Absence is not null, GdalJudge.Absence ?? "");
        using RasterFile file = Translated(
            TestRasters.Waves<ushort>(20, 30, 1),
            "-a_srs EPSG:4326 -a_ullr -70.5 -33.25 -70.25 -33.5 -a_nodata 7 -stats"
        );
        Assert.True(file.GeoKeys.IsGeographic);
        Assert.Equal(4326, file.GeoKeys.EpsgCode);
        Assert.Null(file.TryGrid());
        Assert.Equal(7, file.NoData);
        Assert.Equal(-70.5, file.Placement!.OriginX, 12);
        Assert.Equal(-33.5, file.Placement.YOf(new PixelPoint(0, 20)), 12);
        Assert.NotNull(file.Statistics[0]);
        Assert.Throws<InputProblemException>(file.RequireLabel);
    }

    [Fact]
    public void Read_GdalOverviews_EveryValueOfEveryLevel()
    {
        Assert.SkipWhen(GdalJudge.Absence is not null, GdalJudge.Absence ?? "");
        using RasterFile file = Translated(
            TestRasters.Waves<ushort>(1100, 700, 2),
            "-of COG -co COMPRESS=DEFLATE -co BLOCKSIZE=256"
        );
        string[] hashes =
        [
            .. GdalJudge
                .Look([file.Name])[file.Name]
                .GetProperty("bands")[1]
                .GetProperty("hashes")
                .EnumerateArray()
                .Select(hash => hash.GetString()!),
        ];
        Assert.True(hashes.Length > 2);
        for (int level = 0; level < hashes.Length; level++)
        {
            RasterLevel of = file.Levels[level];
            ushort[] cells = new ushort[of.Rows * of.Columns];
            file.Read(level, 1, new RasterWindow(0, 0, of.Rows, of.Columns), cells.AsSpan());
            Assert.Equal(hashes[level], GdalJudge.HashOf(MemoryMarshal.AsBytes(cells.AsSpan())));
        }
    }

    private RasterFile Translated(Raster<ushort> raster, string options)
    {
        string ours = Path.Combine(folder, "ours.tif");
        string theirs = Path.Combine(folder, "theirs.tif");
        Cog.Write(ours, raster, new CogLayout { Codec = RasterCodec.None, Durable = false });
        GdalJudge.Run(
            "gdal_translate",
            ["-q", .. options.Split(' ', StringSplitOptions.RemoveEmptyEntries), ours, theirs]
        );
        return RasterFile.Open(theirs);
    }
}
