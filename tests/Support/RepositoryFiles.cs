namespace Hillrow.TestSupport;

/// <summary>Where tests and validation find the project's files and the open data beside it.</summary>
public static class RepositoryFiles
{
    private static readonly Lazy<string> Located = new(FindRoot);

    /// <summary>Folder that holds Hillrow.slnx.</summary>
    public static string Root => Located.Value;

    /// <summary>A file below tests/Reference, for instance <c>Reference("geodesy", "utm.json")</c>.</summary>
    public static string Reference(params string[] parts) => Path.Combine([Root, "tests", "Reference", .. parts]);

    /// <summary>A file of the open data laid beside the project, or null when this machine has none.</summary>
    public static string? OpenData(params string[] parts)
    {
        string path = Path.Combine([Root, "..", "shared", "opendata", .. parts]);
        return Path.Exists(path) ? Path.GetFullPath(path) : null;
    }

    /// <summary>A file of the check-value book laid beside the project (for what may not be copied), or null.</summary>
    public static string? SharedCheck(params string[] parts)
    {
        string path = Path.Combine([Root, "..", "shared", "checks", .. parts]);
        return Path.Exists(path) ? Path.GetFullPath(path) : null;
    }

    private static string FindRoot()
    {
        for (DirectoryInfo? folder = new(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
        {
            if (File.Exists(Path.Combine(folder.FullName, "Hillrow.slnx")))
            {
                return folder.FullName;
            }
        }

        throw new InvalidOperationException(
            $"No Hillrow.slnx above {AppContext.BaseDirectory}: run the tests from a checkout of the project."
        );
    }
}
