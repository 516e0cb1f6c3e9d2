using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Index maps and pictures of a survey's map, made when somebody asks for them.</summary>
/// <remarks>They are copies for a person: nothing of them is recorded, and no step reads them.</remarks>
public static class MapWriting
{
    private const int PictureLongestSidePixels = 2000;
    private const int LongestFileWord = 60;

    /// <summary>The catalogue, and what of it this survey's bands allow.</summary>
    /// <param name="estate">With a map.</param>
    /// <param name="survey">Id; null for the last.</param>
    /// <param name="cancellation">Stops it.</param>
    /// <exception cref="InputProblemException">No such survey, or no map yet.</exception>
    public static IReadOnlyList<OfferedIndex> Offers(
        EstateFolder estate,
        string? survey,
        CancellationToken cancellation = default
    )
    {
        SurveyMap map = SurveyMap.Of(estate, survey, cancellation);
        return
        [
            .. IndexCatalogue.All.Select(index => new OfferedIndex(
                index.Name,
                index.Formula,
                index.DependsOnScene
                    ? $"needs {string.Join(" and ", index.Parameters.Select(name => $"--value {name}=NUMBER"))}, taken from the scene: two dates do not compare"
                    : WhyNot(index, map.Bands),
                index.Note
            )),
        ];
    }

    /// <summary>Writes a GeoTIFF with its standard error and a picture for each index, a picture for each composite.</summary>
    /// <param name="estate">With a map.</param>
    /// <param name="survey">Id; null for the last.</param>
    /// <param name="wishes">All are understood before the first file is written.</param>
    /// <param name="folder">Where to; null for handover/maps-SURVEY.</param>
    /// <param name="cancellation">Leaves no half a file behind.</param>
    /// <returns>What was written, and what to know of it.</returns>
    /// <exception cref="InputProblemException">
    /// No such survey, no map, a band or value that a formula needs is wanting, or the folder cannot be written.
    /// </exception>
    public static MapsWritten Write(
        EstateFolder estate,
        string? survey,
        MapWishes wishes,
        string? folder,
        CancellationToken cancellation = default
    )
    {
        ArgumentNullException.ThrowIfNull(estate);
        ArgumentNullException.ThrowIfNull(wishes);
        SurveyMap map = SurveyMap.Of(estate, survey, cancellation);
        (string Name, IndexFormula Formula)[] formulas =
        [
            .. wishes.Indices.Select(text =>
                (FileWord(text), IndexCatalogue.FormulaOf(text, map.Bands, wishes.Values))
            ),
        ];
        (string Name, int[] Bands)[] composites =
        [
            .. wishes.Composites.Select(bands => (FileWord(string.Join("-", bands)), map.PlacesOf(bands))),
        ];
        List<string> told = [.. map.Told, .. wishes.Indices.Select(Caution).OfType<string>().Distinct()];
        string into = Path.GetFullPath(folder ?? Path.Combine(estate.HandoverFolder, $"maps-{map.Survey}"));
        List<string> written = [];
        try
        {
            Directory.CreateDirectory(into);
            using RasterFile reflectance = RasterFile.Open(map.Files.Reflectance);
            foreach ((string name, IndexFormula formula) in formulas)
            {
                string path = Path.Combine(into, name + ".tif");
                string? sigma = File.Exists(map.Files.Sigma) ? map.Files.Sigma : null;
                IndexMap.Write(map.Files.Reflectance, sigma, name, formula, path, cancel: cancellation);
                written.Add(path);
                PreviewPicture picture = MapPreview.Index(
                    reflectance,
                    name,
                    formula,
                    longestSidePixels: PictureLongestSidePixels
                );
                told.Add($"{name}.png: viridis. {picture.Legend.Stretch}");
                Picture(name, picture);
            }

            foreach ((string name, int[] bands) in composites)
            {
                cancellation.ThrowIfCancellationRequested();
                PreviewPicture picture = MapPreview.Composite(reflectance, name, bands, PictureLongestSidePixels);
                told.Add($"{name}.png: {picture.Legend.Stretch}");
                Picture(name, picture);
            }
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                into,
                $"cannot be written ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
                "Close the programs that hold its files open, free some space, or name another folder with --to.",
                fault
            );
        }

        return new MapsWritten(map.Survey, written, told);

        void Picture(string name, PreviewPicture picture)
        {
            string path = Path.Combine(into, name + ".png");
            File.WriteAllBytes(path, picture.Png);
            written.Add(path);
        }
    }

    private static string? WhyNot(VegetationIndex index, IReadOnlyList<FormulaBand> bands)
    {
        try
        {
            _ = index.Over(bands);
            return null;
        }
        catch (InputProblemException lacking)
        {
            return lacking.Problem.TrimEnd('.');
        }
    }

    private static string? Caution(string text) =>
        IndexCatalogue.TryFind(text.Trim()) is { Note.Length: > 0 } index ? $"{index.Name}: {index.Note}." : null;

    /// <summary>A file's name from an index or a formula: letters and digits, other runs a hyphen.</summary>
    internal static string FileWord(string text)
    {
        System.Text.StringBuilder word = new();
        foreach (char letter in text.Trim().ToLowerInvariant())
        {
            if (char.IsAsciiLetterOrDigit(letter))
            {
                word.Append(letter);
            }
            else if (letter is '+' or '/' or '*' or '^')
            {
                word.Append(
                    letter switch
                    {
                        '+' => "-plus-",
                        '/' => "-over-",
                        '*' => "-times-",
                        _ => "-power-",
                    }
                );
            }
            else if (letter is '-' && text.Contains('('))
            {
                word.Append("-minus-");
            }
            else if (word.Length > 0 && word[^1] != '-')
            {
                word.Append('-');
            }
        }

        string plain = string.Join('-', word.ToString().Split('-', StringSplitOptions.RemoveEmptyEntries));
        return plain.Length == 0 ? "map"
            : plain.Length <= LongestFileWord ? plain
            : plain[..LongestFileWord];
    }
}

/// <param name="Survey">Id.</param>
/// <param name="Files">Absolute paths.</param>
/// <param name="Told">Cautions, and how pictures were stretched.</param>
public sealed record MapsWritten(string Survey, IReadOnlyList<string> Files, IReadOnlyList<string> Told);
