using System.Text.Json;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground.Statistics;

/// <summary>Reads numbers out of check-value files.</summary>
internal static class CheckValues
{
    public static double Number(this JsonElement element) =>
        element.ValueKind switch
        {
            JsonValueKind.Number => element.GetDouble(),
            JsonValueKind.Array => element[0].Number(), // R wraps a scalar now and then: [[x]]
            _ => double.NaN,
        };

    public static double Number(this JsonElement element, string name) => element.GetProperty(name).Number();

    public static double[] Numbers(this JsonElement element) => [.. element.EnumerateArray().Select(Number)];

    public static double[] Numbers(this JsonElement element, string name) => element.GetProperty(name).Numbers();

    public static string Text(this JsonElement element, string name) => element.GetProperty(name).GetString()!;

    public static string[] Texts(this JsonElement element) => [.. element.EnumerateArray().Select(e => e.ToString())];

    public static double[][] Rows(this JsonElement element, string name) =>
        [.. element.GetProperty(name).EnumerateArray().Select(Numbers)];

    public static int[][] Lists(this JsonElement element, string name) =>
        [
            .. element
                .GetProperty(name)
                .EnumerateArray()
                .Select(row => row.EnumerateArray().Select(e => e.GetInt32()).ToArray()),
        ];

    /// <summary>The stated absolute and relative tolerance of a quantity; 0 for a part not stated.</summary>
    public static (double Absolute, double Relative) Tolerance(this CheckBook book, string quantity)
    {
        JsonElement entry = book.Tolerance.GetProperty(quantity);
        return (
            entry.TryGetProperty("abs", out JsonElement absolute) ? absolute.GetDouble() : 0,
            entry.TryGetProperty("rel", out JsonElement relative) ? relative.GetDouble() : 0
        );
    }

    public static void Compare(
        this CheckTally tally,
        string id,
        string quantity,
        double got,
        double want,
        (double Absolute, double Relative) tolerance
    ) => tally.Compare(id, quantity, got, want, tolerance.Absolute, tolerance.Relative);

    public static void CompareAll(
        this CheckTally tally,
        string id,
        string quantity,
        IReadOnlyList<double> got,
        IReadOnlyList<double> want,
        (double Absolute, double Relative) tolerance
    )
    {
        tally.IsTrue(id, $"{quantity}: {got.Count} values, {want.Count} wanted", got.Count == want.Count);
        for (int i = 0; i < Math.Min(got.Count, want.Count); i++)
        {
            tally.Compare(id, $"{quantity}[{i}]", got[i], want[i], tolerance);
        }
    }

    /// <summary>Numbers each different text by first appearance.</summary>
    public static int[] Levels(IEnumerable<string> texts)
    {
        Dictionary<string, int> seen = new(StringComparer.Ordinal);
        List<int> levels = [];
        foreach (string text in texts)
        {
            seen.TryAdd(text, seen.Count);
            levels.Add(seen[text]);
        }

        return [.. levels];
    }
}
