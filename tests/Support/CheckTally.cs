using System.Globalization;

namespace Hillrow.TestSupport;

/// <summary>
/// Compares computed values with a reference, case by case, and remembers what failed: the same run serves a
/// test (which wants no failure) and a validation figure (which wants the share that holds).
/// </summary>
public sealed class CheckTally
{
    private readonly List<string> failures = [];
    private readonly HashSet<string> cases = [];
    private readonly HashSet<string> failedCases = [];

    public int Comparisons { get; private set; }

    public int CaseCount => cases.Count;

    public double ShareHolding => cases.Count == 0 ? 0 : 1 - ((double)failedCases.Count / cases.Count);

    public IReadOnlyList<string> Failures => failures;

    /// <summary>Holds when |got − want| ≤ absolute + relative·|want|; two NaN agree.</summary>
    public void Compare(string caseId, string quantity, double got, double want, double absolute, double relative = 0)
    {
        cases.Add(caseId);
        Comparisons++;
        bool holds =
            (double.IsNaN(got) && double.IsNaN(want))
            || got.Equals(want)
            || Math.Abs(got - want) <= absolute + (relative * Math.Abs(want));
        if (!holds)
        {
            Fail(
                caseId,
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{quantity}: got {got:R}, want {want:R}, off by {Math.Abs(got - want):G3} (allowed {absolute:G3} + {relative:G3}·|want|)"
                )
            );
        }
    }

    public void IsTrue(string caseId, string statement, bool holds)
    {
        cases.Add(caseId);
        Comparisons++;
        if (!holds)
        {
            Fail(caseId, statement);
        }
    }

    /// <summary>One text that names every failing comparison, for an assertion message.</summary>
    public string Report() =>
        failures.Count == 0
            ? $"{Comparisons} comparisons in {cases.Count} cases hold"
            : $"{failedCases.Count} of {cases.Count} cases fail:\n" + string.Join('\n', failures.Take(20));

    private void Fail(string caseId, string text)
    {
        failedCases.Add(caseId);
        failures.Add($"{caseId}: {text}");
    }
}
