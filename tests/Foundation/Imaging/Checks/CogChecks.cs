using System.Globalization;
using System.Numerics;
using System.Runtime.InteropServices;
using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.TestSupport;

namespace Hillrow.Checks;

/// <summary>
/// Files of many layouts, written by us and judged by GDAL: its validator, and every value of every level against the
/// raster written and against overviews computed here the plain way.
/// </summary>
public sealed class CogChecks
{
    private readonly string folder;
    private readonly BigTiffUse bigTiff;
    private readonly CheckTally tally = new();
    private readonly List<(string Path, Action<JsonElement> Judge)> files = [];

    private CogChecks(string folder, BigTiffUse bigTiff)
    {
        this.folder = folder;
        this.bigTiff = bigTiff;
    }

    /// <summary>Writes, judges, and gives the tally; a failure is a complaint.</summary>
    /// <param name="folder">For the files; they are removed afterwards.</param>
    /// <param name="few">A fifth of the layouts, for the default test suite.</param>
    public static CheckTally Run(string folder, BigTiffUse bigTiff, bool few)
    {
        CogChecks checks = new(folder, bigTiff);
        int number = 0;
        (int Rows, int Columns)[] sizes =
        [
            (1, 1),
            (1, 700),
            (700, 1),
            (129, 127),
            (512, 512),
            (513, 511),
            (300, 1411),
            (1025, 1030),
        ];
        foreach ((int rows, int columns) in sizes)
        {
            foreach (int bands in (int[])[1, 2, 3, 5, 7])
            {
                number++;
                if (few && number % 7 != 3)
                {
                    continue;
                }

                checks.Write<float>(rows, columns, bands, number, null);
                checks.Write<ushort>(rows, columns, bands, number + 1, 0);
                checks.Write<byte>(rows, columns, bands, number + 2, 255);
                checks.Write<short>(rows, columns, bands, number + 3, -32768);
                checks.Write<int>(rows, columns, bands, number + 4, null);
                checks.Write<float>(rows, columns, bands, number + 5, -9999);
                checks.Write<uint>(rows, columns, bands, number + 6, 7);
                checks.Write<double>(rows, columns, bands, number + 7, null);
            }
        }

        return checks.Judged();
    }

    private void Write<T>(int rows, int columns, int bands, int variant, double? noData)
        where T : unmanaged, INumber<T>
    {
        CogLayout layout = new()
        {
            TileSize = (int[])[512, 256, 128, 64] is var tiles ? tiles[variant % 4] : 0,
            Codec = variant % 3 == 0 ? RasterCodec.None : RasterCodec.Deflate,
            Level = 1 + (variant * 5 % 9),
            Predict = variant % 7 != 0,
            PixelInterleaved = variant % 2 == 0,
            Overviews = variant % 6 == 1 ? OverviewMethod.Nearest : OverviewMethod.Average,
            BigTiff = bigTiff,
            Durable = false,
        };
        RasterLabel label = new(
            new GridGeometry(
                ReferenceSystem.Utm(19, false),
                new GridPoint(412_345.5, 6_241_234.25),
                0.05,
                rows,
                columns
            ),
            [
                .. Enumerable
                    .Range(1, bands)
                    .Select(band => new BandLabel(
                        $"Band <{band}> é",
                        band % 2 == 0 ? "m" : "",
                        band == 3 ? 0.0001 : 1,
                        band == 3 ? -0.1 : 0
                    )),
            ]
        )
        {
            NoData = noData,
            Heights = variant % 5 == 0 ? VerticalReference.Egm96Geoid : null,
            Items = new Dictionary<string, string> { ["SOURCE"] = "rehearsal & checks" },
        };
        Raster<T> raster = new(label);
        Random random = new(variant);
        for (int band = 0; band < bands; band++)
        {
            foreach (ref T value in raster.Band(band))
            {
                bool missing = random.Next(9) == 0;
                double number = (random.NextDouble() * 100) + (band * 20);
                value =
                    missing && raster.NoData is T noValue ? noValue
                    : missing && SampleTypes.IsFloatingPoint(SampleTypes.Of<T>()) ? T.CreateSaturating(double.NaN)
                    : T.CreateSaturating(number);
            }
        }

        string id =
            $"{rows}x{columns}x{bands} {typeof(T).Name} {layout.Codec}{layout.Level} tile {layout.TileSize}{(layout.PixelInterleaved ? " pixel" : "")} {variant}";
        string path = Path.Combine(folder, FormattableString.Invariant($"{files.Count}.tif"));
        Cog.Write(path, raster, layout);
        tally.IsTrue(
            id,
            "the intended form of TIFF",
            File.ReadAllBytes(path)[2] == (bigTiff == BigTiffUse.Always ? 43 : 42)
        );
        string[][] hashes = [.. Enumerable.Range(0, bands).Select(band => HashesOf(raster, band, layout))];
        files.Add((path, said => Judge(id, said, label, hashes)));
    }

