using System.Text.Encodings.Web;
using System.Text.Json;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>
/// The folder where a rehearsal keeps what is really so. It lies outside the estate, and nothing in the estate says
/// where; only the scorer reads it.
/// </summary>
public sealed class TruthFolder
{
    private const string ModelFile = "model.json";

    private static readonly JsonSerializerOptions Json = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        Converters = { new System.Text.Json.Serialization.JsonStringEnumConverter() },
        WriteIndented = true,
    };

    private static readonly JsonSerializerOptions JsonLine = new(Json) { WriteIndented = false };

    private TruthFolder(string root)
    {
        Root = root;
    }

    public string Root { get; }

    /// <summary>Where the truth lies when nobody says: beside the estate.</summary>
    public static string Beside(string estateRoot) =>
        Path.TrimEndingDirectorySeparator(Path.GetFullPath(estateRoot)) + "-truth";

    /// <summary>Begins a folder for a modelled estate.</summary>
    /// <exception cref="InputProblemException">It lies in the estate, or holds another truth.</exception>
    public static TruthFolder Create(string path, string estateRoot, RehearsedEstateSettings settings)
    {
        string root = Path.TrimEndingDirectorySeparator(Path.GetFullPath(path));
        string estate = Path.TrimEndingDirectorySeparator(Path.GetFullPath(estateRoot));
        if (root == estate || root.StartsWith(estate + Path.DirectorySeparatorChar, StringComparison.Ordinal))
        {
            throw new InputProblemException(
                root,
                "lies in the estate, where the job could read the truth.",
                "Name a folder outside the estate with --truth."
            );
        }

        if (Directory.Exists(root) && Directory.EnumerateFileSystemEntries(root).Any())
        {
            throw new InputProblemException(root, "is not empty.", "Name a folder that is new or empty with --truth.");
        }

        Directory.CreateDirectory(root);
        TruthFolder folder = new(root);
        folder.Write(ModelFile, settings);
        return folder;
    }

    /// <exception cref="InputProblemException">No truth there.</exception>
    public static TruthFolder Open(string path)
    {
        string root = Path.TrimEndingDirectorySeparator(Path.GetFullPath(path));
        return File.Exists(Path.Combine(root, ModelFile))
            ? new TruthFolder(root)
            : throw new InputProblemException(
                root,
                "holds no truth of a rehearsal.",
                "Name the folder that `hillrow rehearse estate` wrote, with --truth."
            );
    }

    public RehearsedEstateSettings Settings() => Read<RehearsedEstateSettings>(ModelFile);

    /// <summary>Folder of one flight's truth, absolute; made when missing.</summary>
    public string FlightFolder(string flightId)
    {
        string folder = Path.Combine(Root, flightId);
        Directory.CreateDirectory(folder);
        return folder;
    }

    /// <summary>Ids of the flights that have truth.</summary>
    public IReadOnlyList<string> FlightIds() =>
        [
            .. Directory
                .GetDirectories(Root)
                .Where(folder => File.Exists(Path.Combine(folder, "flight.json")))
                .Select(folder => Path.GetFileName(folder))
                .Order(StringComparer.Ordinal),
        ];

    public bool Has(string relative) => File.Exists(Path.Combine(Root, relative));

    public string PathOf(string relative) => Path.Combine(Root, relative);

    /// <summary>Writes one object; the file appears whole.</summary>
    public void Write<T>(string relative, T value) => Put(relative, JsonSerializer.Serialize(value, Json) + "\n");

    /// <summary>Writes one object a line.</summary>
    public void WriteLines<T>(string relative, IEnumerable<T> values) =>
        Put(relative, string.Concat(values.Select(value => JsonSerializer.Serialize(value, JsonLine) + "\n")));

    /// <exception cref="InputProblemException">The file is missing or damaged.</exception>
    public T Read<T>(string relative) => Parsed(relative, () => Whole<T>(File.ReadAllText(PathOf(relative))));

    /// <exception cref="InputProblemException">The file is missing or damaged.</exception>
    public IReadOnlyList<T> ReadLines<T>(string relative) =>
        Parsed<IReadOnlyList<T>>(relative, () => [.. File.ReadLines(PathOf(relative)).Select(Whole<T>)]);

    private static T Whole<T>(string text) =>
        JsonSerializer.Deserialize<T>(text, Json) ?? throw new JsonException("null");

    private T Parsed<T>(string relative, Func<T> read)
    {
        try
        {
            return read();
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or JsonException)
        {
            throw new InputProblemException(
                PathOf(relative),
                "the truth cannot be read.",
                "Fly the rehearsal again.",
                fault
            );
        }
    }

    private void Put(string relative, string text)
    {
        string path = PathOf(relative);
        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        File.WriteAllText(path + ".partial", text);
        File.Move(path + ".partial", path, overwrite: true);
    }
}
