using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>
/// Gives people's documents a name that stays: <c>handover/report.html</c> is a copy of what the report step made last.
/// Derived from the record alone, so a run that was cut short between the two mends it; a document that is no longer
/// current disappears rather than look valid.
/// </summary>
internal static class StableNames
{
    /// <summary>Only call under the estate's lock.</summary>
    public static void Refresh(EstateFolder estate, SqliteConnection connection)
    {
        foreach ((StepKey key, string file) in RunOrder.Documents)
        {
            string stable = Path.Combine(estate.HandoverFolder, file);
            StepRecord? record = RunRecord.Find(connection, key);
            string current = record is { Place.Length: > 0 } ? Path.Combine(estate.Root, record.Place, file) : "";
            if (!File.Exists(current))
            {
                File.Delete(stable);
            }
            else if (!SameContent(current, stable))
            {
                string partial = stable + ".partial";
                File.Delete(partial);
                File.Copy(current, partial);
                DurableFiles.FlushFile(partial);
                File.Move(partial, stable, overwrite: true);
                DurableFiles.FlushFolder(estate.HandoverFolder);
            }
        }
    }

    private static bool SameContent(string left, string right)
    {
        if (!File.Exists(right) || new FileInfo(left).Length != new FileInfo(right).Length)
        {
            return false;
        }

        ContentHashes hashes = new(null);
        return hashes.OfFile(left) == hashes.OfFile(right);
    }
}
