using System.Globalization;
using System.Text.Json;
using System.Text.RegularExpressions;
using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.TestSupport;

namespace Hillrow.Checks;

/// <summary>Every case and grid of tests/Reference/terrain against our samples, slopes, shades, horizons and profiles.</summary>
public static class TerrainChecks
{
    public static CheckTally Samples()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("terrain", "samples.json").Cases)
        {
            TerrainGrid terrain = Dem(check.In.GetProperty("dem").GetString()!);
            GridPoint point = new(check.In.GetProperty("x").GetDouble(), check.In.GetProperty("y").GetDouble());
            tally.Compare(
                check.Id,
                "bilinear",
                terrain.SampleMetres(point),
                check.Out.GetProperty("bilinear_m").GetDouble(),
                1e-6
            );
            tally.Compare(
                check.Id,
                "nearest",
                terrain.NearestMetres(point),
                check.Out.GetProperty("nearest_m").GetDouble(),
                0
            );
        }

        return tally;
    }

    public static CheckTally Horizons()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("terrain", "horizon.json").Cases)
        {
            TerrainGrid terrain = Dem(check.In.GetProperty("dem").GetString()!);
            JsonElement azimuths = check.In.GetProperty("azimuths_deg");
            for (int index = 0; index < azimuths.GetArrayLength(); index++)
            {
                JsonElement want = check.Out.GetProperty("horizon_deg")[index];
                if (want.ValueKind != JsonValueKind.Number)
                {
                    continue;
                }

                // Ours is exact along the ray; the reference samples every 0.05 cell, so it may miss a crest but never
                // finds a higher one. Below it 0.05° (its own tolerance), above it the file's rule for other methods.
                double got = terrain.HorizonDegrees(
                    check.In.GetProperty("row").GetInt32(),
                    check.In.GetProperty("col").GetInt32(),
                    Angle.FromDegrees(azimuths[index].GetDouble())
                );
                double lowest = want.GetDouble() - 0.05;
                double highest =
                    Math.Max(want.GetDouble(), check.Out.GetProperty("horizon_gridlines_deg")[index].GetDouble())
                    + 0.35;
                tally.IsTrue(
                    check.Id,
                    FormattableString.Invariant($"azimuth {azimuths[index]}: {lowest} <= {got} <= {highest}"),
                    got >= lowest && got <= highest
                );
            }
        }

        return tally;
    }

    public static CheckTally Profiles()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("terrain", "profiles.json").Cases)
        {
            TerrainGrid terrain = Dem(check.In.GetProperty("dem").GetString()!);
            TerrainProfile got = terrain.Profile(
                Point(check.In.GetProperty("from_xy")),
                Point(check.In.GetProperty("to_xy"))
            );
            double Want(string name) => check.Out.GetProperty(name).GetDouble();
            tally.Compare(check.Id, "length", got.LengthMetres, Want("length_m"), 0.001);
            tally.Compare(check.Id, "start", got.StartMetres, Want("z_start"), 0.01);
            tally.Compare(check.Id, "end", got.EndMetres, Want("z_end"), 0.01);
            tally.Compare(check.Id, "highest", got.HighestMetres, Want("z_max"), 0.01);
            tally.Compare(check.Id, "lowest", got.LowestMetres, Want("z_min"), 0.01);
            tally.Compare(check.Id, "ascent", got.AscentMetres, Want("ascent_m"), 0.05);
            tally.Compare(check.Id, "descent", got.DescentMetres, Want("descent_m"), 0.05);
            tally.Compare(check.Id, "surface", got.SurfaceLengthMetres, Want("surface_length_m"), 0, 0.0002);
        }

        return tally;
    }

    /// <summary>Slope, aspect, hillshade and shadow grids; one case per file, every cell compared.</summary>
    public static CheckTally Grids()
    {
        CheckTally tally = new();
        foreach (string path in Directory.GetFiles(RepositoryFiles.Reference("terrain"), "*.csv").Order())
        {
            string name = Path.GetFileNameWithoutExtension(path);
            string demName = Directory
                .GetFiles(RepositoryFiles.Reference("terrain"), "*.asc")
                .Select(dem => Path.GetFileNameWithoutExtension(dem))
                .Where(dem => name.StartsWith(dem + "_", StringComparison.Ordinal))
                .MaxBy(dem => dem.Length)!;
            TerrainGrid terrain = Dem(demName);
            double[] want = Csv(path, terrain.Rows, terrain.Columns);
            GradientMethod method = name.EndsWith("Horn", StringComparison.Ordinal)
                ? GradientMethod.Horn
                : GradientMethod.ZevenbergenThorne;
            string product = name[(demName.Length + 1)..];
            if (product.StartsWith("slope_deg", StringComparison.Ordinal))
            {
                CompareAll(tally, name, terrain.SlopeDegrees(method), want, 0.001);
            }
            else if (product.StartsWith("slope_percent", StringComparison.Ordinal))
            {
                CompareAll(tally, name, terrain.SlopePercent(method), want, 0.005);
            }
            else if (product.StartsWith("aspect", StringComparison.Ordinal))
            {
                CompareAll(tally, name, terrain.AspectDegrees(method), want, 0.002, wraps: true);
            }
            else if (product.StartsWith("hillshade", StringComparison.Ordinal))
            {
                (Angle azimuth, Angle altitude) = Sun(name);
                CompareAll(tally, name, terrain.Hillshade(azimuth, altitude), want, 1);
            }
            else
            {
                tally.IsTrue(name, "is a known product", product.StartsWith("shadowmargin", StringComparison.Ordinal));
                (Angle azimuth, Angle altitude) = Sun(name);
                bool[] shadow = terrain.CastShadow(azimuth, altitude);
                for (int cell = 0; cell < want.Length; cell++)
                {
                    if (!double.IsNaN(want[cell]))
                    {
                        tally.IsTrue(name, $"cell {cell} lit as margin {want[cell]}", shadow[cell] == want[cell] < 0);
                    }
                }
            }
        }

        return tally;
    }

    private static void CompareAll(
        CheckTally tally,
        string name,
        float[] got,
        double[] want,
        double absolute,
        bool wraps = false
    )
    {
        for (int cell = 0; cell < want.Length; cell++)
        {
            double near = got[cell];
            if (wraps && Math.Abs(near - want[cell]) > 180)
            {
                near += near < want[cell] ? 360 : -360;
            }

            tally.Compare(name, $"cell {cell}", near, want[cell], absolute);
        }
    }

    private static (Angle Azimuth, Angle Altitude) Sun(string name)
    {
        Match match = Regex.Match(name, @"_az([\d.]+)_alt([\d.]+)", RegexOptions.None, TimeSpan.FromSeconds(1));
        return (
            Angle.FromDegrees(double.Parse(match.Groups[1].Value, CultureInfo.InvariantCulture)),
            Angle.FromDegrees(double.Parse(match.Groups[2].Value, CultureInfo.InvariantCulture))
        );
    }

    private static GridPoint Point(JsonElement pair) => new(pair[0].GetDouble(), pair[1].GetDouble());

    private static double[] Csv(string path, int rows, int columns)
    {
        double[] cells =
        [
            .. File.ReadAllLines(path)
                .SelectMany(line => line.Split(','))
                .Select(cell => cell.Length == 0 ? double.NaN : double.Parse(cell, CultureInfo.InvariantCulture)),
        ];
        return cells.Length == rows * columns
            ? cells
            : throw new InvalidDataException($"{path}: {cells.Length} cells, expected {rows} × {columns}.");
    }

    /// <summary>An ESRI ASCII grid of the folder; its place is invented, so any metric system will do.</summary>
    private static TerrainGrid Dem(string name)
    {
        string[] words = File.ReadAllText(RepositoryFiles.Reference("terrain", name + ".asc"))
            .Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
        Dictionary<string, double> header = [];
        int at = 0;
        while (char.IsLetter(words[at][0]))
        {
            header[words[at].ToUpperInvariant()] = double.Parse(words[at + 1], CultureInfo.InvariantCulture);
            at += 2;
        }

        int rows = (int)header["NROWS"];
        int columns = (int)header["NCOLS"];
        double cell = header["CELLSIZE"];
        float[] heights = [.. words[at..].Select(word => float.Parse(word, CultureInfo.InvariantCulture))];
        return new(
            new(
                ReferenceSystem.Utm(18, north: true),
                new(header["XLLCORNER"], header["YLLCORNER"] + (rows * cell)),
                cell,
                rows,
                columns
            ),
            heights,
            VerticalReference.Egm96Geoid
        );
    }
}
