using BenchmarkDotNet.Attributes;
using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Bench;

/// <summary>Writing and reading one band of 4096 × 4096 floats, and the kernels inside, one thread.</summary>
[MemoryDiagnoser]
public class RasterBenchmarks
{
    private const int Edge = 4096;

    private readonly string path = Path.Combine(Path.GetTempPath(), $"hillrow-bench-{Environment.ProcessId}.tif");
    private readonly byte[] encoded = new byte[2048];
    private readonly byte[] scratch = new byte[2048];
    private readonly byte[] row = new byte[2048];
    private Raster<float> raster = null!;
    private float[] into = [];

    [GlobalSetup]
    public void SetUp()
    {
        raster = new Raster<float>(
            RasterLabel.OfOneBand(
                new GridGeometry(ReferenceSystem.Utm(19, false), new GridPoint(412_000, 6_241_000), 0.05, Edge, Edge),
                "reflectance"
            )
        );
        Random random = new(1);
        for (int at = 0; at < Edge * Edge; at++)
        {
            raster.Band(0)[at] = 0.3f + (0.2f * MathF.Sin(at % Edge * 0.013f)) + (0.02f * random.NextSingle());
        }

        into = new float[Edge * Edge];
        random.NextBytes(row);
        Write();
    }

    [GlobalCleanup]
    public void CleanUp() => File.Delete(path);

    [Benchmark]
    public void Write() => Cog.Write(path, raster, new CogLayout { Durable = false }, threads: 1);

    [Benchmark]
    public void Read()
    {
        using RasterFile file = RasterFile.Open(path);
        file.Read(0, 0, new RasterWindow(0, 0, Edge, Edge), into.AsSpan());
    }

    [Benchmark]
    public void PredictFloatRow() => FloatingPointPredictor.Encode(row, 4, 1, scratch, encoded);

    [Benchmark]
    public void UnpredictFloatRow() => FloatingPointPredictor.Decode(encoded, 4, 1, row);
}
