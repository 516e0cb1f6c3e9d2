using System.Diagnostics;
using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Numerics;

namespace Hillrow.Validation.Mapping;

/// <summary>
/// Our resampler against gdalwarp: five float bands, bilinear, a frame turned by 7° onto a north-up grid. Both read the
/// same kind of uncompressed file and write uncompressed floats, one thread each, in turns; best of each. Ours goes the
/// whole way through camera, lens table and height of every cell.
/// </summary>
internal static class ResamplingSpeed
{
    private const int Bands = 5;
    private const int SourceRows = 2400;
    private const int SourceColumns = 3200;
    private const int Side = 2048;
    private const double Cell = 0.06;
    private const double Focal = 1650;
    private const double TurnDegrees = 7;

    // One pixel of the frame is one cell on the ground, as in a survey.
    private const double Distance = Focal * Cell;

    /// <returns>gdalwarp's seconds ÷ ours, and what was seen.</returns>
    public static (double Ratio, string How) Measure(string folder, int rounds)
    {
        string[] sources = [Path.Combine(folder, "band.tif"), Path.Combine(folder, "pixel.tif")];
        MakeSources(folder, sources);
        string warped = Path.Combine(folder, "warped.tif");
        string ours = Path.Combine(folder, "ours.raw");
        double best = double.PositiveInfinity;
        double theirs = double.PositiveInfinity;
        for (int round = 0; round < rounds; round++)
        {
            best = Math.Min(best, Seconds(() => Resample(sources[0], ours)));
            foreach (string source in sources)
            {
                foreach (string interleave in (ReadOnlySpan<string>)["BAND", "PIXEL"])
                {
                    File.Delete(warped);
                    theirs = Math.Min(theirs, Seconds(() => Warp(source, warped, interleave)));
                }
            }
        }

        double difference = MeanDifference(warped, ours);
        return (
            difference < 1e-3 ? theirs / best : double.NaN,
            FormattableString.Invariant(
                $"{Bands} float bands to {Side} × {Side} cells, one thread each, files in and out, best of {rounds} turns: ours {best:F2} s, gdalwarp {theirs:F2} s in its fastest of 4 layouts; mean difference of values {difference:G2}"
            )
        );
    }

    private static void MakeSources(string folder, string[] sources)
    {
        GridGeometry grid = new(
            new ReferenceSystem(32723),
            new GridPoint(500000, 8400000),
            Cell,
            SourceRows,
            SourceColumns
        );
        Raster<float> raster = new(
            new RasterLabel(grid, [.. Enumerable.Range(1, Bands).Select(band => new BandLabel($"b{band}"))])
        );
        for (int band = 0; band < Bands; band++)
        {
            for (int row = 0; row < SourceRows; row++)
            {
                Span<float> line = raster.Row(band, row);
                for (int column = 0; column < SourceColumns; column++)
                {
                    line[column] = (float)(0.3 + (0.1 * band * Math.Sin(row / 9.0) * Math.Cos(column / 7.0)));
                }
            }
        }

        string plain = Path.Combine(folder, "plain.tif");
        Cog.Write(
            plain,
            raster,
            new CogLayout
            {
                Codec = RasterCodec.None,
                Predict = false,
                Durable = false,
            }
        );

        // GDAL's own writer makes the layouts it reads fastest, and gives them the frame's turned place.
        (double a, double b, double c, double d, double e, double f) = TurnedPlace();
        string vrt = Path.Combine(folder, "turned.vrt");
        GdalJudge.Run("gdal_translate", ["-q", "-of", "VRT", plain, vrt]);
        string text = File.ReadAllText(vrt);
        int from = text.IndexOf("<GeoTransform>", StringComparison.Ordinal);
        int end = text.IndexOf("</GeoTransform>", StringComparison.Ordinal);
        File.WriteAllText(
            vrt,
            FormattableString.Invariant(
                $"{text[..from]}<GeoTransform>{a:R}, {b:R}, {c:R}, {d:R}, {e:R}, {f:R}{text[end..]}"
            )
        );
        GdalJudge.Run("gdal_translate", ["-q", "-co", "INTERLEAVE=BAND", "-co", "TILED=YES", vrt, sources[0]]);
        GdalJudge.Run("gdal_translate", ["-q", "-co", "INTERLEAVE=PIXEL", "-co", "TILED=YES", vrt, sources[1]]);
    }

