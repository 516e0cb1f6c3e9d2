using Hillrow.Earth;
using Hillrow.Numerics;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>One grower's property on disk. The only door to its files and database.</summary>
public sealed class EstateFolder
{
    private const string DatabaseName = "estate.gpkg";
    private const string OwnFolder = ".hillrow";

    private EstateFolder(string root, EstateSettings settings)
    {
        Root = root;
        Settings = settings;
    }

    /// <summary>Absolute path.</summary>
    public string Root { get; }

    public EstateSettings Settings { get; }

    public ReferenceSystem ReferenceSystem => Settings.ReferenceSystem;

    public string DatabaseFile => Path.Combine(Root, DatabaseName);

    public string CamerasFolder => Path.Combine(Root, "cameras");

    public string TerrainFolder => Path.Combine(Root, "terrain");

    public string HandoverFolder => Path.Combine(Root, "handover");

    /// <summary>The report's lasting name, or null when there is no current one.</summary>
    public string? CurrentReport()
    {
        string file = Path.Combine(HandoverFolder, RunOrder.ReportFile);
        return File.Exists(file) ? file : null;
    }

    internal string HashMemoryFile => Path.Combine(Root, OwnFolder, "hashes");

    private string LockFile => Path.Combine(Root, OwnFolder, "lock");

    /// <summary>Makes an estate in a folder that is new or empty. estate.toml is written last: it makes it an estate.</summary>
    /// <exception cref="InputProblemException">The folder is in use, or a setting is wrong (all are told).</exception>
    public static EstateFolder Create(string path, EstateSettings settings)
    {
        string root = Path.TrimEndingDirectorySeparator(Path.GetFullPath(path));
        IReadOnlyList<string> problems = settings.Problems();
        if (problems.Count > 0)
        {
            throw EstateToml.Wrong(root, problems);
        }

        try
        {
            if (File.Exists(root))
            {
                throw new InputProblemException(root, "is a file.", "Name a folder that is new or empty.");
            }

            if (File.Exists(Path.Combine(root, EstateToml.FileName)))
            {
                throw new InputProblemException(root, "is an estate already.", "Name another folder.");
            }

            if (Directory.Exists(root) && Directory.EnumerateFileSystemEntries(root).Any(entry => !IsLeftover(entry)))
            {
                throw new InputProblemException(root, "is not empty.", "Name a folder that is new or empty.");
            }

            if (EstateAround(root) is { } outer)
            {
                throw new InputProblemException(
                    root,
                    $"lies inside the estate {outer}; one folder holds one estate.",
                    "Name a folder outside it."
                );
            }

            DurableFiles.CreateFolder(Path.Combine(root, OwnFolder));
            EstateFolder estate = new(root, settings);
            using EstateLock held = estate.LockForRun();
            foreach (string folder in new[] { "cameras", "terrain", "surveys", "handover" })
            {
                DurableFiles.CreateFolder(Path.Combine(root, folder));
            }

            File.Delete(estate.DatabaseFile);
            EstateDatabase.Create(estate.DatabaseFile, settings.ReferenceSystem);
            DurableFiles.WriteAllText(Path.Combine(root, EstateToml.FileName), EstateToml.Write(settings));
            return estate;
        }
        catch (Exception fault) when (fault is UnauthorizedAccessException or IOException or SqliteException)
        {
            throw new InputProblemException(
                root,
                $"cannot be made ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
                "Name a folder on a disk that you may write to and that has room.",
                fault
            );
        }
    }

    /// <exception cref="InputProblemException">No estate there, a setting is wrong, or it was made by a newer program.</exception>
    public static EstateFolder Open(string path)
    {
        string root = Path.TrimEndingDirectorySeparator(Path.GetFullPath(path));
        string toml = Path.Combine(root, EstateToml.FileName);
        if (!File.Exists(toml))
        {
            throw new InputProblemException(
                root,
                Directory.Exists(root) ? "is no estate (there is no estate.toml in it)."
                    : File.Exists(root) ? "is a file, not an estate's folder."
                    : "does not exist.",
                "Name the estate's folder, or make one with `hillrow new`."
            );
        }

        EstateFolder estate = new(root, EstateToml.Read(toml));
        EstateDatabase.BringUpToDate(estate.DatabaseFile, estate.ReferenceSystem);
        return estate;
    }

    /// <summary>Opens estate.gpkg for reading and writing; the caller disposes it, and no side file stays behind.</summary>
    public SqliteConnection OpenDatabase() => EstateDatabase.Open(DatabaseFile);

    /// <summary>All surveys, by id.</summary>
    public IReadOnlyList<SurveyFolder> Surveys()
    {
        string folder = Path.Combine(Root, "surveys");
        return Directory.Exists(folder)
            ?
            [
                .. Directory
                    .GetDirectories(folder)
                    .Select(path => new SurveyFolder(Path.GetFileName(path), path))
                    .Where(survey => SurveyFolder.IsId(survey.Id))
                    .OrderBy(survey => survey.Id, StringComparer.Ordinal),
            ]
            : [];
    }

    /// <summary>Makes a survey's folder, or finds it.</summary>
    /// <exception cref="InputProblemException">The id is not one.</exception>
    public SurveyFolder AddSurvey(string id)
    {
        SurveyFolder survey = new(id, Path.Combine(Root, "surveys", SurveyFolder.Checked(id)));
        DurableFiles.CreateFolder(survey.Root);
        return survey;
    }

    /// <summary>The lock that a run holds; short edits of the tables need none, transactions guard them.</summary>
    /// <exception cref="InputProblemException">Another run is at work here.</exception>
    public EstateLock LockForRun()
    {
        DurableFiles.CreateFolder(Path.Combine(Root, OwnFolder));
        return EstateLock.Take(LockFile, Root);
    }

    /// <summary>A path as people want to read it: below the estate without the estate's own path, else in full.</summary>
    public string Shown(string path)
    {
        string full = Path.GetFullPath(path, Root);
        string relative = Path.GetRelativePath(Root, full);
        return relative == ".." || relative.StartsWith(".." + Path.DirectorySeparatorChar, StringComparison.Ordinal)
            ? full
            : relative.Replace('\\', '/');
    }

    /// <summary>The estate that a folder would lie in; null in none.</summary>
    private static string? EstateAround(string root)
    {
        for (string? at = Path.GetDirectoryName(root); at is not null; at = Path.GetDirectoryName(at))
        {
            if (File.Exists(Path.Combine(at, EstateToml.FileName)))
            {
                return at;
            }
        }

        return null;
    }

    /// <summary>What a creation that was cut short leaves; it may be overwritten.</summary>
    private static bool IsLeftover(string entry) =>
        Path.GetFileName(entry)
            is OwnFolder
                or DatabaseName
                or $"{DatabaseName}-journal"
                or $"{EstateToml.FileName}.partial"
                or "cameras"
                or "terrain"
                or "surveys"
                or "handover"
        && (
            !Directory.Exists(entry)
            || Path.GetFileName(entry) == OwnFolder
            || !Directory.EnumerateFileSystemEntries(entry).Any()
        );
}
