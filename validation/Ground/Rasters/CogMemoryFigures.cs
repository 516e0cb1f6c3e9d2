using System.Globalization;
using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Validation.Ground;

/// <summary>Peak memory of writing a large raster to that of a small one, each in a process of its own.</summary>
public sealed class CogMemoryFigures : FigureSource
{
    /// <summary>First argument of the process that writes and tells its own peak.</summary>
    public const string ChildVerb = "write-cog-and-tell-peak";

    private const int Bands = 4;

    public override string Area => "ground";

    public override int Order => 90;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        double small = run.Quick ? 0.25 : 1;
        double large = run.Quick ? 1 : 8;
        double smallPeak = PeakMegabytes(run, small);
        double largePeak = PeakMegabytes(run, large);
        yield return new Figure(
            "cog.peakMemory8GBTo1GB",
            largePeak / smallPeak,
            $"VmHWM {largePeak:F0} MB for {large} GB to {smallPeak:F0} MB for {small} GB of 4 float bands, tiles made on the fly in row order on 2 threads, Deflate level 1"
        );
    }

    /// <summary>The child: writes a raster of so many GB and prints its own peak resident kilobytes.</summary>
    public static int Child(string path, string gigabytes)
    {
        double bytes = double.Parse(gigabytes, CultureInfo.InvariantCulture) * (1L << 30);
        int edge = (int)Math.Sqrt(bytes / (Bands * sizeof(float)));
        RasterLabel label = new(
            new GridGeometry(ReferenceSystem.Utm(19, false), new GridPoint(412_000, 6_241_000), 0.05, edge, edge),
            [.. Enumerable.Range(1, Bands).Select(band => new BandLabel($"band {band}"))]
        );
        using CogWriter<float> writer = CogWriter.Create<float>(
            path,
            label,
            new CogLayout { Level = 1, Durable = false }
        );
        int next = -1;
        int tiles = writer.TileRows * writer.TileColumns;
        Parallel.For(
            0,
            2,
            new ParallelOptions { MaxDegreeOfParallelism = 2 },
            _ =>
            {
                float[] cells = new float[Bands * writer.RowsOfTile(0) * writer.ColumnsOfTile(0)];
                for (int tile = Interlocked.Increment(ref next); tile < tiles; tile = Interlocked.Increment(ref next))
                {
                    int row = tile / writer.TileColumns;
                    int column = tile % writer.TileColumns;
                    int count = Bands * writer.RowsOfTile(row) * writer.ColumnsOfTile(column);
                    for (int cell = 0; cell < count; cell++)
                    {
                        cells[cell] = (((cell * 31) ^ (tile * 7)) & 1023) / 1024f;
                    }

                    writer.WriteTile(row, column, cells.AsSpan(0, count));
                }
            }
        );
        writer.Complete();
        string peak = File.ReadLines("/proc/self/status")
            .First(line => line.StartsWith("VmHWM:", StringComparison.Ordinal));
        Console.WriteLine(peak.Split(' ', StringSplitOptions.RemoveEmptyEntries)[^2]);
        return 0;
    }

    private static double PeakMegabytes(ValidationRun run, double gigabytes)
    {
        string path = Path.Combine(run.ScratchFolder, "large.tif");
        string told = OwnProcess.Run(ChildVerb, path, gigabytes.ToString(CultureInfo.InvariantCulture));
        File.Delete(path);
        double megabytes = double.Parse(told.Split('\t', '\n')[^2], CultureInfo.InvariantCulture) / 1024;
        run.Say($"  {gigabytes} GB: peak {megabytes:F0} MB");
        return megabytes;
    }
}