    /// <summary>GDAL's six numbers: x = a + b·column + c·row, y = d + e·column + f·row; the frame's middle is the grid's.</summary>
    private static (double A, double B, double C, double D, double E, double F) TurnedPlace()
    {
        double turn = TurnDegrees * Math.PI / 180;
        double b = Cell * Math.Cos(turn);
        double c = -Cell * Math.Sin(turn);
        double e = -Cell * Math.Sin(turn);
        double f = -Cell * Math.Cos(turn);
        double middleX = 500000 + (Side * Cell / 2);
        double middleY = 8400000 - (Side * Cell / 2);
        double column = SourceColumns / 2.0;
        double row = SourceRows / 2.0;
        return (middleX - (b * column) - (c * row), b, c, middleY - (e * column) - (f * row), e, f);
    }

    private static void Warp(string source, string warped, string interleave)
    {
        string[] extent =
        [
            "500000",
            FormattableString.Invariant($"{8400000 - (Side * Cell):R}"),
            FormattableString.Invariant($"{500000 + (Side * Cell):R}"),
            "8400000",
        ];
        GdalJudge.Run(
            "gdalwarp",
            [
                "-q",
                "-r",
                "bilinear",
                "-wm",
                "512",
                "-wo",
                "NUM_THREADS=1",
                "-te",
                .. extent,
                "-ts",
                $"{Side}",
                $"{Side}",
                "-co",
                "TILED=YES",
                "-co",
                $"INTERLEAVE={interleave}",
                source,
                warped,
            ]
        );
    }

    private static void Resample(string source, string output)
    {
        using RasterFile file = RasterFile.Open(source);
        BrownConradyLens lens = new(
            SourceRows,
            SourceColumns,
            new BrownConradyValues(Focal, Focal, new PixelPoint(SourceColumns / 2.0, SourceRows / 2.0), 0, 0, 0, 0)
        );
        double turn = TurnDegrees * Math.PI / 180;
        Vector3D right = new(Math.Cos(turn), -Math.Sin(turn), 0);
        Vector3D down = new(-Math.Sin(turn), -Math.Cos(turn), 0);
        BandView view = new(
            new Vector3D(0, 0, Distance),
            Matrix3D.FromRows(right, down, new Vector3D(0, 0, -1)),
            SourceRows,
            SourceColumns,
            LensLattice.Of(lens)
        );
        const int size = 8;
        PatchProjection projection = new(size);
        float[] frame = new float[SourceRows * SourceColumns];
        float[] heights = new float[size * size];
        float[] columns = new float[heights.Length];
        float[] rows = new float[heights.Length];
        float[] values = new float[heights.Length];
        float[] strip = new float[size * Side];
        using FileStream into = new(output, FileMode.Create, FileAccess.Write, FileShare.None, 1 << 16);
        for (int band = 0; band < Bands; band++)
        {
            file.Read(0, band, new RasterWindow(0, 0, SourceRows, SourceColumns), frame);
            for (int row = 0; row < Side; row += size)
            {
                for (int column = 0; column < Side; column += size)
                {
                    PatchPlace place = new(
                        new Vector3D((column + 0.5 - (Side / 2.0)) * Cell, ((Side / 2.0) - row - 0.5) * Cell, 0),
                        new Vector3D(Cell, 0, 0),
                        new Vector3D(0, -Cell, 0),
                        new Vector3D(0, 0, 1),
                        0
                    );
                    projection.Project(view, place, heights, columns, rows);
                    FrameSampling.Bilinear(frame, SourceRows, SourceColumns, columns, rows, values);
                    for (int line = 0; line < size; line++)
                    {
                        values.AsSpan(line * size, size).CopyTo(strip.AsSpan((line * Side) + column));
                    }
                }

                into.Write(System.Runtime.InteropServices.MemoryMarshal.AsBytes(strip.AsSpan()));
            }
        }
    }

    private static double MeanDifference(string warped, string ours)
    {
        float[] theirs = new float[Side * Side];
        float[] own = new float[Side * Side];
        using RasterFile file = RasterFile.Open(warped);
        using FileStream stream = File.OpenRead(ours);
        double sum = 0;
        long count = 0;
        for (int band = 0; band < Bands; band++)
        {
            file.Read(0, band, new RasterWindow(0, 0, Side, Side), theirs);
            stream.ReadExactly(System.Runtime.InteropServices.MemoryMarshal.AsBytes(own.AsSpan()));
            for (int at = 0; at < own.Length; at++)
            {
                if (!float.IsNaN(own[at]))
                {
                    sum += Math.Abs(own[at] - theirs[at]);
                    count++;
                }
            }
        }

        return count < own.Length * Bands / 2 ? double.NaN : sum / count;
    }

    private static double Seconds(Action work)
    {
        Stopwatch clock = Stopwatch.StartNew();
        work();
        return clock.Elapsed.TotalSeconds;
    }
}
