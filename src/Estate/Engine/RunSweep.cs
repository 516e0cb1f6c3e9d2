using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>
/// Removes output folders that no record names: what a killed run left half-written, and what a later one superseded.
/// </summary>
internal static class RunSweep
{
    /// <summary>Only call under the estate's lock.</summary>
    /// <returns>Folders removed.</returns>
    public static int Sweep(EstateFolder estate, IReadOnlyList<RunStep> order, SqliteConnection connection)
    {
        HashSet<string> current = [.. RunRecord.All(connection).Select(record => record.Place)];
        HashSet<string> places = [.. order.Select(step => step.Place)];
        foreach (SurveyFolder survey in estate.Surveys())
        {
            AddChildren(estate, $"surveys/{survey.Id}", places);
        }

        AddChildren(estate, "handover", places);
        int removed = 0;
        foreach (string place in places)
        {
            string folder = Path.Combine(estate.Root, place);
            if (!Directory.Exists(folder))
            {
                continue;
            }

            foreach (string child in Directory.GetDirectories(folder))
            {
                string name = Path.GetFileName(child);
                if (LooksLikeOutput(name) && !current.Contains($"{place}/{name}"))
                {
                    Remove(child);
                    removed++;
                }
            }
        }

        return removed;
    }

    /// <summary>Deletes an output folder, read-only files included.</summary>
    public static void Remove(string folder)
    {
        if (!Directory.Exists(folder))
        {
            return;
        }

        if (OperatingSystem.IsWindows())
        {
            foreach (string file in Directory.EnumerateFiles(folder, "*", SearchOption.AllDirectories))
            {
                File.SetAttributes(file, FileAttributes.Normal);
            }
        }

        Directory.Delete(folder, recursive: true);
    }

    private static void AddChildren(EstateFolder estate, string parent, HashSet<string> places)
    {
        string folder = Path.Combine(estate.Root, parent);
        if (Directory.Exists(folder))
        {
            // The card's own folders may be named in any way: nothing of the captures is ever swept.
            places.UnionWith(
                Directory
                    .GetDirectories(folder)
                    .Select(child => Path.GetFileName(child))
                    .Where(name => name != SurveyFolder.CapturesName)
                    .Select(name => $"{parent}/{name}")
            );
        }
    }

    private static bool LooksLikeOutput(string name) =>
        name.Length == Fingerprint.FolderNameLength && name.All(char.IsAsciiHexDigitLower);
}
