using BenchmarkDotNet.Attributes;
using Hillrow.Imaging;
using Hillrow.TestSupport;

namespace Hillrow.Bench;

/// <summary>
/// Reading a frame of 960 rows × 1,280 columns of 12-bit counts in 16 bits from a cached file into memory that is
/// used again, against reading the file's plain bytes the same way.
/// </summary>
// In this process: the generated project of the usual way does not find the shared artifacts folder.
[InProcess]
[WarmupCount(2)]
[IterationCount(5)]
[MemoryDiagnoser]
public class FrameReadingBenchmarks
{
    private const int Rows = 960;
    private const int Columns = 1280;

    private readonly ushort[] counts = new ushort[Rows * Columns];
    private byte[] bytes = [];
    private string folder = "";
    private string path = "";

    [Params("plain", "plainBigEndian", "packed12", "lzw", "deflate", "deflateTiles")]
    public string Coding { get; set; } = "";

    [GlobalSetup]
    public void WriteFrame()
    {
        folder = Directory.CreateTempSubdirectory("hillrow-bench-").FullName;
        path = Path.Combine(folder, "frame.tif");
        Random random = new(1);
        int[] noise = [.. Enumerable.Range(0, Rows * Columns).Select(_ => random.Next(60))];
        PixelCoding coding = Coding switch
        {
            "packed12" => new PixelCoding { Bits = 12 },
            "lzw" => new PixelCoding { Compression = 5, RowsPerStrip = 8 },
            "deflate" => new PixelCoding
            {
                Compression = 8,
                Predictor = 2,
                RowsPerStrip = 64,
            },
            "deflateTiles" => new PixelCoding
            {
                Compression = 8,
                Predictor = 2,
                TileEdge = 256,
            },
            _ => new PixelCoding { RowsPerStrip = 8 },
        };
        TiffSpecimen file = new(Coding == "plainBigEndian", false);
        file.AddPage()
            .Pixels(file, Rows, Columns, 1, coding, (row, column, _) => 1500 + row + noise[(row * Columns) + column]);
        File.WriteAllBytes(path, file.ToBytes());
        bytes = new byte[new FileInfo(path).Length];
    }

    [GlobalCleanup]
    public void Remove() => Directory.Delete(folder, recursive: true);

    [Benchmark(Baseline = true)]
    public long PlainBytes()
    {
        using FileStream stream = new(path, FileMode.Open, FileAccess.Read, FileShare.Read, 0);
        stream.ReadExactly(bytes);
        return bytes.Length;
    }

    [Benchmark]
    public ushort Counts()
    {
        using PictureFile file = PictureFile.Open(path);
        file.ReadCounts(0, counts);
        return counts[^1];
    }

    [Benchmark]
    public int Properties() => PropertyBag.Read(path).Properties.Count;
}
