using System.Text.Json;

namespace Hillrow.TestSupport;

/// <summary>One case of a check-value file (format: tests/Reference/README.md).</summary>
public sealed record CheckCase(string Id, JsonElement In, JsonElement Out, JsonElement Whole);

/// <summary>A file of published or independently computed values, with its tolerance.</summary>
public sealed record CheckBook(string Path, JsonElement Common, JsonElement Tolerance, IReadOnlyList<CheckCase> Cases)
{
    public static CheckBook Open(params string[] parts)
    {
        string path = RepositoryFiles.Reference(parts);
        JsonElement root = JsonDocument.Parse(File.ReadAllText(path)).RootElement;
        root.TryGetProperty("common", out JsonElement common);
        root.TryGetProperty("tolerance", out JsonElement tolerance);
        List<CheckCase> cases = [];
        foreach (JsonElement entry in root.GetProperty("cases").EnumerateArray())
        {
            entry.TryGetProperty("in", out JsonElement input);
            entry.TryGetProperty("out", out JsonElement output);
            cases.Add(new CheckCase(entry.GetProperty("id").ToString(), input, output, entry));
        }

        return cases.Count > 0
            ? new CheckBook(path, common, tolerance, cases)
            : throw new InvalidDataException($"{path} holds no case.");
    }
}
