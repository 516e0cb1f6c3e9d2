using System.Diagnostics;
using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Mapping.Checks;
using Hillrow.Numerics;

namespace Hillrow.Validation.Mapping;

/// <summary>NDVI from our raster, written to a file, against gdal_calc on the same raster; in turns, best of each, one thread.</summary>
internal static class IndexSpeed
{
    private const int Side = 4096;

    public static IEnumerable<(string Name, double Ratio, string How)> Measure(string folder, int rounds)
    {
        string map = Path.Combine(folder, "map.tif");
        MakeMap(map);
        using RasterFile file = RasterFile.Open(map);
        IndexFormula ndvi = IndexCatalogue.FormulaOf("NDVI", IndexMap.BandsOf(file));
        foreach (bool compressed in new[] { false, true })
        {
            // gdal_calc does not wait for the disk either.
            CogLayout layout = compressed
                ? new CogLayout { Level = 1, Durable = false }
                : new CogLayout
                {
                    Codec = RasterCodec.None,
                    Predict = false,
                    Durable = false,
                };
            double ours = double.PositiveInfinity;
            double theirs = double.PositiveInfinity;
            for (int round = 0; round < rounds; round++)
            {
                string own = Path.Combine(folder, "ours.tif");
                ours = Math.Min(ours, Seconds(() => IndexMap.Write(map, null, "NDVI", ndvi, own, 1, layout)));
                theirs = Math.Min(
                    theirs,
                    Seconds(() => Calculate(map, Path.Combine(folder, "theirs.tif"), compressed))
                );
            }

            yield return (
                compressed ? "speed.indexCompressedToGdalCalc" : "speed.indexUncompressedToGdalCalc",
                theirs / ours,
                FormattableString.Invariant(
                    $"NDVI of {Side} × {Side} cells as 32-bit floats, one thread, overviews in ours alone, best of {rounds} turns: ours {ours:F2} s, gdal_calc {theirs:F2} s"
                )
            );
        }
    }

    private static void MakeMap(string path)
    {
        GridGeometry grid = new(new ReferenceSystem(32723), new GridPoint(500000, 8400000), 0.06, Side, Side);
        RasterLabel label = new(
            grid,
            [.. IndexChecks.FiveBands.Select(band => new BandLabel(band.Name, "", ReflectanceCode.Scale))]
        )
        {
            NoData = ReflectanceCode.Missing,
        };
        Raster<ushort> raster = new(label);
        SplittableRandom random = new(5);
        for (int band = 0; band < raster.BandCount; band++)
        {
            for (int row = 0; row < Side; row++)
            {
                Span<ushort> line = raster.Row(band, row);
                for (int column = 0; column < Side; column++)
                {
                    double wave = Math.Sin(row / 23.0) * Math.Cos(column / 19.0);
                    line[column] = (ushort)(4000 + (3000 * band) + (1200 * wave) + random.NextDouble(0, 200));
                }
            }
        }

        Cog.Write(path, raster, new CogLayout { Level = 1, Durable = false });
    }

    private static void Calculate(string map, string output, bool compressed)
    {
        List<string> arguments =
        [
            "-A",
            map,
            "--A_band=5",
            "-B",
            map,
            "--B_band=3",
            $"--outfile={output}",
            "--overwrite",
            "--quiet",
            "--type=Float32",
            "--calc=(A.astype(numpy.float32)-B)/(A.astype(numpy.float32)+B)",
            "--co=TILED=YES",
        ];
        if (compressed)
        {
            arguments.AddRange(["--co=COMPRESS=DEFLATE", "--co=PREDICTOR=3", "--co=ZLEVEL=1"]);
        }

        GdalJudge.Run("gdal_calc.py", arguments);
    }

    private static double Seconds(Action work)
    {
        Stopwatch clock = Stopwatch.StartNew();
        work();
        return clock.Elapsed.TotalSeconds;
    }
}
