using Hillrow.Mapping.Checks;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Mapping.Tests;

public sealed class Indices_CheckBookTests
{
    [Fact]
    public void Evaluate_EveryCaseOfTheBook_Holds()
    {
        CheckTally tally = IndexChecks.Book();
        Assert.True(tally.CaseCount >= 188);
        Assert.True(tally.Failures.Count == 0, tally.Report());
    }

    [Fact]
    public void Evaluate_WorkedValuesAndScaling_AreAsTheTableSays()
    {
        CheckTally tally = IndexChecks.Table();
        Assert.True(IndexCatalogue.All.Count(index => index.Worked is not null) >= 54);
        Assert.True(tally.Failures.Count == 0, tally.Report());
    }

    [Theory]
    [InlineData(1UL)]
    [InlineData(20261125UL)]
    public void Evaluate_RandomSpectra_KeepsIdentities(ulong seed)
    {
        CheckTally tally = IndexChecks.Identities(seed);
        Assert.True(tally.Failures.Count == 0, tally.Report());
    }

    [Fact]
    public void Documentation_EveryIndex_IsToldWithFormulaAndSource()
    {
        string page = File.ReadAllText(Path.Combine(RepositoryFiles.Root, "docs", "formulas", "indices.md"));
        foreach (VegetationIndex index in IndexCatalogue.All)
        {
            Assert.Contains($"| {index.Name} | {index.Alias} | `{index.Formula}` |", page, StringComparison.Ordinal);
            Assert.Contains(index.Source, page, StringComparison.Ordinal);
        }
    }
}
