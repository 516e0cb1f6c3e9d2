using Hillrow.TestSupport;
using Hillrow.Validation.Ground.Statistics;
using Xunit;

namespace Hillrow.Numerics.Tests.Statistics;

/// <summary>Every file of tests/Reference/statistics, by the comparisons that the validation figure uses.</summary>
public sealed class Statistics_ReferenceTests
{
    public static TheoryData<string, Func<CheckTally>> Files =>
        [.. Comparisons.All.Select(entry => new TheoryDataRow<string, Func<CheckTally>>(entry.File, entry.Compare))];

    [Theory]
    [MemberData(nameof(Files), DisableDiscoveryEnumeration = true)]
    public void Compare_EveryCase_Holds(string file, Func<CheckTally> compare)
    {
        CheckTally tally = compare();
        Assert.True(tally.CaseCount > 0, file);
        Assert.True(tally.Failures.Count == 0, $"{file}: {tally.Report()}");
    }
}
