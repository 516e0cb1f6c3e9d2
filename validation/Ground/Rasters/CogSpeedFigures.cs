using System.Diagnostics;
using System.Globalization;
using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Validation.Ground;

/// <summary>Speed of writing against GDAL's own writer, and speed of reading, side by side in one run.</summary>
public sealed class CogSpeedFigures : FigureSource
{
    private const int Bands = 5;

    public override string Area => "ground";

    public override int Order => 80;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        int edge = run.Quick ? 2048 : 4096;
        int repeats = run.Quick ? 2 : 4;
        string input = Path.Combine(run.ScratchFolder, "input.tif");
        Raster<float> raster = ReflectanceLike(edge);
        Cog.Write(input, raster, new CogLayout { Codec = RasterCodec.None, Durable = false });
        double megabytes = raster.Grid.CellCount * Bands * sizeof(float) / 1e6;
        if (GdalJudge.Absence is { } absence)
        {
            yield return new Figure("cog.writeSpeedToGdal", double.NaN, absence);
        }
        else
        {
            yield return WriteSpeed(run, input, megabytes, repeats);
        }

        yield return ReadSpeed(run, raster, megabytes, repeats);
    }

    private static Figure WriteSpeed(ValidationRun run, string input, double megabytes, int repeats)
    {
        string ours = Path.Combine(run.ScratchFolder, "ours.tif");
        string theirs = Path.Combine(run.ScratchFolder, "theirs.tif");
        double worst = double.PositiveInfinity;
        List<string> told = [];
        foreach (int level in (int[])[6, 1])
        {
            foreach (int threads in (int[])[1, 2])
            {
                double bestOurs = double.PositiveInfinity;
                double bestTheirs = double.PositiveInfinity;
                for (int repeat = 0; repeat < repeats; repeat++)
                {
                    bestTheirs = Math.Min(bestTheirs, Seconds(() => WriteByGdal(input, theirs, level, threads)));
                    bestOurs = Math.Min(bestOurs, Seconds(() => WriteByUs(input, ours, level, threads)));
                }

                worst = Math.Min(worst, bestTheirs / bestOurs);
                told.Add(
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"level {level}, {threads} thread(s): {megabytes / bestOurs:F0} to {megabytes / bestTheirs:F0} MB/s, size {new FileInfo(ours).Length / (double)new FileInfo(theirs).Length:F3}"
                    )
                );
                run.Say($"  {told[^1]}");
            }
        }

        return new Figure(
            "cog.writeSpeedToGdal",
            worst,
            $"worst of: {string.Join("; ", told)}; ours to GDAL's COG driver, {megabytes:F0} MB of 5 float bands from a memory-cached plain GeoTIFF, Deflate, predictor 3, averaged overviews, neither waits for the disk, best of {repeats} interleaved; machine-dependent"
        );
    }

    private static Figure ReadSpeed(ValidationRun run, Raster<float> raster, double megabytes, int repeats)
    {
        string path = Path.Combine(run.ScratchFolder, "read.tif");
        Cog.Write(path, raster, new CogLayout { Durable = false });
        float[] into = new float[raster.Grid.CellCount];
        double bestWall = double.PositiveInfinity;
        double bestCore = double.PositiveInfinity;
        for (int repeat = 0; repeat < repeats + 2; repeat++)
        {
            using RasterFile file = RasterFile.Open(path);
            TimeSpan before = ProcessorTime();
            double wall = Seconds(() =>
            {
                for (int band = 0; band < Bands; band++)
                {
                    file.Read(0, band, new RasterWindow(0, 0, file.Rows, file.Columns), into.AsSpan());
                }
            });
            bestCore = Math.Min(bestCore, (ProcessorTime() - before).TotalSeconds);
            bestWall = Math.Min(bestWall, wall);
        }

        return new Figure(
            "cog.readMegabytesPerSecondPerCore",
            megabytes / bestCore,
            string.Create(
                CultureInfo.InvariantCulture,
                $"per second of processor time, user and system, all threads of the process ({megabytes / bestWall:F0} MB/s by the clock, which other work on the machine slows); {megabytes:F0} MB of float, Deflate level 6, predictor 3, memory-cached file, one thread reading, best of {repeats + 2}; machine-dependent"
            )
        );
    }

    private static TimeSpan ProcessorTime()
    {
        using Process process = Process.GetCurrentProcess();
        return process.TotalProcessorTime;
    }

    private static void WriteByGdal(string input, string output, int level, int threads) =>
        GdalJudge.Run(
            "gdal_translate",
            [
                "-q",
                "-of",
                "COG",
                "-co",
                "COMPRESS=DEFLATE",
                "-co",
                "PREDICTOR=FLOATING_POINT",
                "-co",
                FormattableString.Invariant($"LEVEL={level}"),
                "-co",
                FormattableString.Invariant($"NUM_THREADS={threads}"),
                "-co",
                "RESAMPLING=AVERAGE",
                "-co",
                "OVERVIEWS=IGNORE_EXISTING",
                input,
                output,
            ]
        );

    private static void WriteByUs(string input, string output, int level, int threads)
    {
        using RasterFile file = RasterFile.Open(input);
        Cog.Copy<float>(file, output, new CogLayout { Level = level, Durable = false }, threads);
    }

    private static double Seconds(Action work)
    {
        long start = Stopwatch.GetTimestamp();
        work();
        return Stopwatch.GetElapsedTime(start).TotalSeconds;
    }

    /// <summary>Smooth ground with crowns and a noisy low end of the mantissa, as reflectance has.</summary>
    private static Raster<float> ReflectanceLike(int edge)
    {
        GridGeometry grid = new(ReferenceSystem.Utm(19, false), new GridPoint(412_000, 6_241_000), 0.05, edge, edge);
        Raster<float> raster = new(
            new RasterLabel(grid, [.. Enumerable.Range(1, Bands).Select(band => new BandLabel($"band {band}"))])
        );
        Random random = new(11);
        for (int band = 0; band < Bands; band++)
        {
            for (int row = 0; row < edge; row++)
            {
                Span<float> line = raster.Row(band, row);
                float rows = 0.05f * MathF.Sin(row * 0.11f);
                for (int column = 0; column < edge; column++)
                {
                    line[column] =
                        0.3f
                        + (0.2f * MathF.Sin((column * 0.013f) + band) * MathF.Cos(row * 0.017f))
                        + rows
                        + (0.02f * random.NextSingle());
                }
            }
        }

        return raster;
    }
}
