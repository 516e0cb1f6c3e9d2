using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>
/// Reads points.csv (or points.geojson) and marks.csv, comma separated, first line the column names in any order.
/// </summary>
/// <remarks>
/// points.csv: id; easting, northing in the given system or longitude, latitude in degrees; height; and if known
/// height_reference (ellipsoid or egm96; ellipsoid when not said), sigma_horizontal, sigma_height (metres), role
/// (control or check; control when not said). points.geojson: see <see cref="GeoJsonPoints"/>. marks.csv: id, file, column, row; and if known page, sigma_pixels.
/// </remarks>
public static class GroundControlFiles
{
    public const string PointsName = "points.csv";

    public const string GeoJsonName = "points.geojson";

    public const string MarksName = "marks.csv";

    /// <summary>A careful survey by satellite receiver with corrections.</summary>
    private const double UsualHorizontalSigmaMetres = 0.02;
    private const double UsualVerticalSigmaMetres = 0.03;

    /// <summary>A careful click.</summary>
    private const double UsualSigmaPixels = 0.5;

    private const long LargestFileBytes = 64 << 20;

    /// <param name="folder">Holds the files.</param>
    /// <param name="system">Of eastings and northings.</param>
    /// <returns>Null when the folder has no points.</returns>
    /// <exception cref="InputProblemException">A file cannot be understood; the line is told.</exception>
    public static GroundControl? Read(string folder, ReferenceSystem system)
    {
        ArgumentNullException.ThrowIfNull(system);
        string pointsFile = Path.Combine(folder, PointsName);
        string geoJsonFile = Path.Combine(folder, GeoJsonName);
        bool asGeoJson = File.Exists(geoJsonFile);
        if (asGeoJson && File.Exists(pointsFile))
        {
            throw new InputProblemException(
                folder,
                $"it holds both {PointsName} and {GeoJsonName}.",
                "Keep the one that is right."
            );
        }

        if (!asGeoJson && !File.Exists(pointsFile))
        {
            return null;
        }

        Dictionary<string, ControlPoint> points = new(StringComparer.Ordinal);
        foreach (
            ControlLine line in asGeoJson
                ? GeoJsonPoints.Read(BytesOf(geoJsonFile), geoJsonFile)
                : Lines(pointsFile, ["id", "height"])
        )
        {
            ControlPoint point = PointOf(line, system);
            if (!points.TryAdd(point.Id, point))
            {
                throw line.Wrong($"the point {point.Id} is there twice.", "Give every point its own id.");
            }
        }

        string marksFile = Path.Combine(folder, MarksName);
        List<ControlMark> marks = [];
        if (File.Exists(marksFile))
        {
            foreach (ControlLine line in Lines(marksFile, ["id", "file", "column", "row"]))
            {
                string id = line.Text("id");
                if (!points.ContainsKey(id))
                {
                    throw line.Wrong(
                        $"there is no point {id} in {(asGeoJson ? GeoJsonName : PointsName)}.",
                        "Mend the id, or add the point."
                    );
                }

                marks.Add(
                    new ControlMark(
                        id,
                        line.Text("file").Replace('\\', '/'),
                        (int)line.Number("page", 0, 0, 100_000),
                        new PixelPoint(line.Number("column", null, 0, 1e6), line.Number("row", null, 0, 1e6)),
                        line.Number("sigma_pixels", UsualSigmaPixels, 0.01, 100)
                    )
                );
            }
        }

        return new GroundControl([.. points.Values], marks);
    }

    private static ControlPoint PointOf(ControlLine line, ReferenceSystem system)
    {
        GeographicPoint at;
        if (line.Has("easting"))
        {
            double easting = line.Number("easting", null, -1e8, 1e8);
            at = system.ToWgs84(new GridPoint(easting, line.Number("northing", null, -1e8, 1e8)));
        }
        else
        {
            at = GeographicPoint.FromDegrees(
                line.Number("latitude", null, -90, 90),
                line.Number("longitude", null, -180, 180)
            );
        }

        VerticalReference reference = line.TextOr("height_reference", "ellipsoid").ToLowerInvariant() switch
        {
            "ellipsoid" => VerticalReference.Ellipsoid,
            "egm96" => VerticalReference.Egm96Geoid,
            string other => throw line.Wrong($"height_reference is \"{other}\".", "Write ellipsoid or egm96."),
        };
        bool check = line.TextOr("role", "control").ToLowerInvariant() switch
        {
            "control" => false,
            "check" => true,
            string other => throw line.Wrong($"role is \"{other}\".", "Write control or check."),
        };
        double height = new Height(line.Number("height", null, -500, 9000), reference).EllipsoidalMetres(
            at,
            GeoidModel.Egm96
        );
        return new ControlPoint(
            line.Text("id"),
            new GeodeticPosition(at.Latitude, at.Longitude, height),
            line.Number("sigma_horizontal", UsualHorizontalSigmaMetres, 0.001, 100),
            line.Number("sigma_height", UsualVerticalSigmaMetres, 0.001, 100),
            check
        );
    }

    private static IEnumerable<ControlLine> Lines(string file, string[] needed)
    {
        RefuseIfHuge(file);
        string[] lines = File.ReadAllLines(file);
        string[] names =
            lines.Length == 0 ? [] : [.. lines[0].Split(',').Select(name => name.Trim().ToLowerInvariant())];
        string[] missing = [.. needed.Where(name => !names.Contains(name))];
        if (missing.Length > 0)
        {
            throw new InputProblemException(
                file,
                $"its first line does not name the column {string.Join(", ", missing)}.",
                "Write the column names in the first line, split by commas."
            );
        }

        for (int index = 1; index < lines.Length; index++)
        {
            if (!string.IsNullOrWhiteSpace(lines[index]))
            {
                yield return new ControlLine(
                    string.Create(CultureInfo.InvariantCulture, $"{file}, line {index + 1}"),
                    names,
                    lines[index].Split(',')
                );
            }
        }
    }

    private static byte[] BytesOf(string file)
    {
        RefuseIfHuge(file);
        return File.ReadAllBytes(file);
    }

    private static void RefuseIfHuge(string file)
    {
        if (new FileInfo(file).Length > LargestFileBytes)
        {
            throw new InputProblemException(file, "it is far too large for a list of points.", "Check the file.");
        }
    }
}
