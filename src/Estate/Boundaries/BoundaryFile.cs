using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Reads block outlines from GeoJSON, KML, KMZ, shapefile or GeoPackage, told apart by the file's ending.</summary>
public static class BoundaryFile
{
    private static readonly string[] Endings = [".geojson", ".json", ".kml", ".kmz", ".shp", ".gpkg"];

    /// <param name="path">The file; a shapefile's .dbf and .prj are looked for beside it.</param>
    /// <param name="layer">Layer of a GeoPackage; null takes its only polygon layer.</param>
    /// <exception cref="InputProblemException">Missing, too large, damaged, or in a coordinate system we do not know.</exception>
    public static BoundarySet Read(string path, string? layer = null)
    {
        string ending = Path.GetExtension(path).ToLowerInvariant();
        if (!Endings.Contains(ending))
        {
            throw new InputProblemException(
                path,
                $"\"{ending}\" is not an ending of a boundary file.",
                ending switch
                {
                    ".zip" => "Unpack it and give the .shp, .kml or .geojson that is in it.",
                    ".shx" or ".dbf" or ".prj" or ".cpg" =>
                        "Give the .shp of the same name; the others are found beside it.",
                    _ => $"Give a file that ends in {string.Join(", ", Endings)}.",
                }
            );
        }

        byte[] bytes = ReadAll(path);
        try
        {
            BoundarySet set = ending switch
            {
                ".kml" => KmlBoundaries.Read(bytes, path),
                ".kmz" => KmzBoundaries.Read(bytes, path),
                ".shp" => ShapefileBoundaries.Read(bytes, path),
                ".gpkg" => GeoPackageBoundaries.Read(path, layer),
                _ => GeoJsonBoundaries.Read(bytes, path),
            };
            return set.Boundaries.Count > 0
                ? set
                : throw new InputProblemException(
                    path,
                    set.Notes.Count > 0 ? $"holds no polygon ({set.Notes[0]})." : "holds no polygon.",
                    "Draw each block as a closed polygon, then export it again."
                );
        }
        catch (InvalidDataException fault)
        {
            throw Damaged(path, fault.Message, fault);
        }
    }

    /// <summary>The line for a file that is cut short or holds nonsense.</summary>
    internal static InputProblemException Damaged(string path, string what, Exception? fault = null)
    {
        string plain = new([.. what.ReplaceLineEndings(" ").Select(c => char.IsControl(c) ? ' ' : c)]);
        string shortened = plain.Length > 300 ? plain[..300] + " …" : plain;
        return new InputProblemException(
            path,
            $"is damaged or cut short: {shortened.Trim().TrimEnd('.')}.",
            "Copy or export it again from where it was made.",
            fault
        );
    }

    internal static byte[] ReadAll(string path)
    {
        try
        {
            FileInfo file = new(path);
            if (!file.Exists)
            {
                throw new InputProblemException(
                    path,
                    Directory.Exists(path) ? "is a folder." : "does not exist.",
                    "Check the name of the file."
                );
            }

            if (file.Length == 0)
            {
                throw new InputProblemException(path, "is empty.", "Copy or export it again from where it was made.");
            }

            return file.Length <= BoundaryLimits.FileBytes
                ? File.ReadAllBytes(path)
                : throw new InputProblemException(
                    path,
                    $"is {file.Length >> 20} MiB large; block outlines need no more than {BoundaryLimits.FileBytes >> 20}.",
                    "Export only the blocks' outlines."
                );
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                path,
                "cannot be read.",
                "Check the disk and the file's permissions, then try again.",
                fault
            );
        }
    }
}