    private void Judge(string id, JsonElement said, RasterLabel label, string[][] hashes)
    {
        foreach (string kind in (string[])["errors", "warnings", "said"])
        {
            if (said.TryGetProperty(kind, out JsonElement texts))
            {
                tally.IsTrue(id, $"{kind}: {texts}", texts.GetArrayLength() == 0);
            }
        }

        if (!said.TryGetProperty("bands", out JsonElement bands))
        {
            return;
        }

        tally.IsTrue(id, $"EPSG {said.GetProperty("epsg")}", said.GetProperty("epsg").GetString() == "32719");
        double[] transform = [.. said.GetProperty("transform").EnumerateArray().Select(number => number.GetDouble())];
        double[] wanted = [412_345.5, 0.05, 0, 6_241_234.25, 0, -0.05];
        tally.IsTrue(id, $"place {string.Join(' ', transform)}", transform.SequenceEqual(wanted));
        if (label.Heights is not null)
        {
            tally.IsTrue(
                id,
                $"vertical {said.GetProperty("vertical")}",
                said.GetProperty("vertical").GetString() == "5773"
            );
        }

        tally.IsTrue(
            id,
            "items",
            said.GetProperty("items").TryGetProperty("SOURCE", out JsonElement source)
                && source.GetString() == "rehearsal & checks"
        );
        int index = 0;
        foreach (JsonElement band in bands.EnumerateArray())
        {
            BandLabel of = label.Bands[index];
            tally.IsTrue(id, $"name {band.GetProperty("name")}", band.GetProperty("name").GetString() == of.Name);
            tally.IsTrue(
                id,
                $"unit {band.GetProperty("unit")}",
                UnitAgrees(band.GetProperty("unit").GetString(), of, label)
            );
            tally.Compare(id, "scale", Number(band, "scale") ?? 1, of.Scale, 0);
            tally.Compare(id, "offset", Number(band, "offset") ?? 0, of.Offset, 0);
            bool real = band.GetProperty("type").GetString()!.StartsWith("Float", StringComparison.Ordinal);
            string noData = band.GetProperty("nodata").GetString() ?? "none";
            tally.IsTrue(
                id,
                $"no-data {noData}",
                label.NoData is { } value
                    ? double.TryParse(noData, CultureInfo.InvariantCulture, out double told) && told.Equals(value)
                    : noData == (real ? "nan" : "none")
            );
            string[] levels = [.. band.GetProperty("hashes").EnumerateArray().Select(hash => hash.GetString()!)];
            tally.IsTrue(
                id,
                $"{levels.Length} levels, want {hashes[index].Length}",
                levels.Length == hashes[index].Length
            );
            for (int level = 0; level < Math.Min(levels.Length, hashes[index].Length); level++)
            {
                tally.IsTrue(id, $"values of band {index}, level {level}", levels[level] == hashes[index][level]);
            }

            index++;
        }

        // GDAL gives every band the unit of the heights where the reference system has heights.
        static bool UnitAgrees(string? told, BandLabel of, RasterLabel label) =>
            told == of.Unit || (label.Heights is not null && told == "metre");

        static double? Number(JsonElement band, string name) =>
            band.GetProperty(name) is { ValueKind: JsonValueKind.Number } number ? number.GetDouble() : null;
    }

    private CheckTally Judged()
    {
        IReadOnlyDictionary<string, JsonElement> said = GdalJudge.Look([.. files.Select(file => file.Path)]);
        foreach ((string path, Action<JsonElement> judge) in files)
        {
            judge(said[path]);
            File.Delete(path);
        }

        return tally;
    }

    private static string[] HashesOf<T>(Raster<T> raster, int band, CogLayout layout)
        where T : unmanaged, INumber<T>
    {
        List<string> hashes = [];
        T[] cells = raster.Band(band).ToArray();
        int rows = raster.Rows;
        int columns = raster.Columns;
        while (true)
        {
            hashes.Add(GdalJudge.HashOf(MemoryMarshal.AsBytes(cells.AsSpan())));
            if (rows <= layout.TileSize && columns <= layout.TileSize)
            {
                return [.. hashes];
            }

            cells = PlainOverview.Of(cells, rows, columns, layout.Overviews, raster.IsMissing, raster.NoData);
            rows = (rows + 1) / 2;
            columns = (columns + 1) / 2;
        }
    }
}
