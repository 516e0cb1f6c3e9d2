namespace Hillrow.Estate;

/// <summary>Finds the records behind what a person points at.</summary>
internal static class Provenance
{
    /// <param name="estate">The estate.</param>
    /// <param name="records">Everything on record.</param>
    /// <param name="output">"STEP", "SURVEY/STEP", or a path of an output file or folder (absolute, or below the estate or the working folder).</param>
    public static IEnumerable<StepRecord> Matching(
        EstateFolder estate,
        IReadOnlyList<StepRecord> records,
        string output
    )
    {
        string trimmed = output.TrimEnd('/', '\\');
        List<StepRecord> named =
        [
            .. records.Where(record => record.Key.Step == trimmed || record.Key.ToString() == trimmed),
        ];
        if (named.Count > 0)
        {
            return named;
        }

        string[] paths = [Path.GetFullPath(trimmed, estate.Root), Path.GetFullPath(trimmed)];
        foreach ((StepKey step, string file) in RunOrder.Documents)
        {
            if (paths.Contains(Path.Combine(estate.HandoverFolder, file)))
            {
                return records.Where(record => record.Key == step);
            }
        }

        return records.Where(record =>
            record.Place.Length > 0 && Array.Exists(paths, path => IsAt(path, Path.Combine(estate.Root, record.Place)))
        );
    }

    private static bool IsAt(string path, string place) =>
        path == place
        || path.StartsWith(place + Path.DirectorySeparatorChar, StringComparison.Ordinal)
        || path == Path.GetDirectoryName(place);
}
